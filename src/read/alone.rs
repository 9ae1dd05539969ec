//! A word that is no food where any is named, and leaves open which it was where none is: "breakfast".

use super::segment::Tag;
use super::syntax::{Head, Item, Link};
use crate::library::{Entry, Library, stems};

/// The open choice that such a word stands for.
pub fn alone(library: &Library, text: &str, tags: &[Tag]) -> Option<Item> {
    tags.iter().find_map(|tag| {
        let said = stems(&text[tag.start..tag.end]);
        let mut entries = library.rules.either.iter();
        let entry = entries.find(|entry| {
            let says = |word: &String| {
                let word = stems(word);
                said.windows(word.len().max(1)).any(|window| window == word)
            };
            !entry.alone.is_empty() && entry.words.iter().any(says)
        })?;
        let options = entry.options.iter().zip(&entry.alone);
        let mut members: Vec<Item> = Vec::new();
        let mut weights = Vec::new();
        for (id, weight) in options.filter(|(_, weight)| **weight > 0.0) {
            let mut member = Item::new(Link::Start, 0);
            member.head = Some(match library.find(id)? {
                Entry::Food(food) => Head::Food(food),
                Entry::Dish(dish) => Head::Dish(dish),
            });
            member.span = (tag.start, tag.end);
            member.head_span = member.span;
            members.push(member);
            weights.push(*weight);
        }
        let mut first = (!members.is_empty()).then(|| members.remove(0))?;
        first.alternatives = members;
        first.weights = weights;
        Some(first)
    })
}
