//! The meat that a dish's own words name: the lamb of "lamb stew", the prawns of "prawn curry".

use super::preparation::is_coated;
use crate::library::{DishId, FoodId, Library, Origin, Role, Term, stems};

/// The food of these words, where they are one.
fn food_of(library: &Library, words: &[String]) -> Option<FoodId> {
    let terms = library.vocabulary().find(&words.concat());
    terms.iter().find_map(|term| match term {
        Term::Food(food) => Some(*food),
        _ => None,
    })
}

/// Whether a food such as a stew is made of meat or fish: its recipe or its name says so, or what it holds.
pub fn has_meat(library: &Library, body: FoodId) -> bool {
    let food = library.food(body);
    let meat = |food: FoodId| library.category(food).group == "protein";
    let of_recipe = match &food.origin {
        Origin::Blend(parts, _) => parts.iter().any(|(part, _)| meat(*part)),
        Origin::Table(_) => false,
    };
    let mut words = stems(&food.name).into_iter();
    let named = words.any(|word| food_of(library, &[word]).is_some_and(meat));
    let held = library
        .categories
        .iter()
        .any(|category| category.group == "protein" && food.holds.contains(&category.id));
    of_recipe || named || held || food.holds.iter().any(|kind| kind == "protein")
}

/// The dish of the same kind that these words name: "lamb" before the beef stew is the lamb stew.
pub fn sibling(library: &Library, body: FoodId, said: &str) -> Option<FoodId> {
    let name = &library.food(body).name;
    let noun = stems(name.split([',', '(']).next().unwrap_or(name)).pop()?;
    let words = [stems(said).as_slice(), &[noun]].concat();
    let terms = library.vocabulary().find(&words.concat());
    terms.iter().find_map(|term| {
        let food = match term {
            Term::Food(food) => *food,
            Term::Dish(dish) => library.dish(*dish).slots.first()?.food,
            _ => return None,
        };
        (library.food(food).category == library.food(body).category).then_some(food)
    })
}

/// The meat or fish that a dish's own words name, and the slot that it fills instead of what is there by custom.
///
/// Only where it is clearly another: the words name no more than one, by its own name ("tai" is no red snapper in a name
/// that is not English), and not what is there anyway. Where that is fried in a coat, so is what is named.
pub fn own_meat(library: &Library, dish: DishId, words: &[String]) -> Option<(usize, FoodId)> {
    let pattern = library.dish(dish);
    if pattern.extras == Role::Filling {
        return None;
    }
    let mut named: Vec<(&[String], FoodId)> = Vec::new();
    for length in (1..words.len()).rev() {
        for window in words.windows(length) {
            let within = |(longer, _): &(&[String], FoodId)| {
                longer.windows(length).any(|part| part == window)
            };
            if !named.iter().any(within)
                && let Some(meat) = food_of(library, window)
                && is_meat(library, meat)
            {
                named.push((window, meat));
            }
        }
    }
    let [(window, meat)] = named[..] else {
        return None;
    };
    let name = stems(&library.food(meat).name);
    if !window.iter().all(|word| name.contains(word)) {
        return None;
    }
    let slot = pattern.slots.iter().position(|slot| {
        let own = library.category(slot.food);
        let shared = stems(&library.food(slot.food).name);
        own.group == "protein"
            && own.id != "veg-protein"
            && slot.chance > 0.0
            && library.is_one_of(meat, &slot.accepts)
            && !window.iter().any(|word| shared.contains(word))
            && (own.id != library.category(meat).id || differs_within(library, meat))
    })?;
    if is_coated(library, pattern.slots[slot].food) && !is_coated(library, meat) {
        let fried = library.food(meat).variants.get("fried")?;
        return Some((slot, *fried));
    }
    Some((slot, meat))
}

/// Whether a food is one that the rules let stand for what a dish is made of.
fn is_meat(library: &Library, food: FoodId) -> bool {
    let mut rules = library.rules.replaces.iter();
    rules.any(|rule| library.is_one_of(food, &rule.food))
}

/// Whether the foods of one category differ so much that one does not stand for another: salmon is no cod.
fn differs_within(library: &Library, food: FoodId) -> bool {
    let mut rules = library.rules.replaces.iter();
    rules.any(|rule| library.is_one_of(food, &rule.within))
}
