//! Which components a negation or a remark means.

use super::{Component, PlateDish};
use crate::library::{FoodId, Library, Term, stems};
use crate::read::{Head, Item, Remark, Span};

/// What is said not to be there.
pub struct Target {
    said: String,
    words: Vec<String>,
    food: Option<FoodId>,
    /// Categories, groups or foods of a word for a whole kind ("sauce").
    kinds: Vec<String>,
}

/// The target of a negated item.
pub fn target_of(library: &Library, text: &str, item: &Item) -> Option<Target> {
    let said = text.get(item.span.0..item.span.1)?.to_owned();
    let words = stems(&said);
    let kinds = match item.head {
        Some(Head::Class(class)) => library.rules.classes[class].of.clone(),
        Some(Head::Food(_)) if item.parts.is_empty() => class_of(library, &words),
        _ => Vec::new(),
    };
    let food = match item.head {
        Some(Head::Food(food)) => Some(food),
        Some(Head::Dish(dish)) => library.dish(dish).slots.first().map(|slot| slot.food),
        _ => None,
    };
    (food.is_some() || !kinds.is_empty()).then_some(Target {
        said,
        words,
        food,
        kinds,
    })
}

/// The kinds that words stand for, where they are a word for a whole kind of food.
pub fn class_of(library: &Library, words: &[String]) -> Vec<String> {
    library
        .vocabulary()
        .find(&words.concat())
        .iter()
        .find_map(|term| {
            if let Term::Class(class) = term {
                Some(library.rules.classes[*class].of.clone())
            } else {
                None
            }
        })
        .unwrap_or_default()
}

impl Target {
    /// The words.
    pub fn said(&self) -> &str {
        &self.said
    }

    /// Whether a whole kind is meant, such as "sauce" or "sides".
    pub fn is_kind(&self) -> bool {
        !self.kinds.is_empty()
    }

    /// Whether a component is meant: the same food, one of the kind, or one of its category that shares the words' noun.
    pub fn matches(
        &self,
        library: &Library,
        food: FoodId,
        said: Option<&(String, Span)>,
        implied: bool,
    ) -> bool {
        if !self.kinds.is_empty() {
            return library.is_one_of(food, &self.kinds);
        }
        let Some(target) = self.food else {
            return false;
        };
        if target == food {
            return true;
        }
        if library.food(target).category != library.food(food).category {
            return false;
        }
        let noun = self.words.last();
        let of_name = stems(&library.food(food).name);
        let of_said = said
            .filter(|_| !implied)
            .map(|(said, _)| stems(said))
            .unwrap_or_default();
        noun.is_some_and(|noun| of_name.contains(noun) || of_said.contains(noun))
    }
}

/// Whether a remark speaks of a component; a remark on a dish speaks of all its parts.
pub fn remark_matches(
    library: &Library,
    remark: &Remark,
    component: &Component,
    dishes: &[PlateDish],
) -> bool {
    let Some(head) = remark.of else { return true };
    let words = stems(&remark.said);
    let noun = words.last();
    match head {
        Head::Dish(dish) => {
            let named = dishes.get(component.dish);
            let same = named
                .and_then(|named| named.id.as_ref())
                .is_some_and(|id| *id == library.dish(dish).id);
            let alike = named
                .is_some_and(|named| noun.is_some_and(|noun| stems(&named.name).contains(noun)));
            same || alike
        }
        Head::Class(class) => component
            .food
            .is_some_and(|food| library.is_one_of(food, &library.rules.classes[class].of)),
        Head::Food(food) => {
            let Some(own) = component.food else {
                return false;
            };
            let kinds = class_of(library, &words);
            let of_name = stems(&component.name);
            let of_said = component
                .said
                .as_ref()
                .map(|(said, _)| stems(said))
                .unwrap_or_default();
            let spoken = noun.is_some_and(|noun| {
                of_name.contains(noun)
                    || of_said.last() == Some(noun) && component.origin != super::Origin::Implied
            });
            let whole = component.origin == super::Origin::WholeDish
                && library.category(own).id == library.category(food).id.clone() + "-dish";
            own == food || library.is_one_of(own, &kinds) || spoken || whole
        }
    }
}

/// Whether a component's own name has the noun of a remark.
pub fn is_called(remark: &Remark, component: &Component) -> bool {
    stems(&remark.said)
        .last()
        .is_some_and(|noun| stems(&component.name).contains(noun))
}
