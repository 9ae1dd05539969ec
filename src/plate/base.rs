//! Bases: what the words put under a dish is there instead of the dish's own.
//!
//! "Zucchini noodles with bolognese" names the base first and the dish behind it: the pair is turned about, so that the dish
//! is read first and its base as one of its parts. A base that is named behind its dish fills the slot in the usual way.

use crate::library::{DishId, FoodId, Library, Role, stems};
use crate::read::{Head, Item, Link, Stance};

/// The items with every base behind the dish that it lies under.
pub fn turn(library: &Library, text: &str, items: &mut [Item]) {
    for at in 1..items.len() {
        let (before, rest) = items.split_at_mut(at);
        let (base, dish) = (&mut before[at - 1], &mut rest[0]);
        let first = at == 1 || base.link == Link::Start;
        let pair = match (base.head, dish.head) {
            (Some(Head::Food(food)), Some(Head::Dish(id))) => Some((food, id)),
            _ => None,
        };
        let plain = |item: &Item| item.stance == Stance::Plain && item.alternatives.is_empty();
        let joined = matches!(dish.link, Link::With | Link::In) && !dish.topped;
        let words = text.get(dish.head_span.0..dish.head_span.1);
        if let Some((food, id)) = pair
            && first
            && joined
            && base.group == dish.group
            && plain(base)
            && plain(dish)
            && lies_under(library, food, id, &stems(words.unwrap_or_default()))
        {
            std::mem::swap(&mut base.link, &mut dish.link);
            std::mem::swap(base, dish);
        }
    }
}

/// Whether a dish has a base in whose place this food may be, and its own words do not name that base.
fn lies_under(library: &Library, food: FoodId, dish: DishId, said: &[String]) -> bool {
    let pattern = library.dish(dish);
    if pattern.extras == Role::Filling {
        return false;
    }
    pattern.slots.iter().any(|slot| {
        let own = library.category(slot.food);
        let named = stems(&library.food(slot.food).name)
            .iter()
            .any(|word| said.contains(word));
        own.group == "starch"
            && (library.is_one_of(food, &slot.accepts)
                || slot.accepts.is_empty() && library.category(food).id == own.id)
            && !named
    })
}
