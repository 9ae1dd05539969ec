//! A second name that says what the first is: "bun bo hue, spicy beef noodle soup" is one soup.

use crate::library::{FoodId, Library, stems};
use crate::read::{Head, Item, Link, Stance};

/// Leaves out every second name of a dish that stands just before it.
pub fn leave_out(library: &Library, text: &str, items: &mut Vec<Item>) {
    let nouns: Vec<Vec<String>> = library
        .rules
        .explaining
        .nouns
        .iter()
        .map(|noun| stems(noun))
        .collect();
    let says = |item: &Item| {
        let said = text.get(item.head_span.0..item.head_span.1);
        stems(said.unwrap_or_default())
    };
    let mut at = 1;
    while at < items.len() {
        let (first, second) = (&items[at - 1], &items[at]);
        let opens = at == 1 || items[at - 2].group != first.group;
        let plain = |item: &Item| {
            item.stance == Stance::Plain && item.alternatives.is_empty() && item.weights.is_empty()
        };
        let joined = second.link == Link::Comma && second.group == first.group;
        let alone = second.amount.is_none() && second.sizes.is_empty();
        let (before, behind) = (says(first), says(second));
        let noun = nouns.iter().find(|noun| behind.ends_with(noun));
        let explains = noun.is_some_and(|noun| behind.len() > 1 && !before.ends_with(noun));
        let alike = body(library, first)
            .zip(body(library, second))
            .is_some_and(|(one, two)| {
                library.food(one).category == library.food(two).category
                    && library.category(one).group == "whole"
            });
        if opens && plain(first) && plain(second) && joined && alone && explains && alike {
            items.remove(at);
        } else {
            at += 1;
        }
    }
}

/// The food that makes most of what an item names.
fn body(library: &Library, item: &Item) -> Option<FoodId> {
    match item.head? {
        Head::Food(food) => Some(food),
        Head::Dish(dish) => library.dish(dish).slots.first().map(|slot| slot.food),
        Head::Class(_) => None,
    }
}
