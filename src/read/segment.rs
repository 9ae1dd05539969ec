//! Tags the tokens of a text with what the library knows: the segmentation into the longest known phrases.
//!
//! Longest phrase first would read "egg roll bun" well and "grilled chicken salad dressing" badly, so the split with the best
//! sum of squared phrase lengths is chosen: long phrases win, and a phrase never eats a word that a longer one needs.

use super::lexer::{Kind, Token};
use super::syntax::Correction;
use crate::library::{Library, Term, stems};

/// A known phrase, a number or a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Tag {
    /// What it may be.
    pub kind: TagKind,
    /// Byte offset of its first byte.
    pub start: usize,
    /// Byte offset behind its last byte.
    pub end: usize,
    /// Whether its last word is a plural.
    pub plural: bool,
    /// Whether a hyphen joins it to the tag before.
    pub joined: bool,
}

/// What a tag may be.
#[derive(Debug, Clone, PartialEq)]
pub enum TagKind {
    /// A known phrase with its readings.
    Terms(Vec<Term>),
    /// A number or range.
    Number {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
        /// Written as prices are.
        money: bool,
        /// Written with a times sign.
        times: bool,
    },
    /// A percentage as a fraction.
    Percent(f64),
    /// `,`
    Comma,
    /// `:`
    Colon,
    /// `(`
    Open,
    /// `)`
    Close,
    /// `/`
    Slash,
    /// End of a line or sentence.
    Break,
    /// A word that nothing knows.
    Unknown,
}

impl Tag {
    /// Its readings; none for a mark or a number.
    pub fn terms(&self) -> &[Term] {
        match &self.kind {
            TagKind::Terms(terms) => terms,
            _ => &[],
        }
    }
}

/// Tags every token; typing errors are mended where nothing else is known, and reported.
pub fn segment(library: &Library, text: &str, tokens: &[Token]) -> (Vec<Tag>, Vec<Correction>) {
    let mut tags = Vec::with_capacity(tokens.len());
    let mut corrections = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let run = tokens[at..]
            .iter()
            .take_while(|token| in_a_phrase(token))
            .count();
        if run > 0 {
            segment_run(
                library,
                text,
                &tokens[at..at + run],
                &mut tags,
                &mut corrections,
            );
            at += run;
            continue;
        }
        let token = &tokens[at];
        if let Some((tag, taken)) = graded(library, text, &tokens[at..]) {
            tags.push(tag);
            at += taken;
            continue;
        }
        let after_number = matches!(tags.last(), Some(Tag { kind: TagKind::Number { .. }, end, .. }) if *end == token.start);
        let inch_sign = after_number && matches!(&text[token.start..token.end], "\"" | "”" | "″");
        let kind = match &token.kind {
            Kind::Percent(share) => Some(TagKind::Percent(*share)),
            Kind::Comma => Some(TagKind::Comma),
            Kind::Colon => Some(TagKind::Colon),
            Kind::Open => Some(TagKind::Open),
            Kind::Close => Some(TagKind::Close),
            Kind::Slash => Some(TagKind::Slash),
            Kind::Break => Some(TagKind::Break),
            Kind::Noise if inch_sign => Some(TagKind::Terms(library.vocabulary().find("inch"))),
            _ => None,
        };
        if let Some(kind) = kind {
            tags.push(Tag {
                kind,
                start: token.start,
                end: token.end,
                plural: false,
                joined: token.joined,
            });
        }
        at += 1;
    }
    (tags, corrections)
}

/// "2% milk": a percentage that begins a name is part of it. The tag and how many tokens it takes; the longest name counts.
fn graded(library: &Library, text: &str, tokens: &[Token]) -> Option<(Tag, usize)> {
    let first = tokens.first()?;
    if !matches!(first.kind, Kind::Percent(_)) {
        return None;
    }
    let words = tokens[1..].iter().take_while(|token| in_a_phrase(token));
    let most = words.count().min(library.vocabulary().longest());
    (1..=most).rev().find_map(|length| {
        let last = &tokens[length];
        let name = text.get(first.start..last.end)?;
        let mut terms = library.vocabulary().find(&stems(name).concat());
        terms.retain(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
        let tag = Tag {
            kind: TagKind::Terms(terms),
            start: first.start,
            end: last.end,
            plural: matches!(last.kind, Kind::Word { plural: true, .. }),
            joined: first.joined,
        };
        (!tag.terms().is_empty()).then_some((tag, length + 1))
    })
}

fn in_a_phrase(token: &Token) -> bool {
    matches!(token.kind, Kind::Word { .. } | Kind::Number { .. })
}

fn segment_run(
    library: &Library,
    text: &str,
    run: &[Token],
    tags: &mut Vec<Tag>,
    corrections: &mut Vec<Correction>,
) {
    let mut keys: Vec<String> = run
        .iter()
        .map(|token| match &token.kind {
            Kind::Word { stem, .. } => stem.clone(),
            _ => text[token.start..token.end].to_lowercase(),
        })
        .collect();
    let mut split = best_split(library, run, &keys);
    let mut mended = false;
    for &(start, length, known) in &split {
        if !known
            && length == 1
            && matches!(run[start].kind, Kind::Word { .. })
            && let Some(word) = library.vocabulary().find_misspelt(&keys[start])
        {
            corrections.push(Correction {
                said: text[run[start].start..run[start].end].to_owned(),
                read: word.clone(),
            });
            keys[start] = word;
            mended = true;
        }
    }
    if mended {
        let again = best_split(library, run, &keys);
        // A correction that makes no known phrase was none: take it back.
        let useless = |correction: &Correction| {
            again.iter().any(|&(start, length, known)| {
                !known && length == 1 && keys[start] == correction.read
            })
        };
        corrections.retain(|correction| !useless(correction));
        split = again;
    }
    let shared = shared_words(library, &keys, &split);
    for (at, (start, length, known)) in split.into_iter().enumerate() {
        let (first, last) = (&run[start], &run[start + length - 1]);
        let mut plural = matches!(last.kind, Kind::Word { plural: true, .. });
        let terms = match known {
            true => readings(library, &keys[start..start + length], &mut plural),
            false => Vec::new(),
        };
        let terms = match shared.iter().find(|(of, _)| *of == at) {
            Some((_, food)) => vec![*food],
            None => terms,
        };
        let kind = match (&first.kind, known || !terms.is_empty()) {
            (_, true) if !terms.is_empty() => TagKind::Terms(terms),
            (
                Kind::Number {
                    low,
                    high,
                    money,
                    times,
                },
                _,
            ) => TagKind::Number {
                low: *low,
                high: *high,
                money: *money,
                times: *times,
            },
            _ => TagKind::Unknown,
        };
        tags.push(Tag {
            kind,
            start: first.start,
            end: last.end,
            plural,
            joined: first.joined,
        });
    }
}

/// "Cherry pie with ice cream", where "pie with ice cream" is a dish: the word before it and the dish's first words name a
/// food that one of the dish's slots accepts. (entry of the split, that food)
fn shared_words(
    library: &Library,
    keys: &[String],
    split: &[(usize, usize, bool)],
) -> Vec<(usize, Term)> {
    let vocabulary = library.vocabulary();
    let dish_of = |start: usize, length: usize| {
        let terms = vocabulary.find(&keys[start..start + length].concat());
        terms.into_iter().find_map(|term| match term {
            Term::Dish(dish) => Some(library.dish(dish)),
            _ => None,
        })
    };
    let mut found = Vec::new();
    for (at, pair) in split.windows(2).enumerate() {
        let [(before, words, _), (start, length, true)] = *pair else {
            continue;
        };
        let Some(dish) = dish_of(start, length).filter(|_| length > 1) else {
            continue;
        };
        let shared = (1..length).rev().find_map(|shared| {
            let terms = vocabulary.find(&keys[before..start + shared].concat());
            let food = terms.iter().find_map(|term| match term {
                Term::Food(food) => Some(*food),
                _ => None,
            })?;
            let alone = vocabulary.find(&keys[before..before + words].concat());
            let grammar = alone.iter().any(|term| match term {
                Term::Word(word) => !matches!(library.rules.words[*word].does.as_str(), "filler"),
                Term::Unit(_) | Term::Size(_) => true,
                _ => false,
            });
            let takes = dish.slots.iter().any(|slot| {
                library.is_one_of(food, &slot.accepts)
                    || library.food(slot.food).category == library.food(food).category
            });
            (takes && !grammar).then_some(Term::Food(food))
        });
        found.extend(shared.map(|food| (at, food)));
    }
    found
}

/// What a phrase may stand for. `plural` is set where its last word is the plural of another language.
///
/// What is an adjective only in the singular is a thing in the plural, and no thing in the singular ("crisps").
fn readings(library: &Library, keys: &[String], plural: &mut bool) -> Vec<Term> {
    let word = |term: &Term| match term {
        Term::Word(word) => Some(&library.rules.words[*word]),
        _ => None,
    };
    let is_plural = |term: &Term| word(term).is_some_and(|word| word.does == "plural");
    let vocabulary = library.vocabulary();
    let last = keys.last().map(|last| vocabulary.find(last));
    *plural |= last.is_some_and(|terms| terms.iter().any(is_plural));
    let mut terms = vocabulary.find(&keys.concat());
    terms.retain(|term| !is_plural(term));
    let is_singular = |term: &Term| word(term).is_some_and(|word| word.singular);
    if terms.iter().any(is_singular) {
        let thing = |term: &Term| matches!(term, Term::Food(_) | Term::Dish(_));
        terms.retain(|term| match *plural {
            true => !is_singular(term),
            false => !thing(term),
        });
    }
    terms
}

/// (first token, number of tokens, whether known) for the best split of a run.
fn best_split(library: &Library, run: &[Token], keys: &[String]) -> Vec<(usize, usize, bool)> {
    let vocabulary = library.vocabulary();
    // A joined word may be written apart: one token more than the phrase has words.
    let longest = vocabulary.longest() + 2;
    let count = run.len();
    let mut best: Vec<(f64, usize, bool)> = vec![(0.0, 0, false); count + 1];
    for start in (0..count).rev() {
        let is_number = matches!(run[start].kind, Kind::Number { .. });
        let unknown = if is_number { 0.5 } else { -2.0 };
        best[start] = (best[start + 1].0 + unknown, 1, false);
        let mut key = String::new();
        for length in 1..=longest.min(count - start) {
            key.push_str(&keys[start + length - 1]);
            if length == 1 && is_number {
                continue;
            }
            let terms = vocabulary.find(&key);
            if terms.is_empty() {
                continue;
            }
            let food = terms
                .iter()
                .any(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
            // "two-egg omelette" counts the eggs, whatever "egg omelette" may be a name of.
            if length > 1
                && run[start].joined
                && start > 0
                && is_number_word(library, run, keys, start - 1)
            {
                continue;
            }
            let weight = if food { 1.0 } else { 0.9 };
            let score = weight * (length * length) as f64 + best[start + length].0;
            if score > best[start].0 {
                best[start] = (score, length, true);
            }
        }
    }
    let mut split = Vec::new();
    let mut at = 0;
    while at < count {
        let (_, length, known) = best[at];
        split.push((at, length, known));
        at += length;
    }
    split
}

fn is_number_word(library: &Library, run: &[Token], keys: &[String], at: usize) -> bool {
    matches!(run[at].kind, Kind::Number { .. })
        || library
            .vocabulary()
            .find(&keys[at])
            .iter()
            .any(|term| match term {
                Term::Word(word) => library.rules.words[*word].does == "number",
                _ => false,
            })
}
