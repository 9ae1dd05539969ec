//! Words that mean one food in one place and another in another: the chips of a pub are fries, those of a deli crisps.

use crate::library::schema::{EitherEntry, EitherWhen};
use crate::library::{FoodId, Library, stems};
use crate::read::{Head, Item, Part, Stance};

/// Makes an open choice of every such item, weighed by what stands round it.
pub fn leave_open(library: &Library, text: &str, items: &mut [Item]) {
    let all = stems(text);
    for at in 0..items.len() {
        let item = &items[at];
        let words = stems(
            text.get(item.head_span.0..item.head_span.1)
                .unwrap_or_default(),
        );
        let plain = item.alternatives.is_empty() && item.stance != Stance::Absent;
        let entry = library.rules.either.iter().find(|entry| {
            plain
                && matches!(item.head, Some(Head::Food(_)))
                && entry.words.iter().any(|word| stems(word) == words)
        });
        let Some(when) = entry.and_then(|entry| {
            let mut when = entry.when.iter();
            when.find(|when| fits(library, (text, &all), items, at, when))
                .map(|when| (entry, when))
        }) else {
            continue;
        };
        items[at] = opened(library, item, when);
    }
}

/// The item with each option in its share; one of no share is none.
fn opened(library: &Library, item: &Item, (entry, when): (&EitherEntry, &EitherWhen)) -> Item {
    let options = entry.options.iter().zip(&when.weights);
    let options: Vec<(FoodId, f64)> = options
        .filter(|(_, weight)| **weight > 0.0)
        .filter_map(|(id, weight)| Some((library.find_food(id)?, *weight)))
        .collect();
    let mut members: Vec<Item> = options
        .iter()
        .map(|(food, _)| {
            let mut member = item.clone();
            member.head = Some(Head::Food(*food));
            member
        })
        .collect();
    if members.is_empty() {
        return item.clone();
    }
    let mut first = members.remove(0);
    first.alternatives = members;
    first.weights = options.into_iter().map(|(_, weight)| weight).collect();
    first
}

/// Whether the words round an item are what an entry asks for.
///
/// `words`: the text, and its stems.
fn fits(
    library: &Library,
    (text, all): (&str, &[String]),
    items: &[Item],
    at: usize,
    when: &EitherWhen,
) -> bool {
    let said = |phrase: &String| {
        let words = stems(phrase);
        match words.len() {
            0 => text.contains(phrase.as_str()),
            length => all.windows(length).any(|window| window == words),
        }
    };
    let others = || items.iter().enumerate().filter(|(other, _)| *other != at);
    let beside = || {
        others().any(|(_, other)| {
            other.stance != Stance::Absent
                && other.head.is_some_and(|head| is_of(library, head, when))
                || other
                    .parts
                    .iter()
                    .any(|part: &Part| other.head.is_none() && is_of(library, part.head, when))
        })
    };
    (when.said.is_empty() || when.said.iter().any(said)) && (when.beside.is_empty() || beside())
}

/// Whether what is named is of one of these kinds or kitchens; of a dish that holds its parts, only the dish itself counts.
fn is_of(library: &Library, head: Head, when: &EitherWhen) -> bool {
    match head {
        Head::Food(food) => library.is_one_of(food, &when.beside),
        Head::Dish(dish) => {
            let pattern = library.dish(dish);
            let container = pattern.extras == crate::library::Role::Filling;
            let body = pattern.slots.first().map(|slot| slot.food);
            when.beside.contains(&pattern.id)
                || when.beside.contains(&pattern.kitchen)
                || !container && body.is_some_and(|food| library.is_one_of(food, &when.beside))
        }
        Head::Class(_) => false,
    }
}
