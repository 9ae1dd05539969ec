//! Stated amounts, in front of a food or behind it.
//!
//! ```text
//! amount   = [ "about" ] ( number [ "to" number ] | fraction ) [ "-" ] [ unit ] [ "of" ]
//!          | unit                                        "glass of", "half rack"
//! enclosed = "(" amount ")"                              "(3)", "(6 oz)"
//! ```

use super::segment::TagKind;
use super::syntax::Amount;
use super::tags::{Parsed, Tags, does_word, fail, is_food, mark, one, unit, word, word_value};
use nom::Parser;
use nom::combinator::opt;
use nom::sequence::preceded;

/// A number of any writing: low and high, and whether it is a share of a whole ("half").
#[derive(Clone, Copy)]
pub struct Count {
    pub low: f64,
    pub high: f64,
    pub share: bool,
    money: bool,
}

/// A number, or a word for one.
pub fn count(tags: Tags<'_>) -> Parsed<'_, Count> {
    let (rest, first) = one_count(tags)?;
    if first.low != first.high {
        return Ok((rest, first));
    }
    let to = preceded(word("to"), one_count);
    let (rest, second) = opt(to).parse(rest)?;
    match second {
        Some(second) if second.high > first.low => Ok((
            rest,
            Count {
                high: second.high,
                ..first
            },
        )),
        _ => Ok((rest, first)),
    }
}

fn one_count(tags: Tags<'_>) -> Parsed<'_, Count> {
    one(|tag, library| match &tag.kind {
        TagKind::Number {
            low, high, money, ..
        } => {
            let share = *high < 1.0;
            Some(Count {
                low: *low,
                high: *high,
                share,
                money: *money,
            })
        }
        TagKind::Percent(share) if !is_grade(tags) => Some(Count {
            low: *share,
            high: *share,
            share: true,
            money: false,
        }),
        _ => {
            if let Some([low, value, high]) = word_value(tag, library, "number") {
                let (low, high) = if low == high {
                    (value, value)
                } else {
                    (low, high)
                };
                return Some(Count {
                    low,
                    high,
                    share: false,
                    money: false,
                });
            }
            // Vague shares ("some of") scale nothing outside a remark.
            let [low, value, high] = word_value(tag, library, "fraction")?;
            (low == high && value < 1.0).then_some(Count {
                low: value,
                high: value,
                share: true,
                money: false,
            })
        }
    })(tags)
}

/// The least share of a thing that words put in per cent: "milk, 2%" and "beer 5%" say what kind it is.
const LEAST_PERCENT: f64 = 0.1;

/// "85% lean beef", "70% dark chocolate": a percentage just before a thing says what kind it is; "60% of the beef" and
/// "beef, 60%" say how much.
pub fn is_grade(tags: Tags<'_>) -> bool {
    let Some(TagKind::Percent(share)) = tags.first().map(|tag| &tag.kind) else {
        return false;
    };
    let speaks_of = |next: &super::segment::Tag| {
        matches!(next.kind, TagKind::Terms(_) | TagKind::Unknown)
            && !["of", "with", "and", "left"]
                .iter()
                .any(|does| does_word(next, tags.library, does))
    };
    *share < LEAST_PERCENT || tags.tags.get(1).is_some_and(speaks_of)
}

/// An amount in front of or behind a food.
///
/// A number written as prices are, with no measure behind it and no food, is a price and fails softly.
pub fn amount(tags: Tags<'_>) -> Parsed<'_, Amount> {
    let (rest, vague) = opt(word("about")).parse(tags)?;
    let vague = vague.is_some();
    if let Ok((rest, found)) = count(rest) {
        // "half a sandwich", "half of the sandwich", "two of the tacos"
        let (after, _) = opt(word("of")).parse(rest)?;
        let (after, article) = opt(one(|tag, library| {
            let article =
                word_value(tag, library, "number") == Some([1.0; 3]) && tag.end - tag.start == 1;
            (found.share && article).then_some(())
        }))
        .parse(after)?;
        let rest = if found.share || article.is_some() {
            after
        } else {
            rest
        };
        let measured = rest
            .first()
            .filter(|tag| !is_food(tag) || rest.tags.get(1).is_some_and(is_food))
            .and_then(unit);
        if let Some(unit) = measured {
            let (rest, _) = opt(word("of")).parse(rest.skip(1))?;
            return Ok((
                rest,
                Amount {
                    low: found.low,
                    high: found.high,
                    unit: Some(unit),
                    share: false,
                    vague,
                    cooked: false,
                    bare: false,
                },
            ));
        }
        let food_next = rest
            .first()
            .is_some_and(|tag| !matches!(tag.kind, TagKind::Break | TagKind::Close));
        if found.money && !food_next {
            return fail(tags);
        }
        let (rest, _) = opt(word("of")).parse(rest)?;
        return Ok((
            rest,
            Amount {
                low: found.low,
                high: found.high,
                unit: None,
                share: found.share,
                vague,
                cooked: false,
                bare: false,
            },
        ));
    }
    whole(tags)
}

/// "…, whole": all of a thing that is sold in shares, where nothing follows; before a thing ("whole snapper") it says nothing.
fn whole(tags: Tags<'_>) -> Parsed<'_, Amount> {
    let (rest, share) = one(|tag, library| word_value(tag, library, "fraction"))(tags)?;
    let ends = rest.first().is_none_or(|next| {
        matches!(
            next.kind,
            TagKind::Break | TagKind::Comma | TagKind::Close | TagKind::Open
        )
    });
    if !ends || share != [1.0; 3] {
        return fail(tags);
    }
    let all = Amount {
        low: 1.0,
        high: 1.0,
        unit: None,
        share: true,
        vague: false,
        cooked: false,
        bare: false,
    };
    Ok((rest, all))
}

/// A measure without a number: "glass of", "rack of".
pub fn bare_unit(tags: Tags<'_>) -> Parsed<'_, Amount> {
    let (rest, found) = one(|tag, _| if is_food(tag) { None } else { unit(tag) })(tags)?;
    let kind = &tags.library.rules.units[found].kind;
    if kind == "mass" && tags.library.rules.units[found].loose.is_none() || kind == "length" {
        return fail(tags);
    }
    let (rest, _) = opt(word("of")).parse(rest)?;
    Ok((
        rest,
        Amount {
            low: 1.0,
            high: 1.0,
            unit: Some(found),
            share: false,
            vague: false,
            cooked: false,
            bare: false,
        },
    ))
}

/// `(3)`, `(6 oz)`, `(9 pieces)`, `(about 4 oz each)`.
pub fn enclosed(tags: Tags<'_>) -> Parsed<'_, Amount> {
    let (rest, _) = mark(TagKind::Open)(tags)?;
    let (mut rest, amount) = amount(rest)?;
    while rest.first().is_some_and(|tag| {
        does_word(tag, rest.library, "each") || does_word(tag, rest.library, "filler")
    }) {
        rest = rest.skip(1);
    }
    let (rest, _) = mark(TagKind::Close)(rest)?;
    Ok((rest, amount))
}

/// Whether an amount in brackets comes next and ends the line.
pub fn ends_line(tags: Tags<'_>) -> bool {
    enclosed(tags)
        .is_ok_and(|(rest, _)| rest.first().is_none_or(|next| next.kind == TagKind::Break))
}

/// "two", "2-3 people" behind "for": so many portions, where nothing follows that they could count.
pub fn portions(tags: Tags<'_>) -> Option<(Tags<'_>, Amount)> {
    let units = &tags.library.rules.units;
    let portion = units.iter().position(|unit| unit.id == "portion")?;
    let (rest, found) = count(tags).ok()?;
    let (rest, _) = opt(word("people")).parse(rest).ok()?;
    let counts = rest
        .first()
        .is_some_and(|next| is_food(next) || unit(next).is_some());
    let portions = Amount {
        low: found.low,
        high: found.high,
        unit: Some(portion),
        share: false,
        vague: false,
        cooked: false,
        bare: false,
    };
    (!counts && !found.money && !found.share && found.high >= 1.0 && found.high <= 20.0)
        .then_some((rest, portions))
}
