//! The noun that a section heading says and its lines leave out: under "Soup", "Ham and bean" is ham and bean soup.
//!
//! The first phrase of the line is tried with the noun behind it: as a whole, then without its first words ("vegetarian
//! black bean"). Where neither has a name, foods that the noun is made of are parts of a plain one ("pepperoni and onion"
//! under "Pizza").

use super::segment::{Tag, TagKind};
use super::tags::{class, does_word, is_food, size, unit};
use crate::library::schema::HeadingEntry;
use crate::library::{FoodId, Library, Term, stems};

/// The tags with the noun where the line leaves it out.
pub fn name(library: &Library, text: &str, tags: Vec<Tag>, heading: Option<&str>) -> Vec<Tag> {
    let heading = heading.map(stems).unwrap_or_default();
    for entry in &library.rules.headings {
        let says = |phrase: &String| {
            let words = stems(phrase);
            let mut windows = heading.windows(words.len().max(1));
            windows.any(|window| window == words)
        };
        let alone = |phrase: &String| stems(phrase) == heading;
        let opens = opening(text, &tags, entry);
        if let Some(tags) = opened(library, text, &tags, entry) {
            return tags;
        }
        if opens == 0 && !entry.sections.iter().any(says) {
            continue;
        }
        let plain = entry.sections.iter().any(alone) || opens > 0;
        if let Some(tags) = named(library, text, &tags, opens, entry, plain) {
            return tags;
        }
    }
    tags
}

/// How many tags at the head of a line are words that leave the noun out.
fn opening(text: &str, tags: &[Tag], entry: &HeadingEntry) -> usize {
    let Some(first) = tags.first() else { return 0 };
    let longest = tags.len().min(4);
    let lengths = (1..=longest).rev();
    let mut lengths = lengths.filter(|length| {
        let said = stems(&text[first.start..tags[*length - 1].end]);
        let mut said = said.as_slice();
        // "2 scoops of butter pecan"
        if said
            .first()
            .is_some_and(|word| word.parse::<f64>().is_ok() || word == "a")
        {
            said = &said[1..];
        }
        entry.opens.iter().any(|phrase| stems(phrase) == said)
    });
    lengths.next().unwrap_or(0)
}

/// "Scoop of butter pecan": where the library has a name that begins with such words ("scoop of butter"), the rest of the
/// phrase with the noun is the better reading.
fn opened(library: &Library, text: &str, tags: &[Tag], entry: &HeadingEntry) -> Option<Vec<Tag>> {
    let named = |tag: &&Tag| matches!(tag.kind, TagKind::Terms(_) | TagKind::Unknown);
    let length = tags.iter().take_while(named).count();
    let (first, last) = (tags.first()?, tags[..length].last()?);
    let phrase = &text[first.start..last.end];
    entry.opens.iter().find_map(|opens| {
        let words = stems(opens);
        let mut starts = phrase.split_whitespace().map(|word| {
            let offset = word.as_ptr() as usize - phrase.as_ptr() as usize;
            first.start + offset
        });
        let start = starts.nth(words.len())?;
        let crosses = tags[..length]
            .iter()
            .any(|tag| tag.start < start && start < tag.end);
        let said = stems(&text[first.start..start]);
        let key = stems(&text[start..last.end]).concat() + &stems(&entry.noun).concat();
        let mut terms = library.vocabulary().find(&key);
        terms.retain(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
        if !crosses || said != words || terms.is_empty() {
            return None;
        }
        let tag = |terms, start, end| Tag {
            kind: TagKind::Terms(terms),
            start,
            end,
            plural: false,
            joined: false,
        };
        let measure = library.vocabulary().find(&words.concat());
        let end = first.start + text[first.start..start].trim_end().len();
        let mut line = vec![tag(measure, first.start, end), tag(terms, start, last.end)];
        line.extend_from_slice(&tags[length..]);
        Some(line)
    })
}

/// The line with the noun, where that names a thing; `plain`: foods that have no name with it may be parts of a plain one.
fn named(
    library: &Library,
    text: &str,
    tags: &[Tag],
    opens: usize,
    entry: &HeadingEntry,
    plain: bool,
) -> Option<Vec<Tag>> {
    let amount = |tag: &&Tag| {
        matches!(tag.kind, TagKind::Number { .. })
            || !is_food(tag) && (unit(tag).is_some() || size(tag).is_some())
            || does_word(tag, library, "number") && !is_food(tag)
            || does_word(tag, library, "of")
    };
    let first = opens + tags[opens..].iter().take_while(amount).count();
    let ends = |tag: &Tag| {
        let word = |does: &str| does_word(tag, library, does) && !is_food(tag);
        !matches!(tag.kind, TagKind::Terms(_) | TagKind::Unknown)
            || [
                "with", "on", "in", "or", "without", "choice", "aside", "extra", "swap",
            ]
            .iter()
            .any(|does| word(does))
    };
    let length = tags[first..].iter().take_while(|tag| !ends(tag)).count();
    let phrase = &tags[first..first + length];
    let last = phrase.iter().rfind(|tag| is_food(tag));
    // "Bacon, egg and cheese biscuit" ends in its own noun.
    let line = tags[first..]
        .iter()
        .take_while(|tag| tag.kind != TagKind::Break);
    let mut foods = line.filter(|tag| is_food(tag));
    if phrase.is_empty() || foods.any(|tag| is_of_kind(library, text, tag, entry)) {
        return None;
    }
    let noun = stems(&entry.noun).concat();
    let things = |key: &str| {
        let mut terms = library.vocabulary().find(key);
        terms.retain(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
        terms
    };
    let of_class = |tag: &Tag| class(tag).is_some() && !is_food(tag);
    if length > 1 && phrase.iter().any(of_class) {
        return None;
    }
    let dish = phrase.iter().any(|tag| is_dish(library, tag));
    let end = phrase[length - 1].end;
    for from in 0..if dish { 1 } else { length } {
        let words = stems(&text[phrase[from].start..end]).concat();
        let terms = things(&format!("{words}{noun}"));
        let of_it = |tag: &Tag| is_food(tag) || tag.kind == TagKind::Unknown;
        if terms.is_empty() || from > 0 && !phrase[from..].iter().any(of_it) {
            continue;
        }
        let mut line = tags[..first].to_vec();
        line.extend(parts(library, &phrase[..from]));
        line.push(Tag {
            kind: TagKind::Terms(terms),
            start: phrase[from].start,
            end,
            plural: false,
            joined: false,
        });
        line.extend_from_slice(&tags[first + length..]);
        return Some(line);
    }
    let makes = |tag: &Tag| {
        let food = food_of(library, tag);
        food.is_some_and(|food| library.is_one_of(food, &entry.of))
    };
    let terms = things(&noun);
    if dish || !plain || terms.is_empty() || !last.is_some_and(makes) {
        return None;
    }
    let mut line = tags[..first].to_vec();
    line.extend(parts(library, phrase));
    // The noun has no words of its own in the text: it stands at the end of the phrase.
    line.push(Tag {
        kind: TagKind::Terms(terms),
        start: end,
        end,
        plural: false,
        joined: false,
    });
    line.extend_from_slice(&tags[first + length..]);
    Some(line)
}

/// What stands before the noun, as its parts: "roasted pepper and" tomato soup.
fn parts<'a>(library: &'a Library, tags: &'a [Tag]) -> impl Iterator<Item = Tag> + 'a {
    let joins = |tag: &&Tag| does_word(tag, library, "and") && !is_food(tag);
    tags.iter().filter(move |tag| !joins(tag)).cloned()
}

fn food_of(library: &Library, tag: &Tag) -> Option<FoodId> {
    tag.terms().iter().find_map(|term| match term {
        Term::Food(food) => Some(*food),
        Term::Dish(dish) => library.dish(*dish).slots.first().map(|slot| slot.food),
        _ => None,
    })
}

fn is_dish(library: &Library, tag: &Tag) -> bool {
    tag.terms().iter().any(|term| match term {
        Term::Food(food) => library.category(*food).group == "whole",
        Term::Dish(_) => true,
        _ => false,
    })
}

/// Whether a tag needs no noun: it says it itself, or names a thing of that kind.
fn is_of_kind(library: &Library, text: &str, tag: &Tag, entry: &HeadingEntry) -> bool {
    let words = stems(&text[tag.start..tag.end]);
    let pattern = tag.terms().iter().find_map(|term| match term {
        Term::Dish(dish) => Some(library.dish(*dish)),
        _ => None,
    });
    let dish = pattern.is_some_and(|dish| {
        let container = dish.extras == crate::library::Role::Filling;
        let is = |kind: &String| {
            *kind == dish.id || *kind == dish.course || kind == "container" && container
        };
        entry.kinds.iter().any(is)
    });
    let food = food_of(library, tag);
    stems(&entry.noun).iter().all(|word| words.contains(word))
        || dish
        || food.is_some_and(|food| library.is_one_of(food, &entry.kinds))
}
