//! What a cook's hand does to a food: oil taken up, coating added, water lost, or another food altogether.

use crate::library::schema::PreparationEntry;
use crate::library::{FoodId, Library, Per100g};

/// A food after its preparations.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    /// The food, or the variant that takes its place.
    pub food: FoodId,
    /// Figures per 100 g as served.
    pub per_100g: Per100g,
    /// What to call it.
    pub name: String,
    /// Further spread of energy density by how much oil and coating there is (coefficient of variation).
    pub spread: f64,
    /// What was done, in words.
    pub steps: Vec<String>,
    /// Indices of preparations that add parts beside the food.
    pub adding: Vec<usize>,
}

/// Applies preparations, in the order of the words.
///
/// A preparation acts only on the categories it is for; a food that names a variant for it turns into that.
/// Coating and oil are parts of the served weight: 100 g of fried fish hold 9 g of oil, 12 g of flour and 79 g of fish.
pub fn prepare(library: &Library, food: FoodId, preparations: &[usize]) -> Prepared {
    let mut done = Prepared {
        food,
        per_100g: library.food(food).per_100g,
        name: library.food(food).name.clone(),
        spread: 0.0,
        steps: Vec::new(),
        adding: Vec::new(),
    };
    let mut coated = false;
    let mut dried = false;
    for &index in preparations {
        let preparation = &library.rules.preparations[index];
        if !acts_on(library, preparation, done.food) {
            continue;
        }
        if let Some(variant) = preparation
            .variant
            .as_ref()
            .and_then(|key| library.food(done.food).variants.get(key))
            && !coated
        {
            done.food = *variant;
            done.per_100g = library.food(*variant).per_100g;
            done.name = library.food(*variant).name.clone();
            done.steps
                .push(format!("{}: taken as {}", preparation.id, done.name));
            coated = true;
            continue;
        }
        // "crispy fried": one frying, however many words it has.
        if preparation.oil.is_some() && !coated && !fried_already(library, done.food, preparation) {
            cook(library, preparation, &mut done, &mut dried);
            coated = true;
            let word = preparation.id.replace('-', " ");
            if !done.name.to_lowercase().contains(&word) {
                done.name = format!("{}, {word}", done.name);
            }
        } else if preparation.finished_yield.is_some() && library.food(done.food).raw && !dried {
            cook(library, preparation, &mut done, &mut dried);
        }
        if !preparation.adds.is_empty() {
            done.adding.push(index);
        }
    }
    done
}

fn acts_on(library: &Library, preparation: &PreparationEntry, food: FoodId) -> bool {
    (preparation.on.is_empty() || library.is_one_of(food, &preparation.on))
        && !library.is_one_of(food, &preparation.not_on)
}

/// Whether a food's own name says that it was fried in a coat.
pub fn is_coated(library: &Library, food: FoodId) -> bool {
    let name = library.food(food).name.to_lowercase();
    let words = ["breaded", "battered", "tempura"];
    words.iter().any(|word| name.contains(word))
}

/// Whether a food's own name already says that it is fried.
fn fried_already(library: &Library, food: FoodId, preparation: &PreparationEntry) -> bool {
    let name = library.food(food).name.to_lowercase();
    is_coated(library, food)
        || name.contains("fried")
        || preparation.coating.is_none() && name.contains("saut")
}

fn cook(library: &Library, preparation: &PreparationEntry, done: &mut Prepared, dried: &mut bool) {
    let oil = preparation.oil.map_or(0.0, |oil| oil[1]) / 100.0;
    let coating = preparation.coating.map_or(0.0, |coating| coating[1]) / 100.0;
    if library.food(done.food).raw
        && !*dried
        && let Some(left) = preparation.finished_yield
    {
        let (cooked, weight) = cooked(library, done.food, done.per_100g, left);
        done.per_100g = cooked;
        *dried = true;
        done.steps.push(format!(
            "{}: 100 g raw come to {weight:.0} g",
            preparation.id
        ));
    }
    let before = done.per_100g;
    let mut mixed = scale(before, 1.0 - oil - coating);
    let mut energy_spread = 0.0;
    let parts = [
        (
            oil,
            preparation.oil,
            preparation.oil_food.as_deref().unwrap_or("vegetable-oil"),
        ),
        (
            coating,
            preparation.coating,
            preparation.coating_food.as_deref().unwrap_or("breadcrumbs"),
        ),
    ];
    for (share, range, id) in parts {
        let (Some(range), Some(part)) = (range, library.find_food(id)) else {
            continue;
        };
        let figures = library.food(part).per_100g;
        mixed = crate::library::plus(mixed, figures, share);
        // The range is a 10th to 90th percentile; its energy spreads by what replaces the food itself.
        let sd = (range[2] - range[0]) / 100.0 / (2.0 * crate::estimate::Z90);
        energy_spread += (sd * (figures.kcal - before.kcal)).powi(2);
        done.steps.push(format!(
            "{}: {:.0} g {id} in 100 g",
            preparation.id,
            share * 100.0
        ));
    }
    done.per_100g = mixed;
    if mixed.kcal > 0.0 {
        done.spread = (done.spread.powi(2) + energy_spread / mixed.kcal.powi(2)).sqrt();
    }
}

/// Energy of fat, kcal/g: the general Atwater factor, 21 CFR 101.9(c)(1)(i)(B).
const FAT_KCAL: f64 = 9.0;

/// Raw figures after cooking, per 100 g, and what 100 g raw come to: water goes by the yield, which is of all but the fat,
/// and of meat's fat what lies above a floor runs out in part. Protein and carbohydrate stay.
fn cooked(library: &Library, food: FoodId, raw: Per100g, left: f64) -> (Per100g, f64) {
    let loss = library
        .rules
        .fat_loss
        .iter()
        .find(|loss| library.is_one_of(food, &loss.of));
    let lost = loss.map_or(0.0, |loss| loss.share * (raw.fat - loss.above).max(0.0));
    let kept = Per100g {
        kcal: raw.kcal - FAT_KCAL * lost,
        fat: raw.fat - lost,
        ..raw
    };
    let weight = left * (100.0 - raw.fat) + kept.fat;
    // Of pure fat that all runs out nothing would be left.
    let weight = weight.max(1.0);
    (scale(kept, 100.0 / weight), weight)
}

fn scale(figures: Per100g, by: f64) -> Per100g {
    crate::library::plus(Per100g::default(), figures, by)
}
