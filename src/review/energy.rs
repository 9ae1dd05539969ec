//! Energy and macros: whether they can be true together, whether they are there, and where they stand among such plates.

use super::wording::{grams_in_words, span_in_words, standing_in_words};
use super::{Case, Figures, Finding, Sureness};
use crate::estimate::{Nutrient, Range};
use crate::library::schema::{ReviewEntry, TailEntry};
use crate::questions::listed;

/// kcal that written macros can give: by the lowest, the general and the highest factors.
///
/// The ends allow for rounding of the grams, for `fibre` (g), which tables count differently, and for `alcohol` (g): where
/// none is written, the plate's may stand behind the energy. None where a macro is missing.
pub(super) fn given(
    rules: &ReviewEntry,
    figures: &Figures,
    fibre: f64,
    alcohol: f64,
) -> Option<Range> {
    let factors = &rules.factors;
    let carbohydrate = figures.carbohydrate?;
    let parts = [
        (figures.protein?, factors.protein),
        (figures.fat?, factors.fat),
        (carbohydrate, factors.carbohydrate),
        (figures.alcohol.unwrap_or(0.0), factors.alcohol),
    ];
    let mut given = Range {
        low: -rules.rounding_kcal,
        likely: 0.0,
        high: rules.rounding_kcal,
    };
    for (grams, [low, general, high]) in parts {
        let up = if grams > 0.0 { rules.rounding_g } else { 0.0 };
        given.low += low * (grams - rules.rounding_g).max(0.0);
        given.likely += general * grams;
        given.high += high * (grams + up);
    }
    // Fibre is a part of the carbohydrate, or stands beside it.
    given.low = (given.low - rules.fibre_kcal * fibre.min(carbohydrate)).max(0.0);
    given.high += rules.fibre_kcal * fibre;
    if figures.alcohol.is_none() {
        given.high += factors.alcohol[2] * alcohol;
    }
    Some(given)
}

/// Energy that the macros cannot give.
pub(super) fn against_macros(case: &Case<'_>) -> Option<Finding> {
    let kcal = case.figures.kcal.filter(|kcal| *kcal > 0.0)?;
    if case.are_macros_zero() {
        return None;
    }
    let fibre = case.estimate.total(Nutrient::Fibre).high;
    let alcohol = case.estimate.total(Nutrient::Alcohol).high;
    let given = given(&case.library.rules.review, &case.figures, fibre, alcohol)?;
    let kind = match kcal {
        kcal if kcal > given.high => "energy-above-macros",
        kcal if kcal < given.low => "energy-below-macros",
        _ => return None,
    };
    let mut blanks = case.energies();
    blanks.push(("macros", case.macros_in_words()));
    blanks.push(("given", case.about(given.likely)));
    blanks.push(("gap", case.about((kcal - given.likely).abs())));
    Some(case.finding(kind, Sureness::Certain, &blanks))
}

/// Figures that are not there, or all zero.
pub(super) fn missing(case: &Case<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    let has_energy = case.figures.kcal.is_some_and(|kcal| kcal > 0.0);
    let wanted = case.estimate.total(Nutrient::Energy).likely;
    if !has_energy && wanted > case.library.rules.review.part_kcal {
        found.push(case.finding("energy-missing", Sureness::Certain, &case.energies()));
    }
    if has_energy && case.are_macros_zero() {
        found.push(case.finding("macros-zero", Sureness::Certain, &case.energies()));
    }
    let absent: Vec<Nutrient> = case
        .macros()
        .into_iter()
        .filter(|(_, grams)| grams.is_none())
        .map(|(nutrient, _)| nutrient)
        .collect();
    if has_energy && !absent.is_empty() {
        let in_words = |words: &dyn Fn(Nutrient) -> String| {
            let words: Vec<String> = absent.iter().map(|nutrient| words(*nutrient)).collect();
            listed(&words, "and")
        };
        let mut blanks = case.energies();
        blanks.push(("nutrient", in_words(&|nutrient| nutrient.name().to_owned())));
        let range = |nutrient: Nutrient| {
            let span = span_in_words(case.estimate.total(nutrient));
            format!("{span} {}", nutrient.name())
        };
        blanks.push(("range", in_words(&range)));
        found.push(case.finding("macros-missing", Sureness::Certain, &blanks));
    }
    found
}

/// Energy and macros outside what such plates have.
pub(super) fn standing(case: &Case<'_>) -> Vec<Finding> {
    let rules = &case.library.rules.review;
    let mut found = Vec::new();
    let mut energy_side = "";
    if let Some(kcal) = case.figures.kcal.filter(|kcal| *kcal > 0.0) {
        let tails = (&rules.energy_tail, rules.rounding_kcal);
        if let Some((side, sure, below)) = tail(case, Nutrient::Energy, kcal, tails) {
            energy_side = side;
            let mut blanks = case.energies();
            blanks.push(("standing", standing_in_words(below)));
            found.push(case.finding(&format!("energy-{side}"), sure, &blanks));
        }
    }
    if case.are_macros_zero() {
        return found;
    }
    for (nutrient, grams) in case.macros() {
        let tails = (&rules.macro_tail, rules.macro_slack);
        let Some((grams, (side, sure, below))) =
            grams.and_then(|grams| Some((grams, tail(case, nutrient, grams, tails)?)))
        else {
            continue;
        };
        // A plate with little energy has little of everything: one question is enough.
        if side == energy_side {
            continue;
        }
        let mut blanks = case.energies();
        blanks.push(("nutrient", nutrient.name().to_owned()));
        blanks.push(("grams", grams_in_words(grams)));
        blanks.push(("range", span_in_words(case.estimate.total(nutrient))));
        blanks.push(("standing", standing_in_words(below)));
        found.push(case.finding(&format!("macro-{side}"), sure, &blanks));
    }
    found
}

/// The tail a figure lies in: its side, how sure, and the share of plates below. None within the range and its slack.
fn tail(
    case: &Case<'_>,
    nutrient: Nutrient,
    figure: f64,
    (tails, slack): (&TailEntry, f64),
) -> Option<(&'static str, Sureness, f64)> {
    let range = case.estimate.total(nutrient);
    let below = case.estimate.distribution(nutrient).below(figure);
    let share = case.library.rules.review.slack;
    let is_low = figure < range.low * (1.0 - share) - slack && below < tails.possible;
    let is_high = figure > range.high * (1.0 + share) + slack && 1.0 - below < tails.possible;
    let side = match (is_low, is_high) {
        (true, _) => "low",
        (_, true) => "high",
        _ => return None,
    };
    let sure = if below.min(1.0 - below) < tails.likely {
        Sureness::Likely
    } else {
        Sureness::Possible
    };
    Some((side, sure, below))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;

    fn of(protein: f64, fat: f64, carbohydrate: f64) -> Figures {
        Figures {
            protein: Some(protein),
            fat: Some(fat),
            carbohydrate: Some(carbohydrate),
            ..Figures::default()
        }
    }

    #[track_caller]
    fn range(figures: &Figures, fibre: f64, alcohol: f64) -> Range {
        given(&Library::embedded().rules.review, figures, fibre, alcohol).unwrap()
    }

    #[test]
    fn the_general_factors_give_what_the_regulation_says() {
        // 21 CFR 101.9(c)(1)(i)(B): 40·4 + 12·9 + 50·4 = 468.
        let given = range(&of(40.0, 12.0, 50.0), 0.0, 0.0);
        assert!((given.likely - 468.0).abs() < 1e-9);
        // 3.41·39.5 + 8.37·11.5 + 3.57·49.5 - 5 = 402.665; 4.36·40.5 + 9.02·12.5 + 4.16·50.5 + 5 = 504.41
        // (Handbook 74, table 13, and half a gram and 5 kcal of rounding by 101.9(c)).
        assert!((given.low - 402.665).abs() < 1e-6, "{given:?}");
        assert!((given.high - 504.41).abs() < 1e-6, "{given:?}");
    }

    #[test]
    fn foods_with_specific_factors_agree_with_themselves() {
        // USDA SR: chicken breast, roasted, 165 kcal from 31.02 and 3.57 g, where 4 and 9 give 156; raw white rice
        // 365 kcal from 7.13, 0.66 and 79.95 g, where they give 354.
        for (kcal, figures) in [
            (165.0, of(31.02, 3.57, 0.0)),
            (365.0, of(7.13, 0.66, 79.95)),
        ] {
            let given = range(&figures, 0.0, 0.0);
            assert!(given.low < kcal && kcal < given.high, "{kcal}: {given:?}");
        }
    }

    #[test]
    fn fibre_and_alcohol_may_stand_behind_the_energy() {
        let figures = of(0.0, 0.0, 4.0);
        let (without, with) = (range(&figures, 0.0, 0.0), range(&figures, 0.0, 14.0));
        // A standard drink, 14 g of ethanol at 7 kcal/g (Regulation (EU) 1169/2011, annex XIV): 98 kcal more.
        assert!((with.high - without.high - 98.0).abs() < 1e-9);
        // 10 g of fibre at 2 kcal/g (the same).
        assert!((range(&figures, 10.0, 0.0).high - without.high - 20.0).abs() < 1e-9);
        // Alcohol that is written is not allowed for twice.
        let written = Figures {
            alcohol: Some(14.0),
            ..figures
        };
        assert_eq!(range(&written, 0.0, 14.0), range(&written, 0.0, 0.0));
        let missing = Figures {
            fat: None,
            ..figures
        };
        assert_eq!(
            given(&Library::embedded().rules.review, &missing, 0.0, 0.0),
            None
        );
    }
}
