//! Remarks on what was eaten: of the whole meal, or of one component.
//!
//! ```text
//! remark  = "ate" share [ "of" ] [ target ]
//!         | "left" [ share ] [ "of" ] [ target ] [ "home" ]
//!         | "shared" [ target ] [ "between" ] people
//!         | [ "finished" ] "everything but" target
//! share   = fraction | percent | number "of" number
//! people  = number [ "people" | "ways" ] | number "others" | "a friend"
//! ```
//!
//! A verb without a share is no remark ("I had the lasagne"): the caller skips the verb and reads on.

use super::phrase::{Phrase, phrase};
use super::segment::TagKind;
use super::syntax::{Head, Link, Remark};
use super::tags::{Parsed, Tags, does_word, fail, is_food, one, word, word_value};
use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;

/// A remark with the phrase of its target, where that has an amount of its own ("2 of the 3 tacos").
pub struct Said {
    /// The remark.
    pub remark: Remark,
    /// The phrase it speaks of.
    pub target: Option<Phrase>,
    /// Whether the verb says that the thing was there ("shared a tiramisu"), even where nothing named it before.
    pub names: bool,
}

/// Reads a remark, or fails softly.
pub fn remark<'a>(tags: Tags<'a>, text: &str) -> Parsed<'a, Said> {
    alt((
        |tags| everything_but(tags, text),
        |tags| ate(tags, text),
        |tags| left(tags, text),
        |tags| shared(tags, text),
    ))
    .parse(tags)
}

fn skip_filler(mut tags: Tags<'_>) -> Tags<'_> {
    while tags.first().is_some_and(|tag| {
        ["filler", "only", "about", "of"]
            .iter()
            .any(|does| does_word(tag, tags.library, does))
            && !is_food(tag)
    }) {
        tags = tags.skip(1);
    }
    tags
}

/// "half", "two thirds", "60%", "2 of the 3".
fn share(tags: Tags<'_>) -> Parsed<'_, [f64; 3]> {
    let fraction = one(|tag, library| {
        let spoken = word_value(tag, library, "fraction");
        spoken.or(match tag.kind {
            TagKind::Percent(share) => Some([share; 3]),
            TagKind::Number { low, high, .. } if high < 1.0 => {
                Some([low, (low + high) / 2.0, high])
            }
            _ => None,
        })
    });
    let number = one(|tag, library| match tag.kind {
        TagKind::Number { low, .. } => Some(low),
        _ => word_value(tag, library, "number").map(|value| value[1]),
    });
    let of_number = |tags| {
        let (rest, some) = number(tags)?;
        let (rest, _) = word("of")(rest)?;
        let (_, all) = number(rest)?;
        // The second number stays: it counts the target.
        if all >= some && all > 0.0 {
            Ok((rest, [some / all; 3]))
        } else {
            fail(tags)
        }
    };
    alt((of_number, fraction)).parse(tags)
}

fn clamp(eaten: [f64; 3]) -> [f64; 3] {
    eaten.map(|share| share.clamp(0.0, 1.0))
}

fn target<'a>(tags: Tags<'a>) -> (Tags<'a>, Option<Phrase>) {
    let rest = skip_filler(tags);
    let (rest, whole) = opt(word("everything")).parse(rest).unwrap_or((rest, None));
    if whole.is_some() {
        return (rest, None);
    }
    match phrase(rest, Link::With, 0) {
        Ok((after, found)) if found.item.head.is_some() || found.item.unknown > 0 => {
            (after, Some(found))
        }
        _ => (rest, None),
    }
}

fn made<'a>(
    tags: Tags<'a>,
    rest: Tags<'a>,
    text: &str,
    eaten: [f64; 3],
    target: Option<Phrase>,
) -> Parsed<'a, Said> {
    let consumed = tags.tags.len() - rest.tags.len();
    let span = (tags.tags[0].start, tags.tags[consumed.max(1) - 1].end);
    let of: Option<Head> = target.as_ref().and_then(|phrase| phrase.item.head);
    let said = target.as_ref().map_or(String::new(), |phrase| {
        text[phrase.item.span.0..phrase.item.span.1].to_owned()
    });
    // A target that nothing knows must not turn into a remark on the whole meal.
    if target.is_some() && of.is_none() {
        return fail(tags);
    }
    Ok((
        rest,
        Said {
            remark: Remark {
                of,
                said,
                eaten: clamp(eaten),
                span,
            },
            target,
            names: false,
        },
    ))
}

fn ate<'a>(tags: Tags<'a>, text: &str) -> Parsed<'a, Said> {
    let (rest, _) = word("ate")(tags)?;
    let (rest, eaten) = share(skip_filler(rest))?;
    let (rest, target) = target(rest);
    names(made(tags, rest, text, eaten, target))
}

fn names<'a>(said: Parsed<'a, Said>) -> Parsed<'a, Said> {
    said.map(|(rest, said)| {
        (
            rest,
            Said {
                names: true,
                ..said
            },
        )
    })
}

fn left<'a>(tags: Tags<'a>, text: &str) -> Parsed<'a, Said> {
    // "did not finish" leaves some of it, "left the rice" all of it.
    let (rest, unsaid) = one(|tag, library| word_value(tag, library, "left"))(tags)?;
    let (rest, some) = opt(share).parse(skip_filler(rest))?;
    let (rest, target) = target(rest);
    if some.is_none() && target.is_none() {
        return fail(tags);
    }
    let (rest, _) = opt(word("home")).parse(rest)?;
    let [low, likely, high] = some.unwrap_or(unsaid);
    made(
        tags,
        rest,
        text,
        [1.0 - high, 1.0 - likely, 1.0 - low],
        target,
    )
}

fn shared<'a>(tags: Tags<'a>, text: &str) -> Parsed<'a, Said> {
    let (rest, _) = word("shared")(tags)?;
    let (rest, people) = match people(rest) {
        Ok((rest, people)) => return made(tags, rest, text, [1.0 / people; 3], None),
        Err(_) => (rest, 2.0),
    };
    let (rest, found) = target(rest);
    match crowd(rest) {
        Ok((rest, people)) => names(made(tags, rest, text, [1.0 / people; 3], found)),
        // Shared, nobody says by how many: two is the commonest table.
        Err(_) => names(made(tags, rest, text, [0.3, 1.0 / people, 0.65], found)),
    }
}

/// "between three", "with a friend", "with two others", "three ways".
fn crowd(tags: Tags<'_>) -> Parsed<'_, f64> {
    let mut rest = tags;
    while rest.first().is_some_and(|tag| {
        ["between", "with", "filler", "in"]
            .iter()
            .any(|does| does_word(tag, rest.library, does))
    }) {
        rest = rest.skip(1);
    }
    people(rest)
}

fn people(tags: Tags<'_>) -> Parsed<'_, f64> {
    let friend = one(|tag, library| word_value(tag, library, "friend").map(|value| value[1]));
    if let Ok((rest, people)) = friend(tags) {
        return Ok((rest, people));
    }
    let (rest, number) = one(|tag, library| match tag.kind {
        TagKind::Number { low, .. } => Some(low),
        _ => word_value(tag, library, "number").map(|value| value[1]),
    })(tags)?;
    let (rest, others) = opt(word("others")).parse(rest)?;
    let (rest, _) = opt(alt((word("people"), word("between")))).parse(rest)?;
    let people = if others.is_some() {
        number + 1.0
    } else {
        number
    };
    if (1.0..=100.0).contains(&people) {
        Ok((rest, people))
    } else {
        fail(tags)
    }
}

fn everything_but<'a>(tags: Tags<'a>, text: &str) -> Parsed<'a, Said> {
    let (rest, _) = opt(word("ate")).parse(tags)?;
    let (rest, _) = word("everything-but")(skip_filler(rest))?;
    let (rest, target) = target(rest);
    if target.is_none() {
        return fail(tags);
    }
    made(tags, rest, text, [0.0; 3], target)
}
