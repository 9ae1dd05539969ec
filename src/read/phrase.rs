//! A phrase: amounts, sizes, preparations and foods in any order, the head noun last.
//!
//! ```text
//! phrase  = element { element }
//! element = amount | "(" amount ")" | size | preparation | food | class | filler | unknown
//!         | dish "of" food { ( "and" | "," ) food }     what the dish is of is a part of it
//! ```
//!
//! Foods before the last are parts of it. A phrase ends at a connector, a mark, a negation or a verb.

use super::amount::{amount, bare_unit, enclosed, ends_line, is_grade};
use super::segment::{Tag, TagKind};
use super::syntax::{Amount, Head, Item, Link, Part, Span};
use super::tags::{Parsed, Tags, class, does_word, fail, is_food, preparation, size};
use crate::library::{Library, Origin, Role, Term};

/// A phrase and the unknown words in it.
pub struct Phrase {
    /// The item.
    pub item: Item,
    /// Unknown words in it.
    pub unknown: Vec<Span>,
    /// `bun-free`: foods that the phrase says are not there.
    pub free_of: Vec<Head>,
}

/// Reads one phrase. Fails softly where not even one element is there.
pub fn phrase(tags: Tags<'_>, link: Link, group: usize) -> Parsed<'_, Phrase> {
    let library = tags.library;
    let mut rest = tags;
    let mut item = Item::new(link, group);
    let mut unknown: Vec<Span> = Vec::new();
    let mut free_of = Vec::new();
    let mut parts: Vec<Part> = Vec::new();
    let mut waiting: Vec<usize> = Vec::new();
    let mut amounts: Vec<(Amount, usize)> = Vec::new();
    let mut span: Option<Span> = None;
    let mut substance = false;
    let mut cooked = false;
    // "Tacos de cabeza", "moqueca of shrimp": the dish that stands before "of", which what follows is in.
    let mut of_what: Option<usize> = None;
    while let Some(tag) = rest.first() {
        if !parts.is_empty() && is_price(rest) {
            // Behind a list of parts it is the price of them all.
            let alone = parts.last().filter(|_| link == Link::Start);
            if let Some(found) = alone.and_then(|part| pieces_behind(part, tag, rest)) {
                grow(&mut span, tag.start, tag.end);
                amounts.push((found, parts.len()));
            }
            rest = rest.skip(1);
            continue;
        }
        let last = parts.last().map(|part| part.head);
        if of_what.is_none() && last.is_some_and(|head| is_dish_of(head, rest)) {
            of_what = parts.len().checked_sub(1);
            rest = rest.skip(1);
            continue;
        }
        if let Some(at) = of_what
            && at + 1 < parts.len()
            && lists_on(parts[at].head, rest)
        {
            rest = rest.skip(1);
            continue;
        }
        if is_grade(rest) {
            rest = rest.skip(1);
            continue;
        }
        // Behind the last thing of a line a bracket may speak of the first.
        if link != Link::Start && !parts.is_empty() && ends_line(rest) {
            break;
        }
        if let Ok((after, found)) = enclosed(rest).or_else(|_| amount(rest)) {
            let consumed = rest.tags.len() - after.tags.len();
            grow(&mut span, tag.start, rest.tags[consumed - 1].end);
            amounts.push((found, parts.len()));
            substance = true;
            rest = after;
            continue;
        }
        let next_is_food = rest
            .tags
            .get(1)
            .is_some_and(|next| is_food(next) || preparation(next).is_some());
        // "butter" before a food is what a cook did, alone it is butter.
        let cook = preparation(tag)
            .filter(|_| !is_food(tag) || next_is_food && parts.is_empty() && tag.terms().len() > 1);
        if let Some(found) = cook {
            grow(&mut span, tag.start, tag.end);
            substance = true;
            // "glazed" alone is a cook's word; behind a food ("miso-glazed") it makes that food a part.
            let ingredient = tag.terms().iter().find_map(|term| match term {
                Term::Preparation(index) => library.rules.preparations[*index]
                    .before
                    .as_deref()
                    .and_then(Role::find),
                _ => None,
            });
            let follows = parts
                .last()
                .is_some_and(|part| part.span.1 + 1 >= tag.start && part.role.is_none());
            let cooks = library.rules.preparations[found].before.is_none();
            let before = ingredient.filter(|_| follows || !cooks);
            match (before, parts.last_mut()) {
                (Some(role), Some(part)) if part.span.1 + 1 >= tag.start && part.role.is_none() => {
                    part.role = Some(role)
                }
                (Some(_), _) => {}
                (None, _) => waiting.push(found),
            }
        } else if is_adjective(rest) {
            // "tender beef stew" has no chicken tender in it.
        } else if is_food(tag) && !(size(tag).is_some() && next_is_food) {
            for term in tag.terms() {
                let head = match term {
                    Term::Food(id) => Head::Food(*id),
                    Term::Dish(id) => Head::Dish(*id),
                    _ => continue,
                };
                let own = std::mem::take(&mut waiting);
                let (span, plural) = ((tag.start, tag.end), tag.plural);
                parts.push(Part {
                    head,
                    preparations: own,
                    amount: None,
                    role: None,
                    span,
                    plural,
                });
                break;
            }
            grow(&mut span, tag.start, tag.end);
            substance = true;
        } else if does_word(tag, library, "free") && tag.joined {
            if let Some(part) = parts.pop() {
                free_of.push(part.head);
            }
        } else if let Ok((after, found)) =
            bare_unit(rest).and_then(|found| plausible_bare_unit(found, rest, &parts))
        {
            let consumed = rest.tags.len() - after.tags.len();
            grow(&mut span, tag.start, rest.tags[consumed - 1].end);
            amounts.push((found, parts.len()));
            substance = true;
            rest = after;
            continue;
        } else if let Some(found) = size(tag) {
            grow(&mut span, tag.start, tag.end);
            item.sizes.push(found);
            substance = true;
        } else if let Some(class) = class(tag).filter(|_| parts.is_empty() && !next_is_food) {
            grow(&mut span, tag.start, tag.end);
            item.head = Some(Head::Class(class));
            substance = true;
        } else if class(tag).is_some_and(|class| is_said(library, class, tag, &parts)) {
            grow(&mut span, tag.start, tag.end);
        } else if does_word(tag, library, "as-served") {
            cooked = true;
        } else if does_word(tag, library, "only") && named_before(&item, &parts) {
            item.only = true;
        } else if carries_nothing(tag, rest) {
            // Filler inside a phrase is skipped; at its end it changes nothing.
        } else if tag.kind == TagKind::Unknown {
            grow(&mut span, tag.start, tag.end);
            unknown.push((tag.start, tag.end));
            substance = true;
        } else {
            break;
        }
        rest = rest.skip(1);
    }
    if !substance && free_of.is_empty() {
        return fail(tags);
    }
    item.span = span.unwrap_or((0, 0));
    item.unknown = unknown.len();
    // A part that a word such as "crusted" made an ingredient is not the head, unless nothing follows it.
    let of_what = of_what.filter(|at| at + 1 < parts.len());
    let head_at = of_what.or_else(|| parts.iter().rposition(|part| part.role.is_none()));
    if let Some(at) = head_at {
        let head = parts.remove(at);
        item.head = Some(head.head);
        // "glass of red" and "wine" are one thing said twice.
        parts.retain(|part| {
            part.head != head.head || part.role.is_some() || !part.preparations.is_empty()
        });
        item.plural = head.plural;
        item.head_span = head.span;
        item.preparations = head.preparations;
        // "salmon, grilled": what stands behind the head is said of it.
        item.preparations.append(&mut waiting);
    } else {
        item.preparations.append(&mut waiting);
    }
    assign_amounts(&mut item, &mut parts, amounts, head_at, tags);
    item.parts = parts;
    if let Some(amount) = item.amount.as_mut() {
        amount.cooked |= cooked;
    }
    Ok((
        rest,
        Phrase {
            item,
            unknown,
            free_of,
        },
    ))
}

/// Whether "of" and a food come next, behind a dish or a food with a recipe: "cassoulet of duck", but "breast of duck".
fn is_dish_of(head: Head, rest: Tags<'_>) -> bool {
    let is_dish = match head {
        Head::Dish(_) => true,
        Head::Food(food) => {
            let entry = rest.library.food(food);
            rest.library.category(food).group == "whole"
                || !entry.holds.is_empty()
                || matches!(entry.origin, Origin::Blend(..))
        }
        Head::Class(_) => false,
    };
    let of = rest
        .first()
        .is_some_and(|tag| does_word(tag, rest.library, "of") && !is_food(tag));
    is_dish
        && of
        && rest
            .tags
            .get(1..)
            .is_some_and(|next| names_ingredient(next, rest.library))
}

/// Whether a list of what a dish is made of goes on: "fritto misto of squid and shrimp". What a pattern lists behind commas
/// goes into its slots in the usual way.
fn lists_on(head: Head, rest: Tags<'_>) -> bool {
    rest.first().is_some_and(|tag| {
        does_word(tag, rest.library, "and") && !is_food(tag)
            || tag.kind == TagKind::Comma && matches!(head, Head::Food(_))
    }) && rest
        .tags
        .get(1..)
        .is_some_and(|next| names_ingredient(next, rest.library))
}

/// Whether the next food, behind adjectives, is an ingredient and no dish, base or drink of its own.
fn names_ingredient(tags: &[Tag], library: &crate::library::Library) -> bool {
    let of_adjectives = |tag: &&Tag| {
        !is_food(tag) && (preparation(tag).is_some() || does_word(tag, library, "filler"))
    };
    let skipped = tags.iter().take_while(of_adjectives).count();
    tags.get(skipped).is_some_and(|tag| {
        tag.terms().iter().any(|term| match term {
            Term::Food(food) => !matches!(
                library.category(*food).group.as_str(),
                "starch" | "drink" | "whole" | "sweet"
            ),
            _ => false,
        })
    })
}

/// Whether a phrase has named something already: "meat and vegetables only", but not "only the meat".
fn named_before(item: &Item, parts: &[Part]) -> bool {
    !parts.is_empty() || item.head.is_some()
}

/// "Garlic topping": the food before such a word says which of its kind it was.
fn is_said(library: &Library, class: usize, tag: &Tag, parts: &[Part]) -> bool {
    let class = &library.rules.classes[class];
    parts.last().is_some_and(|part| {
        let of_it = match part.head {
            Head::Food(food) => class.qualified || library.is_one_of(food, &class.of),
            Head::Dish(_) | Head::Class(_) => false,
        };
        of_it && !is_food(tag) && part.span.1 + 1 >= tag.start
    })
}

/// A food's name that is a menu's adjective too, in the singular, with another food behind it in the same phrase.
fn is_adjective(tags: Tags<'_>) -> bool {
    let both = tags
        .first()
        .is_some_and(|tag| !tag.plural && is_food(tag) && does_word(tag, tags.library, "filler"));
    both && tags.tags[1..]
        .iter()
        .take_while(|tag| !tag.terms().is_empty() && !ends_phrase(tag, tags))
        .any(is_food)
}

/// "Mushroom risotto 18", "veggie wrap | 12": a bare number behind the food, with no measure and no times sign, is what a
/// menu charges for it.
pub fn is_price(tags: Tags<'_>) -> bool {
    let bare = matches!(
        tags.first().map(|tag| &tag.kind),
        Some(TagKind::Number { times: false, high, .. }) if *high >= 1.0
    );
    let ends = tags.tags.get(1).is_none_or(|next| {
        matches!(
            next.kind,
            TagKind::Break | TagKind::Comma | TagKind::Open | TagKind::Close
        )
    });
    bare && ends
}

/// "Wings 12", "oysters 6": a bare whole number just behind what is served by pieces counts them.
fn pieces_behind(part: &Part, tag: &Tag, rest: Tags<'_>) -> Option<Amount> {
    let behind = part.span.1 + 1 == tag.start;
    pieces(part.head, part.plural, tag, rest).filter(|amount| behind && amount.low >= 2.0)
}

/// What a bare whole number counts of a thing that is served by pieces, where an order may have so many (`[counting]` in
/// the rules); one of it is never too few.
pub fn pieces(head: Head, plural: bool, tag: &Tag, rest: Tags<'_>) -> Option<Amount> {
    let (library, rules) = (rest.library, &rest.library.rules.counting);
    let TagKind::Number {
        low,
        high,
        money: false,
        ..
    } = tag.kind
    else {
        return None;
    };
    let in_order = |[fewest, _, most]: [f64; 3]| {
        low == 1.0 || (fewest * rules.from..=most * rules.to).contains(&low)
    };
    let counts = match head {
        Head::Food(food) => match library.food(food).served {
            Some(served) => in_order(served),
            None => library
                .food(food)
                .measures
                .get("piece")
                .is_some_and(|piece| {
                    (plural || low == 1.0)
                        && low * piece <= library.portion(food, Role::Main)[2] * rules.weight
                }),
        },
        Head::Dish(dish) => {
            (plural || low == 1.0) && library.dish(dish).served.is_some_and(in_order)
        }
        Head::Class(_) => false,
    };
    let whole = low == high && low.fract() == 0.0 && low >= 1.0;
    (counts && whole).then_some(Amount {
        low,
        high,
        unit: None,
        share: false,
        vague: true,
        cooked: false,
        bare: true,
    })
}

fn grow(span: &mut Option<Span>, start: usize, end: usize) {
    *span = Some(span.map_or((start, end), |(first, _)| (first, end)));
}

/// A measure without a number counts where a food follows ("glass of wine") or went before ("ribs, half rack").
fn plausible_bare_unit<'a>(
    (after, found): (Tags<'a>, Amount),
    before: Tags<'a>,
    parts: &[Part],
) -> Parsed<'a, Amount> {
    let is_size = before.first().and_then(size).is_some();
    let said_of = before.tags.len() - after.tags.len() > 1
        || after
            .first()
            .is_some_and(|tag| is_food(tag) || preparation(tag).is_some());
    if said_of
        || !is_size && (parts.is_empty() || after.tags.is_empty())
        || !is_size && !parts.is_empty()
    {
        Ok((after, found))
    } else {
        fail(before)
    }
}

/// Filler, or a word of the grammar that means nothing here.
fn carries_nothing(tag: &Tag, rest: Tags<'_>) -> bool {
    [
        "filler",
        "each",
        "only",
        "about",
        "number",
        "of",
        "fraction",
        "friend",
        "people",
        "home",
        "everything",
    ]
    .iter()
    .any(|does| does_word(tag, rest.library, does))
        && !ends_phrase(tag, rest)
}

/// "of" ends a phrase only where it leads nowhere else.
fn ends_phrase(tag: &Tag, rest: Tags<'_>) -> bool {
    [
        "with",
        "and",
        "or",
        "on",
        "in",
        "without",
        "left",
        "shared",
        "ate",
        "everything-but",
        "instead",
        "swapped",
        "choice",
        "aside",
    ]
    .iter()
    .any(|does| does_word(tag, rest.library, does))
}

/// Binds amounts to the head, or to a part: "three-egg omelette" has three eggs, "two chicken tacos" has two tacos.
fn assign_amounts(
    item: &mut Item,
    parts: &mut [Part],
    amounts: Vec<(Amount, usize)>,
    head_at: Option<usize>,
    tags: Tags<'_>,
) {
    for (amount, before_part) in amounts {
        let behind_head = head_at.is_some_and(|head| before_part > head);
        let at_part = before_part < parts.len() && head_at.is_none_or(|head| before_part < head);
        let countable = |part: &Part| match part.head {
            Head::Food(id) => tags.library.food(id).measures.contains_key("piece"),
            _ => false,
        };
        let of_part = at_part
            && !behind_head
            && amount.unit.is_none()
            && !amount.share
            && amount.high > 1.0
            && !item.plural
            && countable(&parts[before_part]);
        if of_part {
            parts[before_part].amount = Some(amount);
        } else {
            combine(&mut item.amount, amount);
        }
    }
}

/// "2 (6 oz) fillets", "8 wings (1/2 lb)": a count and a weight; the weight is the better witness.
fn combine(known: &mut Option<Amount>, new: Amount) {
    *known = Some(match *known {
        None => new,
        Some(old) if old.unit.is_none() && new.unit.is_some() && !old.share => new,
        Some(old) if old.unit.is_none() && old.share && new.unit.is_none() => new,
        // "half rack": a share of a measure
        Some(old) if old.share && new.unit.is_some() => Amount {
            low: old.low * new.low,
            high: old.high * new.high,
            ..new
        },
        Some(old) => old,
    });
}
