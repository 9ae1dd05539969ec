//! Components that the menu's words have and the record's words have not.

use super::{Case, Finding, Sureness};
use crate::estimate::{Estimate, Nutrient, Row};
use crate::library::{FoodId, Library};
use crate::plate::Origin;
use crate::questions::{listed, names_of};

fn energy(row: &Row) -> f64 {
    row.nutrients[Nutrient::Energy as usize].likely
}

/// Parts that count: there more likely than not, and worth writing down. The options of an open choice do not count.
fn counted<'a>(library: &Library, estimate: &'a Estimate) -> Vec<&'a Row> {
    let rules = &library.rules.review;
    estimate
        .rows
        .iter()
        .filter(|row| {
            let part = &row.component;
            part.food.is_some()
                && part.option.is_none()
                && part.chance >= rules.part_chance
                && energy(row) >= rules.part_kcal
        })
        .collect()
}

/// How near two foods are: the same, of one category, of one group.
const ALIKE: [fn(&Library, FoodId, FoodId) -> bool; 3] = [
    |_, a, b| a == b,
    |library, a, b| library.category(a).id == library.category(b).id,
    |library, a, b| library.category(a).group == library.category(b).group,
];

/// Parts of the menu that nothing of the record answers to.
///
/// Each part of the record answers to one: first of the same food, then of the same category, then of the same group. What
/// a whole dish of the record already holds is answered too.
fn unanswered<'a>(library: &Library, menu: Vec<&'a Row>, written: &Estimate) -> Vec<&'a Row> {
    let record: Vec<FoodId> = written
        .rows
        .iter()
        .filter(|row| row.component.chance >= library.rules.review.part_chance)
        .filter_map(|row| row.component.food)
        .collect();
    let mut is_free = vec![true; record.len()];
    let mut open = menu;
    for is_alike in ALIKE {
        open.retain(|row| {
            let answer = row.component.food.and_then(|food| {
                (0..record.len()).find(|at| is_free[*at] && is_alike(library, food, record[*at]))
            });
            if let Some(at) = answer {
                is_free[at] = false;
            }
            answer.is_none()
        });
    }
    let is_held = |food: FoodId| {
        record
            .iter()
            .any(|whole| library.is_one_of(food, &library.food(*whole).holds))
    };
    open.retain(|row| row.component.food.is_some_and(|food| !is_held(food)));
    open
}

/// Missing parts, and a plate of nothing but meat.
pub(super) fn parts(case: &Case<'_>) -> Vec<Finding> {
    let library = case.library;
    let menu = counted(library, case.estimate);
    let mut found = Vec::new();
    if let Some(written) = case.written {
        let (implied, named): (Vec<&Row>, Vec<&Row>) = unanswered(library, menu.clone(), written)
            .into_iter()
            .partition(|row| row.component.origin == Origin::Implied);
        found.extend(missing(case, "parts-named", Sureness::Likely, &named));
        found.extend(missing(case, "parts-implied", Sureness::Possible, &implied));
    }
    let said = match case.written {
        Some(written) => counted(library, written),
        None => menu,
    };
    let is_asked = found.iter().any(|finding| finding.kind == "parts-named");
    let is_alone = |row: &&Row| {
        let food = row.component.food;
        food.is_some_and(|food| library.is_one_of(food, &library.rules.review.alone))
    };
    if !is_asked && !said.is_empty() && said.iter().all(is_alone) {
        let mut blanks = case.energies();
        blanks.push(("parts", names(library, &said, "and")));
        found.push(case.finding("only-meat", Sureness::Possible, &blanks));
    }
    found
}

fn missing(case: &Case<'_>, kind: &str, sure: Sureness, rows: &[&Row]) -> Option<Finding> {
    if rows.is_empty() {
        return None;
    }
    let with_energy: Vec<String> = rows
        .iter()
        .map(|row| {
            format!(
                "{} (about {})",
                name(case.library, row),
                case.about(energy(row))
            )
        })
        .collect();
    let blanks = |parts: String| {
        let mut blanks = case.energies();
        blanks.push(("parts", parts));
        blanks
    };
    // What was seen is for the coach, with energy; the question is for the client, in the open form.
    let seen = case.finding(kind, sure, &blanks(listed(&with_energy, "and")));
    let asked = case.finding(kind, sure, &blanks(names(case.library, rows, "or")));
    Some(Finding {
        question: asked.question,
        title: asked.title,
        ..seen
    })
}

/// What a part is called in a question: as the words have it, else a plain name of the food.
pub(super) fn name(library: &Library, row: &Row) -> String {
    names_of(library, &row.component)
        .into_iter()
        .next()
        .unwrap_or_else(|| crate::entries::short_name(library, &row.component.name))
}

fn names(library: &Library, rows: &[&Row], last: &str) -> String {
    let mut names: Vec<String> = Vec::new();
    for row in rows {
        let name = name(library, row);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    listed(&names, last)
}
