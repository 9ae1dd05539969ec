//! Words that change the figures of what they are said of, where the library knows that for some foods only: "sugar free".
//!
//! A drink that has such a word in a name of its own is that drink. Elsewhere the answer reports the word.

use super::segment::{Tag, TagKind};
use super::syntax::NotUnderstood;
use crate::library::{Library, Term, stems};

/// The tags without such words, and those of them that stay unheeded.
pub fn resolve(library: &Library, text: &str, tags: Vec<Tag>) -> (Vec<Tag>, Vec<NotUnderstood>) {
    let mut left: Vec<Tag> = Vec::with_capacity(tags.len());
    let mut unheeded = Vec::new();
    let mut tags = tags.into_iter().peekable();
    while let Some(tag) = tags.next() {
        let Some(also) = entry(library, &tag) else {
            left.push(tag);
            continue;
        };
        // "Diet lemonade", and "lemonade, diet" as well as "lemonade (sugar free)".
        let before = left.iter().rposition(|tag| !is_mark(tag));
        let behind = tags
            .peek()
            .and_then(|next| named(library, text, also, next));
        let before = before.and_then(|at| {
            let ahead = tags.peek().is_none_or(is_mark);
            Some((at, named(library, text, also, left.get(at)?)?)).filter(|_| ahead)
        });
        match (behind, before) {
            (Some(terms), _) => {
                if let Some(next) = tags.next() {
                    left.push(Tag {
                        kind: TagKind::Terms(terms),
                        start: tag.start,
                        ..next
                    });
                }
            }
            (None, Some((at, terms))) => left[at].kind = TagKind::Terms(terms),
            (None, None) => unheeded.push(NotUnderstood {
                text: text[tag.start..tag.end].to_owned(),
                span: (tag.start, tag.end),
                nearest: Vec::new(),
                item: None,
            }),
        }
    }
    (left, unheeded)
}

fn is_mark(tag: &Tag) -> bool {
    matches!(
        tag.kind,
        TagKind::Comma | TagKind::Open | TagKind::Close | TagKind::Break
    )
}

/// What a name may have instead of such a word; none where the tag is none or names a food itself.
fn entry<'a>(library: &'a Library, tag: &Tag) -> Option<&'a [String]> {
    let names = |term: &Term| matches!(term, Term::Food(_) | Term::Dish(_));
    let terms = Some(tag.terms()).filter(|terms| !terms.iter().any(names))?;
    terms.iter().find_map(|term| match term {
        Term::Word(word) => {
            let word = &library.rules.words[*word];
            (word.does == "unheeded").then_some(word.also.as_slice())
        }
        _ => None,
    })
}

/// The food that one of these words and a food's own words name together.
fn named(library: &Library, text: &str, also: &[String], tag: &Tag) -> Option<Vec<Term>> {
    tag.terms()
        .iter()
        .any(|term| matches!(term, Term::Food(_)))
        .then_some(())?;
    let words = stems(&text[tag.start..tag.end]).concat();
    also.iter().find_map(|also| {
        let mut terms = library
            .vocabulary()
            .find(&format!("{}{words}", stems(also).concat()));
        terms.retain(|term| matches!(term, Term::Food(_)));
        (!terms.is_empty()).then_some(terms)
    })
}
