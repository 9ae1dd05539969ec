//! Which components make a line together.

use crate::estimate::{Estimate, Nutrient, Row};
use crate::library::{Library, Role};
use crate::plate::Origin;

/// Why components stand in one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// One food.
    Single,
    /// A whole dish with what was added to it, by its place on the plate.
    Whole(usize),
    /// An open choice, by its place on the plate.
    Choice(usize),
    /// Small parts, and what did not fit.
    Gathered,
}

/// A line before it has words.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Why.
    pub kind: Kind,
    /// Places of its components in the estimate's rows, rising.
    pub rows: Vec<usize>,
}

/// Below this share of the plate's energy, a gathered line takes in the smallest part by custom beside it.
const TOO_SMALL: f64 = 0.01;

/// The lines' components: every row of the estimate in exactly one draft, at most `at_most` drafts.
pub fn drafts(library: &Library, estimate: &Estimate, at_most: usize) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = Vec::new();
    for (at, row) in estimate.rows.iter().enumerate() {
        let kind = kind_of(estimate, row);
        let joins = drafts.iter_mut().find(|draft| {
            draft.kind == kind && (kind != Kind::Single || same(estimate, draft.rows[0], at))
        });
        match joins {
            Some(draft) => draft.rows.push(at),
            None => drafts.push(Draft {
                kind,
                rows: vec![at],
            }),
        }
    }
    let energy = |draft: &Draft| -> f64 {
        draft
            .rows
            .iter()
            .map(|at| estimate.rows[*at].nutrients[0].likely)
            .sum()
    };
    let rules = &library.rules.lines;
    let total = estimate.total(Nutrient::Energy).likely;
    let by_custom = |draft: &Draft| {
        draft.kind == Kind::Single
            && draft
                .rows
                .iter()
                .all(|at| estimate.rows[*at].component.origin == Origin::Implied)
    };
    let folded = |draft: &Draft| {
        let chance = draft
            .rows
            .iter()
            .map(|at| estimate.rows[*at].component.chance)
            .fold(0.0, f64::max);
        by_custom(draft) && (chance < rules.fold_chance || energy(draft) < rules.fold_share * total)
    };
    let (mut gathered, mut own): (Vec<Draft>, Vec<Draft>) = drafts.into_iter().partition(folded);
    if own.is_empty() {
        own = std::mem::take(&mut gathered);
    }
    let take_smallest =
        |own: &mut Vec<Draft>, gathered: &mut Vec<Draft>, fits: &dyn Fn(&Draft) -> bool| {
            let smallest = (0..own.len())
                .filter(|at| fits(&own[*at]))
                .min_by(|a, b| energy(&own[*a]).total_cmp(&energy(&own[*b])));
            match smallest {
                Some(at) => gathered.push(own.remove(at)),
                None => return false,
            }
            true
        };
    while own.len() + usize::from(!gathered.is_empty()) > at_most {
        if !take_smallest(&mut own, &mut gathered, &|_| true) {
            break;
        }
    }
    // A line of next to nothing is not worth writing: it takes in its smallest neighbour.
    if !gathered.is_empty() && gathered.iter().map(energy).sum::<f64>() < TOO_SMALL * total {
        take_smallest(&mut own, &mut gathered, &|draft| {
            by_custom(draft) && energy(draft) < 0.1 * total
        });
    }
    match gathered.len() {
        0 => {}
        1 => own.append(&mut gathered),
        _ => {
            let mut rows: Vec<usize> = gathered.into_iter().flat_map(|draft| draft.rows).collect();
            rows.sort_unstable();
            own.push(Draft {
                kind: Kind::Gathered,
                rows,
            });
        }
    }
    own
}

fn kind_of(estimate: &Estimate, row: &Row) -> Kind {
    let part = &row.component;
    if let Some((choice, _)) = part.option {
        return Kind::Choice(choice);
    }
    let whole = estimate
        .plate
        .dishes
        .get(part.dish)
        .is_some_and(|dish| dish.whole);
    let beside = matches!(
        part.role,
        Role::Side | Role::Drink | Role::Dessert | Role::Starter
    ) && part.origin != Origin::WholeDish
        || part.origin == Origin::Unknown;
    if whole && (!beside || is_core(estimate, row)) {
        Kind::Whole(part.dish)
    } else {
        Kind::Single
    }
}

/// Whether a row is the first of its whole dish, whatever role it is served in ("a slice of pizza as a starter").
fn is_core(estimate: &Estimate, row: &Row) -> bool {
    estimate
        .rows
        .iter()
        .find(|other| other.component.dish == row.component.dish)
        .is_some_and(|first| std::ptr::eq(first, row))
        && row.component.origin != Origin::Unknown
}

/// Whether two rows are the same food of the same dish: butter on the bread and butter in the pan are one line.
fn same(estimate: &Estimate, a: usize, b: usize) -> bool {
    let (a, b) = (&estimate.rows[a].component, &estimate.rows[b].component);
    a.food.is_some() && a.food == b.food && a.dish == b.dish
}

/// Grams that the row's expected figures weigh, by its chance of being there; the likely portion where it has no figures.
pub fn expected_grams(estimate: &Estimate, at: usize) -> f64 {
    let row = &estimate.rows[at];
    let part = &row.component;
    let share = estimate.plate.option_share(part);
    Nutrient::ALL
        .iter()
        .find(|nutrient| nutrient.of(&part.per_100g) > 0.0)
        .map_or(row.grams.likely * part.chance * share, |nutrient| {
            row.nutrients[*nutrient as usize].likely / nutrient.of(&part.per_100g) * 100.0
        })
}
