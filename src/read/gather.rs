//! Lists that belong to the noun behind them: "ham and cheese omelette", "bacon, egg and cheese biscuit".
//!
//! A dish that gathers (its pattern says so) takes the ingredients listed just before it, as far back as its slots accept
//! them, where it has an ingredient before its own noun: "steak and salad" are two things, "steak and cheese salad" is one.

use super::syntax::{Amount, Head, Item, Link, Meal, Part, Stance};
use crate::library::{DishId, Library};

/// Moves gathered ingredients into the dish behind them.
pub fn gather(library: &Library, text: &str, meal: &mut Meal) {
    let mut at = 1;
    while at < meal.items.len() {
        let taken = taken_by(library, text, &meal.items, at);
        if taken > 0 {
            let start = at - taken;
            let link = meal.items[start].link;
            let before: Vec<Item> = meal.items.drain(start..at).collect();
            for word in &mut meal.not_understood {
                word.item = word.item.map(|item| {
                    if item > start {
                        item.saturating_sub(taken).max(start)
                    } else {
                        item
                    }
                });
            }
            let dish = &mut meal.items[start];
            dish.link = link;
            dish.span.0 = before[0].span.0;
            if let Some(head) = whole_name(library, text, &before, dish) {
                dish.head = Some(head);
                dish.head_span.0 = before[0].head_span.0;
                dish.sizes.extend(&before[0].sizes);
                continue;
            }
            let mut parts: Vec<Part> = Vec::new();
            for item in before {
                // "half a ham and cheese sandwich", "6-inch ham and cheese sub": said of the dish, not of the ham.
                let of_dish = |amount: &Amount| amount.share || amount.unit.is_some();
                dish.amount = dish.amount.or(item.amount.filter(of_dish));
                // "double egg and cheese sandwich": the size is the first ingredient's dish's.
                dish.sizes.extend(item.sizes);
                parts.extend(item.parts);
                if let Some(head) = item.head {
                    parts.push(Part {
                        head,
                        preparations: item.preparations,
                        amount: item.amount.filter(|amount| !of_dish(amount)),
                        role: None,
                        span: item.span,
                        plural: item.plural,
                    });
                }
            }
            parts.append(&mut dish.parts);
            dish.parts = parts;
            at = start;
        }
        at += 1;
    }
}

/// "Sausage, egg and cheese muffin": the list and the dish together are a name of their own, but for the commas.
fn whole_name(library: &Library, text: &str, before: &[Item], dish: &Item) -> Option<Head> {
    let bare = |item: &Item| {
        item.parts.is_empty() && item.preparations.is_empty() && item.amount.is_none()
    };
    if !dish.parts.is_empty() || !before.iter().all(bare) {
        return None;
    }
    let words = text.get(before[0].head_span.0..dish.head_span.1)?;
    let terms = library
        .vocabulary()
        .find(&crate::library::stems(words).concat());
    terms.iter().find_map(|term| match term {
        crate::library::Term::Dish(id) => Some(Head::Dish(*id)),
        _ => None,
    })
}

/// "Bacon, egg and cheese biscuit": the dish's own name is the end of a list.
fn ends_a_list(text: &str, dish: &Item) -> bool {
    let words = crate::library::stems(text.get(dish.span.0..dish.span.1).unwrap_or_default());
    dish.link == Link::Comma && words.len() >= 4 && words.contains(&"and".to_owned())
}

/// How many of the items just before `at` the dish there takes.
fn taken_by(library: &Library, text: &str, items: &[Item], at: usize) -> usize {
    let dish = &items[at];
    let id = match dish.head {
        Some(Head::Dish(id)) => id,
        Some(Head::Food(food)) => return flavours_before(library, items, at, food),
        _ => return 0,
    };
    let container = library.dish(id).extras == crate::library::Role::Filling;
    let list = ends_a_list(text, dish);
    let filled = container && dish.link == Link::And && begins_with_food(library, text, dish);
    if !(library.dish(id).gathers || container && list || filled)
        || dish.parts.is_empty() && !list && !filled
        || !matches!(
            dish.link,
            Link::And | Link::Comma | Link::Detail | Link::With
        )
        || dish.stance != Stance::Plain
    {
        return 0;
    }
    let mut taken = 0;
    while taken < at {
        let item = &items[at - taken - 1];
        let joined = items[at - taken].link;
        let listed = matches!(joined, Link::And | Link::Comma);
        let ingredient = match item.head {
            Some(Head::Food(food)) => {
                let of_dish = |amount: Amount| {
                    amount
                        .unit
                        .is_none_or(|unit| library.rules.units[unit].kind == "length")
                };
                let fits = match filled && !list {
                    // "Ham and turkey club", but not "wings and chicken sandwich".
                    true => fills(library, id, food) && (!item.plural || is_sliced(library, food)),
                    false => accepts(library, id, food),
                };
                fits && item.amount.is_none_or(of_dish)
            }
            _ => false,
        };
        if !listed
            || !ingredient
            || item.group != dish.group
            || item.stance != Stance::Plain
            || !item.alternatives.is_empty()
        {
            break;
        }
        taken += 1;
    }
    taken
}

/// "Parmesan and garlic fries": what only tops or flavours, joined by "and" to a food that has such a part itself.
fn flavours_before(
    library: &Library,
    items: &[Item],
    at: usize,
    food: crate::library::FoodId,
) -> usize {
    use crate::library::Role;
    let item = &items[at];
    let before = &items[at - 1];
    let flavour = |head: Head| match head {
        Head::Food(part) => {
            let category = library.category(part);
            category.group == "herb"
                || matches!(
                    library.food(part).served_as,
                    Role::Topping | Role::Garnish | Role::Sauce
                )
        }
        _ => false,
    };
    let tops = matches!(
        library.category(food).served_as,
        Role::Main | Role::Side | Role::Dessert
    );
    let joined =
        item.link == Link::And && before.group == item.group && before.stance == Stance::Plain;
    let simple =
        before.amount.is_none() && before.parts.is_empty() && before.alternatives.is_empty();
    let alike = item
        .parts
        .first()
        .is_some_and(|part| flavour(part.head) && part.role.is_none());
    usize::from(tops && joined && simple && alike && before.head.is_some_and(flavour))
}

/// "Turkey club": the dish's own name begins with one of its fillings.
fn begins_with_food(library: &Library, text: &str, dish: &Item) -> bool {
    let words = crate::library::stems(
        text.get(dish.head_span.0..dish.head_span.1)
            .unwrap_or_default(),
    );
    let Some(Head::Dish(id)) = dish.head else {
        return false;
    };
    let mut names =
        (1..words.len()).flat_map(|length| library.vocabulary().find(&words[..length].concat()));
    dish.parts.is_empty()
        && names.any(|term| match term {
            crate::library::Term::Food(food) => fills(library, id, food),
            _ => false,
        })
}

/// Whether one of a dish's slots holds or accepts a food.
fn fills(library: &Library, dish: DishId, food: crate::library::FoodId) -> bool {
    let mut slots = library.dish(dish).slots.iter();
    slots.any(|slot| library.is_one_of(food, &slot.accepts) || slot.food == food)
}

/// What is written in the plural without being pieces of an order.
fn is_sliced(library: &Library, food: crate::library::FoodId) -> bool {
    library.category(food).group != "protein" || library.category(food).id == "cured-meat"
}

/// Whether a dish pattern has a place for a food: a slot that accepts it, or the usual fillings of its extras.
fn accepts(library: &Library, dish: DishId, food: crate::library::FoodId) -> bool {
    let dish = library.dish(dish);
    let slot = dish
        .slots
        .iter()
        .any(|slot| library.is_one_of(food, &slot.accepts) || slot.food == food);
    let group = library.category(food).group.as_str();
    slot || matches!(
        group,
        "protein" | "dairy" | "vegetable" | "fruit" | "sauce" | "fat" | "herb"
    ) && library.food(food).served_as != crate::library::Role::Drink
}
