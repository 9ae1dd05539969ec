//! Amounts that a person takes by eye: what such words weigh, and what their own eye makes of that.

use super::portion::{MOST_GRAMS, Served, density, piece_of, round_median, weight};
use crate::estimate::Z90;
use crate::eye::EyeModel;
use crate::library::{FoodId, Library};
use crate::read::Amount;

/// What the words of an amount weigh as they stand, g: nothing is taken off for cooking or bone, since what is guessed or
/// weighed lies on the plate.
///
/// None for a share, and where the food does not say what one of the measure weighs.
pub fn grams_as_said(library: &Library, food: FoodId, amount: &Amount) -> Option<f64> {
    let middle = amount.middle();
    if amount.share {
        return None;
    }
    let Some(unit) = amount.unit.map(|unit| &library.rules.units[unit]) else {
        return Some(piece_of(library, food)?.1 * middle);
    };
    let own = unit
        .measures
        .iter()
        .find_map(|measure| library.food(food).measures.get(measure).copied());
    match (unit.kind.as_str(), unit.size) {
        ("mass", Some(size)) => Some(size * middle),
        ("volume", Some(size)) => Some(own.unwrap_or(size * density(library, food)) * middle),
        ("piece", size) => Some(own.or(size)? * unit.pieces.unwrap_or(1.0) * middle),
        _ => None,
    }
}

/// Grams of a food whose amount was taken by eye, corrected by the person's bias, with the range their scatter earns.
///
/// None where the amount is no guess: a weight that a menu states, a number of pieces, a menu's own glass or bowl.
pub(super) fn by_eye(
    library: &Library,
    food: FoodId,
    amount: &Amount,
    eye: &EyeModel,
) -> Option<Served> {
    let unit = &library.rules.units[amount.unit?];
    let is_weight = unit.kind == "mass";
    if !eye.is_guess(&unit.id, is_weight, amount.vague)
        || !is_weight && library.is_one_of(food, eye.not_on())
    {
        return None;
    }
    let said = grams_as_said(library, food, amount).filter(|grams| *grams > 0.0)?;
    let entry = library.food(food);
    let group = &library.category(food).group;
    let own = eye.of(group);
    let range = if amount.high > amount.low && amount.low > 0.0 {
        (amount.high / amount.low).ln() / (2.0 * Z90)
    } else {
        0.0
    };
    let likely = (said * (-own.bias).exp() * (1.0 - entry.bone)).min(MOST_GRAMS);
    let number = (amount.middle() * 100.0).round() / 100.0;
    let habit = eye.sentence(group);
    let mut steps = vec![format!(
        "{number} {} by eye is {said:.0} g as said; {habit}: {likely:.0} g",
        unit.id
    )];
    if entry.bone > 0.0 {
        steps.push(format!("{:.0} % of it is bone", entry.bone * 100.0));
    }
    Some(Served {
        grams: round_median(likely, own.sigma.hypot(range)),
        stated: true,
        count: None,
        note: Some(format!(
            "{number} {} of {} was taken as a guess by eye, about {} ({habit})",
            unit.id,
            entry.name.to_lowercase(),
            weight(likely)
        )),
        steps,
    })
}
