//! The tagged text as an input of `nom`, and the smallest parsers over it.

use super::segment::{Tag, TagKind};
use crate::library::{Library, Term};
use nom::error::{Error, ErrorKind};
use nom::{Err, IResult, Input, Needed};

/// What is left of the tagged text.
#[derive(Clone, Copy)]
pub struct Tags<'a> {
    /// The tags.
    pub tags: &'a [Tag],
    /// The library whose terms they hold.
    pub library: &'a Library,
}

impl<'a> Tags<'a> {
    /// The next tag.
    pub fn first(&self) -> Option<&'a Tag> {
        self.tags.first()
    }

    /// Where the text ends that lies before these tags and is the last of `all`.
    pub fn end_before(&self, all: Tags<'a>) -> usize {
        let read = all.tags.len() - self.tags.len();
        all.tags[..read].last().map_or(0, |tag| tag.end)
    }

    /// What is left behind the next `count` tags.
    pub fn skip(&self, count: usize) -> Tags<'a> {
        Tags {
            tags: &self.tags[count.min(self.tags.len())..],
            library: self.library,
        }
    }
}

impl<'a> Input for Tags<'a> {
    type Item = &'a Tag;
    type Iter = std::slice::Iter<'a, Tag>;
    type IterIndices = std::iter::Enumerate<std::slice::Iter<'a, Tag>>;

    fn input_len(&self) -> usize {
        self.tags.len()
    }

    fn take(&self, index: usize) -> Self {
        Tags {
            tags: &self.tags[..index],
            library: self.library,
        }
    }

    fn take_from(&self, index: usize) -> Self {
        self.skip(index)
    }

    fn take_split(&self, index: usize) -> (Self, Self) {
        (self.skip(index), self.take(index))
    }

    fn position<P: Fn(Self::Item) -> bool>(&self, predicate: P) -> Option<usize> {
        self.tags.iter().position(predicate)
    }

    fn iter_elements(&self) -> Self::Iter {
        self.tags.iter()
    }

    fn iter_indices(&self) -> Self::IterIndices {
        self.tags.iter().enumerate()
    }

    fn slice_index(&self, count: usize) -> Result<usize, Needed> {
        if count <= self.tags.len() {
            Ok(count)
        } else {
            Err(Needed::new(count - self.tags.len()))
        }
    }
}

/// The result of a parser over tags.
pub type Parsed<'a, T> = IResult<Tags<'a>, T>;

/// A soft failure: the caller tries something else.
pub fn fail<'a, T>(tags: Tags<'a>) -> Parsed<'a, T> {
    Err(Err::Error(Error::new(tags, ErrorKind::Tag)))
}

/// The next tag, where `pick` makes something of it.
pub fn one<'a, T>(
    pick: impl Fn(&'a Tag, &'a Library) -> Option<T>,
) -> impl Fn(Tags<'a>) -> Parsed<'a, T> {
    move |tags| match tags.first().and_then(|tag| pick(tag, tags.library)) {
        Some(found) => Ok((tags.skip(1), found)),
        None => fail(tags),
    }
}

/// A word of the grammar that does this.
pub fn word<'a>(does: &'static str) -> impl Fn(Tags<'a>) -> Parsed<'a, &'a Tag> {
    one(move |tag, library| does_word(tag, library, does).then_some(tag))
}

/// Whether a tag has this use among its readings.
pub fn does_word(tag: &Tag, library: &Library, does: &str) -> bool {
    word_value(tag, library, does).is_some()
}

/// The value, with low and high, of a word of the grammar.
pub fn word_value(tag: &Tag, library: &Library, does: &str) -> Option<[f64; 3]> {
    tag.terms().iter().find_map(|term| match term {
        Term::Word(index) => {
            let word = &library.rules.words[*index];
            let value = word.value.unwrap_or(1.0);
            (word.does == does)
                .then(|| [word.from.unwrap_or(value), value, word.to.unwrap_or(value)])
        }
        _ => None,
    })
}

/// A mark.
pub fn mark<'a>(kind: TagKind) -> impl Fn(Tags<'a>) -> Parsed<'a, &'a Tag> {
    one(move |tag, _| (tag.kind == kind).then_some(tag))
}

/// A measure, by index into the rules.
pub fn unit(tag: &Tag) -> Option<usize> {
    tag.terms().iter().find_map(|term| {
        if let Term::Unit(index) = term {
            Some(*index)
        } else {
            None
        }
    })
}

/// A size, by index into the rules.
pub fn size(tag: &Tag) -> Option<usize> {
    tag.terms().iter().find_map(|term| {
        if let Term::Size(index) = term {
            Some(*index)
        } else {
            None
        }
    })
}

/// A kind of food, by index into the rules' classes.
pub fn class(tag: &Tag) -> Option<usize> {
    tag.terms().iter().find_map(|term| {
        if let Term::Class(index) = term {
            Some(*index)
        } else {
            None
        }
    })
}

/// A preparation, by index into the rules.
pub fn preparation(tag: &Tag) -> Option<usize> {
    tag.terms().iter().find_map(|term| {
        if let Term::Preparation(index) = term {
            Some(*index)
        } else {
            None
        }
    })
}

/// Whether a tag names a food or a dish.
pub fn is_food(tag: &Tag) -> bool {
    tag.terms()
        .iter()
        .any(|term| matches!(term, Term::Food(_) | Term::Dish(_)))
}
