//! A label before its kind: "Soup: tomato" is tomato soup, "Pasta: carbonara" is pasta carbonara.
//!
//! ```text
//! label = thing ":" kind { ( "or" | "/" ) kind }
//! ```
//!
//! Only where kind and label together are a known name. All else behind a colon stays a detail of what stands before it.

use super::segment::{Tag, TagKind};
use super::tags::does_word;
use crate::library::{Library, Term, stems};

/// The most tags that one kind may have ("cream of mushroom").
const LONGEST_KIND: usize = 4;

/// The tags with every label and its kind as one.
pub fn join(library: &Library, text: &str, tags: Vec<Tag>) -> Vec<Tag> {
    let mut joined: Vec<Tag> = Vec::with_capacity(tags.len());
    let mut at = 0;
    while at < tags.len() {
        let label = tags.get(at + 1).filter(|tag| tag.kind == TagKind::Colon);
        // "Today's soup: tomato" begins with a label; in "left half the fries: steak, fries" the fries are none.
        let opens = tags[..at]
            .iter()
            .rev()
            .take_while(|tag| tag.kind != TagKind::Break)
            .all(|tag| does_word(tag, library, "filler"));
        let label = label.filter(|_| opens);
        let label = label.and_then(|_| label_word(library, text, &tags[at]));
        let first = label.and_then(|label| {
            let (tag, length) = kind(library, text, &tags[at + 2..], &label)?;
            Some((label, tag, length))
        });
        let Some((label, mut found, length)) = first else {
            joined.push(tags[at].clone());
            at += 1;
            continue;
        };
        let plural = tags[at].plural;
        found.start = tags[at].start;
        found.plural = plural;
        joined.push(found);
        at += 2 + length;
        // "Soup: tomato or lentil"
        while let Some(separator) = tags.get(at)
            && (separator.kind == TagKind::Slash || does_word(separator, library, "or"))
            && let Some((mut found, length)) = kind(library, text, &tags[at + 1..], &label)
        {
            found.plural = plural;
            joined.push(separator.clone());
            joined.push(found);
            at += 1 + length;
        }
    }
    joined
}

/// The one word of a label: the soup of "soup" and of "soup of the day".
fn label_word(library: &Library, text: &str, tag: &Tag) -> Option<String> {
    let things: Vec<&Term> = tag.terms().iter().filter(|term| is_thing(term)).collect();
    let words = stems(&text[tag.start..tag.end]);
    let of_the_day = words.iter().any(|word| word == "of");
    let word = words
        .first()
        .filter(|_| words.len() == 1 || of_the_day)?
        .clone();
    let alone = library.vocabulary().find(&word);
    things
        .iter()
        .any(|term| alone.contains(term))
        .then_some(word)
}

fn is_thing(term: &Term) -> bool {
    matches!(term, Term::Food(_) | Term::Dish(_) | Term::Class(_))
}

/// The kind at the head of these tags as a tag of its own, and how many it takes; the longest that is known counts.
fn kind(library: &Library, text: &str, tags: &[Tag], label: &str) -> Option<(Tag, usize)> {
    let in_a_name = |tag: &&Tag| matches!(tag.kind, TagKind::Terms(_) | TagKind::Unknown);
    let most = tags.iter().take(LONGEST_KIND).take_while(in_a_name).count();
    (1..=most).rev().find_map(|length| {
        let (start, end) = (tags[0].start, tags[length - 1].end);
        let words = stems(&text[start..end]).concat();
        let find = |key: String| {
            let mut terms = library.vocabulary().find(&key);
            terms.retain(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
            terms
        };
        let mut terms = find(format!("{words}{label}"));
        if terms.is_empty() {
            // "Pasta carbonara" is what "carbonara" is alone; "steak fries" are not fries beside a steak.
            terms = find(format!("{label}{words}"));
            terms.retain(|term| find(words.clone()).contains(term));
        }
        let kind = TagKind::Terms(terms);
        let tag = Tag {
            kind,
            start,
            end,
            plural: false,
            joined: false,
        };
        (!tag.terms().is_empty()).then_some((tag, length))
    })
}
