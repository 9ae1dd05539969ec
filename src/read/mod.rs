//! From words to what they say: tokens, tags, and a [`Meal`].
//!
//! Nothing is dropped in silence: a word that nothing knows ends up in [`Meal::not_understood`] with its place.

mod alone;
mod amount;
mod gather;
mod grammar;
mod heading;
mod label;
mod lexer;
mod made_of;
mod phrase;
mod remark;
mod segment;
mod syntax;
mod tags;
mod unheeded;

pub use syntax::{
    Amount, Correction, Head, Item, Link, Meal, NotUnderstood, Part, Remark, Span, Stance,
};

use crate::library::Library;

/// The longest text that is taken for one meal, in bytes: some thousand words. Parts are weighed against each other in
/// pairs, so that ten times the text takes a hundred times as long.
pub const LONGEST_TEXT: usize = 6_000;

/// The most things that one meal may name, known or not.
pub const MOST_THINGS: usize = 250;

/// Why a text cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// Nothing but white space and marks.
    #[error(
        "there are no words in the text; say what was on the plate, such as \"cod, mashed potatoes, peas\""
    )]
    Empty,
    /// More than one meal can be.
    #[error(
        "the text is {bytes} bytes long and one meal may have {LONGEST_TEXT}; a whole menu goes through `platespan menu FILE`, a dish a line"
    )]
    TooLong {
        /// Its length.
        bytes: usize,
    },
    /// More things than one meal can have.
    #[error(
        "the text names {things} things and one meal may have {MOST_THINGS}; a whole menu goes through `platespan menu FILE`, a dish a line"
    )]
    TooMany {
        /// How many it names.
        things: usize,
    },
    /// Words, but no food among them.
    #[error("no food was found in \"{said}\"{}", did_you_mean(.nearest))]
    NoFood {
        /// The first of the words.
        said: String,
        /// Names near to them.
        nearest: Vec<String>,
    },
}

/// The first words of a text, for an error: at most 60 characters.
pub(crate) fn opening(text: &str) -> String {
    text.trim().chars().take(60).collect()
}

fn did_you_mean(names: &[String]) -> String {
    match names {
        [] => "; name the dish or its parts, such as \"cod, mashed potatoes, peas\"".to_owned(),
        names => format!("; did you mean {}?", names.join(", ")),
    }
}

/// Reads a text.
///
/// # Errors
/// [`ReadError`] where there is nothing to read, too much of it, or no food in it.
pub fn read(library: &Library, text: &str) -> Result<Meal, ReadError> {
    read_under(library, text, None)
}

/// Reads a text under a menu's section heading, whose noun its words may leave out ("Soup": "Ham and bean").
///
/// # Errors
/// [`ReadError`] where there is nothing to read, too much of it, or no food in it.
pub fn read_under(library: &Library, text: &str, heading: Option<&str>) -> Result<Meal, ReadError> {
    if text.len() > LONGEST_TEXT {
        return Err(ReadError::TooLong { bytes: text.len() });
    }
    let tokens = lexer::lex(text);
    let has_words = tokens
        .iter()
        .any(|token| matches!(token.kind, lexer::Kind::Word { .. }));
    if !has_words {
        return Err(ReadError::Empty);
    }
    let (tags, corrections) = segment::segment(library, text, &tokens);
    let tags = label::join(library, text, tags);
    let tags = heading::name(library, text, tags, heading);
    let (tags, unheeded) = unheeded::resolve(library, text, tags);
    let mut meal = grammar::meal(library, text, &tags);
    meal.corrections = corrections;
    meal.unheeded = unheeded;
    made_of::turn(library, text, &mut meal);
    gather::gather(library, text, &mut meal);
    let things = meal.not_understood.len()
        + meal
            .items
            .iter()
            .map(|item| 1 + item.parts.len() + item.alternatives.len())
            .sum::<usize>();
    if things > MOST_THINGS {
        return Err(ReadError::TooMany { things });
    }
    let named = meal.items.iter().any(|item| {
        matches!(item.head, Some(Head::Food(_) | Head::Dish(_))) && item.stance != Stance::Absent
            || !item.parts.is_empty()
            || item.picks > 1
    });
    if let Some(item) = alone::alone(library, text, &tags).filter(|_| !named) {
        meal.items.push(item);
    } else if !named {
        let said = opening(text);
        let mut nearest: Vec<String> = meal
            .not_understood
            .iter()
            .flat_map(|word| word.nearest.clone())
            .collect();
        nearest.dedup();
        nearest.truncate(3);
        return Err(ReadError::NoFood { said, nearest });
    }
    Ok(meal)
}
