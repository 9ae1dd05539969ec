//! An amount as a person would write it: the unit that a rule of the trade gives, and a number that is not finer than
//! anybody measures. Units, order and steps are data: `rules/record.toml`.

use super::gather::{Draft, Kind, expected_grams};
use super::{Measure, name};
use crate::estimate::Estimate;
use crate::library::schema::WrittenEntry;
use crate::library::{FoodId, Library};
use crate::plate::density;

/// How much, as a person writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// "1 1/2 cups"; "180 g or 1 piece" for an open choice.
    pub text: String,
    /// The rounded number; none for an open choice of several.
    pub number: Option<f64>,
    /// The unit's name ("cups"); none for an open choice of several.
    pub unit: Option<String>,
    /// "1 cupped hand is 1/4 to 1/2 cup", where a unit needs explaining.
    pub stands_for: Vec<String>,
    /// Of an open choice: each option with its own amount ("French fries 180 g").
    pub options: Vec<String>,
}

/// What an amount is of: foods with their grams.
type Weighed = [(Option<FoodId>, f64)];

/// The amount of a line; `by_energy` are its rows, largest first.
pub fn of(
    library: &Library,
    estimate: &Estimate,
    draft: &Draft,
    by_energy: &[usize],
    measure: Measure,
) -> Amount {
    let weighed = |rows: &[usize]| -> Vec<(Option<FoodId>, f64)> {
        rows.iter()
            .map(|at| {
                (
                    estimate.rows[*at].component.food,
                    expected_grams(estimate, *at),
                )
            })
            .collect()
    };
    match draft.kind {
        Kind::Choice(choice) => of_choice(library, estimate, draft, choice, measure),
        Kind::Gathered => written(library, &weighed(by_energy), None, measure),
        Kind::Single | Kind::Whole(_) => {
            // A whole dish is measured as its own food, which stands first, whatever was put on it.
            let of = estimate.rows[draft.rows[0]].component.food;
            written(library, &weighed(&draft.rows), of, measure)
        }
    }
}

/// "180 g or 1 piece": each option at its full amount; of more than two, "1 portion" and the amounts beside it.
fn of_choice(
    library: &Library,
    estimate: &Estimate,
    draft: &Draft,
    choice: usize,
    measure: Measure,
) -> Amount {
    let names = estimate
        .plate
        .choices
        .get(choice)
        .map_or(&[][..], |choice| &choice.options);
    let mut all = Amount {
        text: String::new(),
        number: None,
        unit: None,
        stands_for: Vec::new(),
        options: Vec::new(),
    };
    let mut texts: Vec<String> = Vec::new();
    for (option, name) in names.iter().enumerate() {
        let parts: Vec<(Option<FoodId>, f64)> = draft
            .rows
            .iter()
            .filter(|at| estimate.rows[**at].component.option == Some((choice, option)))
            .map(|at| {
                let grams = expected_grams(estimate, *at) * names.len() as f64;
                (estimate.rows[*at].component.food, grams)
            })
            .collect();
        let amount = match parts.as_slice() {
            [] => continue,
            [(food, _)] => written(library, &parts, *food, measure),
            _ => written(library, &parts, None, measure),
        };
        all.options
            .push(format!("{} {}", name::short(name), amount.text));
        texts.push(amount.text);
        for size in amount.stands_for {
            if !all.stands_for.contains(&size) {
                all.stands_for.push(size);
            }
        }
    }
    all.text = match texts.as_slice() {
        [] | [_, _, _, ..] => "1 portion".to_owned(),
        few => few.join(" or "),
    };
    all
}

/// The amount of foods together, in the units of `of`, or of the food that weighs most.
fn written(library: &Library, parts: &Weighed, of: Option<FoodId>, measure: Measure) -> Amount {
    let together = of.is_none();
    let of = of.or_else(|| {
        parts
            .iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .and_then(|(food, _)| *food)
    });
    let grams: f64 = parts.iter().map(|(_, grams)| grams).sum();
    let mut units = units_of(library, of, measure);
    // Ounces of one food and grams of another are weighed in grams together.
    if together
        && parts
            .iter()
            .any(|(food, _)| units_of(library, *food, measure) != units)
    {
        if measure == Measure::Scale {
            units = units_of(library, None, measure);
        } else {
            units.extend(units_of(library, None, measure));
        }
    }
    let best = units
        .into_iter()
        .enumerate()
        .filter_map(|(rank, unit)| {
            let number = if together {
                numbers_together(library, parts, unit)?
            } else {
                grams / grams_in(library, of, unit)?
            };
            (number.is_finite() && number > 0.0).then_some((rank, unit, number))
        })
        .min_by(|a, b| cost(a).total_cmp(&cost(b)));
    match best {
        Some((_, unit, number)) => worded(unit, number),
        // Nothing says how to measure it otherwise.
        None => {
            let grams = grams.max(1.0).round();
            Amount {
                text: format!("{grams} g"),
                number: Some(grams),
                unit: Some("g".to_owned()),
                stands_for: Vec::new(),
                options: Vec::new(),
            }
        }
    }
}

/// The units that a food may be written in, best first.
fn units_of(library: &Library, food: Option<FoodId>, measure: Measure) -> Vec<&WrittenEntry> {
    let rules = &library.rules;
    let fits = |entry: &&crate::library::schema::RecordEntry| {
        let of = entry.of.is_empty() || food.is_some_and(|food| library.is_one_of(food, &entry.of));
        let recorded = entry
            .recorded_in
            .as_ref()
            .is_none_or(|unit| food.is_some_and(|food| library.food(food).record_in == *unit));
        entry.measure == measure.name() && of && recorded
    };
    let Some(entry) = rules.record.iter().find(fits) else {
        return Vec::new();
    };
    entry
        .units
        .iter()
        .filter_map(|id| rules.written.iter().find(|written| written.id == *id))
        .collect()
}

/// g of a food in one of a unit: its own measure, else the unit's weight, or its volume at the food's density.
fn grams_in(library: &Library, food: Option<FoodId>, unit: &WrittenEntry) -> Option<f64> {
    let entry = library
        .rules
        .units
        .iter()
        .find(|known| known.id == unit.id)?;
    let measure = entry.measures.first().unwrap_or(&entry.id);
    // A menu's "cup" of beer is a vessel, no measure: a drink goes by its density.
    let poured = food.is_some_and(|food| library.category(food).group == "drink");
    let own = food.and_then(|food| {
        library.food(food).measures.get(match entry.kind.as_str() {
            "piece" => &unit.id,
            _ => measure,
        })
    });
    match (entry.kind.as_str(), entry.size) {
        ("piece", _) => own.copied(),
        ("mass", size) => size,
        ("volume", Some(size)) => own
            .filter(|_| !poured)
            .copied()
            .or_else(|| Some(size * food.map_or(0.8, |food| density(library, food)))),
        _ => None,
    }
}

/// The number of a unit that several foods make together: weights and volumes add up, pieces do not.
fn numbers_together(library: &Library, parts: &Weighed, unit: &WrittenEntry) -> Option<f64> {
    let entry = library
        .rules
        .units
        .iter()
        .find(|known| known.id == unit.id)?;
    if entry.kind == "piece" {
        return None;
    }
    parts
        .iter()
        .map(|(food, grams)| grams_in(library, *food, unit).map(|one| grams / one))
        .sum()
}

/// How ill a unit suits a number: by how far rounding moves it, by how unnatural the number is, then by the order of the
/// rule.
fn cost((rank, unit, number): &(usize, &WrittenEntry, f64)) -> f64 {
    let moved = (rounded(unit, *number) / number).ln().abs();
    let unnatural = if *number < unit.from {
        1.0 + (unit.from / number).ln()
    } else if *number > unit.to {
        1.0 + (number / unit.to).ln()
    } else {
        0.0
    };
    moved + unnatural + 0.2 * *rank as f64
}

/// The number as the ladder of the unit has it; never 0.
fn rounded(unit: &WrittenEntry, number: f64) -> f64 {
    let least = unit.steps.first().map_or(1.0, |(_, step)| *step);
    let step = unit
        .steps
        .iter()
        .find(|(to, _)| number <= *to)
        .or(unit.steps.last())
        .map_or(1.0, |(_, step)| *step);
    ((number / step).round() * step).max(least)
}

fn worded(unit: &WrittenEntry, number: f64) -> Amount {
    let number = rounded(unit, number);
    let name = if number > 1.0 { &unit.many } else { &unit.one };
    Amount {
        text: format!("{} {name}", spelled(number, unit.fractions)),
        number: Some(number),
        unit: Some(name.clone()),
        stands_for: unit
            .stands_for
            .iter()
            .map(|size| format!("1 {} is {size}", unit.one))
            .collect(),
        options: Vec::new(),
    }
}

/// "1 1/2", "3/4", "5.5", "120".
fn spelled(number: f64, fractions: bool) -> String {
    let whole = number.floor();
    let quarters = ((number - whole) * 4.0).round();
    let exact = ((number - whole) * 4.0 - quarters).abs() < 1e-9;
    if !fractions || !exact || quarters == 0.0 || quarters == 4.0 {
        let hundredths = (number * 100.0).round() / 100.0;
        return format!("{hundredths}");
    }
    let part = match quarters as u8 {
        1 => "1/4",
        2 => "1/2",
        _ => "3/4",
    };
    if whole == 0.0 {
        part.to_owned()
    } else {
        format!("{whole} {part}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(id: &str) -> WrittenEntry {
        Library::embedded()
            .rules
            .written
            .iter()
            .find(|unit| unit.id == id)
            .cloned()
            .expect("shipped")
    }

    #[test]
    fn amounts_are_ones_a_person_would_write() {
        let said = |id: &str, number: f64| worded(&unit(id), number).text;
        assert_eq!(said("cup", 1.46), "1 1/2 cups");
        assert_eq!(said("cup", 0.27), "1/4 cup");
        assert_eq!(said("oz", 5.1), "5 oz");
        assert_eq!(said("oz", 5.4), "5.5 oz");
        assert_eq!(said("slice", 2.1), "2 slices");
        assert_eq!(said("g", 34.8), "35 g");
        assert_eq!(said("g", 412.0), "410 g");
        assert_eq!(said("g", 3.4), "3 g");
        assert_eq!(said("cupped-hand", 1.4), "1 1/2 cupped hands");
    }

    #[test]
    fn an_amount_is_never_nothing() {
        for unit in &Library::embedded().rules.written {
            assert!(rounded(unit, 1e-9) > 0.0, "{}", unit.id);
            assert!(rounded(unit, 1e9).is_finite(), "{}", unit.id);
        }
    }

    #[test]
    fn rounding_moves_a_natural_number_by_a_quarter_at_most_or_to_the_least_step() {
        for unit in &Library::embedded().rules.written {
            let mut number = unit.from.max(2.0);
            while number < unit.to.min(200.0) {
                let moved = (rounded(unit, number) / number).ln().abs();
                assert!(moved < 0.29, "{number} {} moves by {moved}", unit.id);
                number += 0.07;
            }
        }
    }

    #[test]
    fn a_hand_measure_says_what_it_stands_for() {
        assert_eq!(
            worded(&unit("fist"), 2.0).stands_for,
            ["1 fist is about 1 cup"]
        );
        assert!(worded(&unit("cup"), 2.0).stands_for.is_empty());
    }
}
