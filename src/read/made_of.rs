//! Plain nouns that what stands before them makes another dish: a "lamb pie" is no fruit pie.

use super::syntax::{Head, Item, Link, Meal, Stance};
use crate::library::{Entry, Library, stems};

/// Turns every such noun into its dish; the list before it is gathered into it elsewhere.
pub fn turn(library: &Library, text: &str, meal: &mut Meal) {
    for at in 0..meal.items.len() {
        let item = &meal.items[at];
        if !matches!(item.head, Some(Head::Food(_) | Head::Dish(_))) || item.parts.is_empty() {
            continue;
        }
        let said = text.get(item.head_span.0..item.head_span.1);
        let said = stems(said.unwrap_or_default());
        let entry = library.rules.made_of.iter().find(|entry| {
            let named = entry.words.iter().any(|word| stems(word) == said);
            named && parts(library, &meal.items, at, &entry.food) >= entry.parts
        });
        if let Some(Entry::Dish(dish)) = entry.and_then(|entry| library.find(&entry.dish)) {
            meal.items[at].head = Some(Head::Dish(dish));
        }
    }
}

/// How many of these foods stand before the noun: in its own phrase, and in the list that ends in it.
fn parts(library: &Library, items: &[Item], at: usize, kinds: &[String]) -> usize {
    let is = |head: Head| matches!(head, Head::Food(food) if library.is_one_of(food, kinds));
    let own = items[at].parts.iter().filter(|part| is(part.head)).count();
    let mut listed = 0;
    let mut next = &items[at];
    for item in items[..at].iter().rev() {
        let joined = matches!(next.link, Link::And | Link::Comma) && next.group == item.group;
        let food = item.stance == Stance::Plain && item.head.is_some_and(is);
        if !joined || !food {
            break;
        }
        listed += 1;
        next = item;
    }
    own + if own > 0 { listed } else { 0 }
}
