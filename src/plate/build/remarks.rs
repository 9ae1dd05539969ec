//! Words that nothing knows, and what of it all was eaten.

use super::Builder;
use crate::library::{Per100g, Role};
use crate::plate::afterword::standing;
use crate::plate::matching::{is_called, remark_matches};
use crate::plate::{Component, Origin};
use crate::read::{Head, Meal};

impl Builder<'_> {
    /// Words that nothing knows: they may be a part of the plate, at what such a thing usually weighs.
    pub(super) fn unknown(&mut self, meal: &Meal, components: &mut Vec<Component>) {
        let model = &self.library.rules.model;
        for word in &meal.not_understood {
            let chance = if word.item.is_some() {
                model.unknown_chance
            } else {
                model.unknown_alone_chance
            };
            let kcal = model.unknown_kcal;
            components.push(Component {
                food: None,
                name: format!("\"{}\" (not understood)", word.text),
                dish: self.plate.dishes.len().saturating_sub(1),
                slot: None,
                role: Role::Topping,
                origin: Origin::Unknown,
                said: Some((word.text.clone(), word.span)),
                count: None,
                chance,
                eaten: [1.0; 3],
                remark: None,
                grams: model.unknown_portion,
                stated: false,
                // A sixth of the energy from protein, a third from fat, the rest from carbohydrate: judgement.
                per_100g: Per100g {
                    kcal,
                    protein: kcal / 6.0 / 4.0,
                    fat: kcal / 3.0 / 9.0,
                    carbohydrate: kcal / 2.0 / 4.0,
                    fibre: 1.5,
                    alcohol: 0.0,
                },
                spread: 0.6,
                fatty: false,
                option: None,
                source: "none: the word is not known".to_owned(),
                file: "rules/model.toml".to_owned(),
                steps: vec!["an unknown word, at what such a thing usually weighs".to_owned()],
            });
        }
    }

    /// Where the words stand that put a component on the plate.
    pub(super) fn start_of(&self, component: &Component) -> usize {
        match &component.said {
            Some((_, span)) => span.0,
            None => self
                .dish_starts
                .get(component.dish)
                .copied()
                .unwrap_or_default(),
        }
    }

    pub(super) fn remarks(&mut self, meal: &Meal, components: &mut [Component]) {
        for (index, remark) in standing(&meal.remarks).into_iter().enumerate() {
            let mut hit = false;
            let speaks_of: Vec<bool> = components
                .iter()
                .map(|component| {
                    remark_matches(self.library, remark, component, &self.plate.dishes)
                })
                .collect();
            // "lasagne, ate half of it, and a beer": a remark on all there was speaks of what stands before it.
            let before: Vec<bool> = components
                .iter()
                .map(|component| self.start_of(component) < remark.span.0)
                .collect();
            let speaks_of: Vec<bool> = match remark.of {
                None if before.contains(&true) => before,
                _ => speaks_of,
            };
            // "the rice" of "curry and rice" is the rice: what is so called comes before what only stands in such words.
            let called: Vec<bool> = components
                .iter()
                .zip(&speaks_of)
                .map(|(component, speaks)| *speaks && is_called(remark, component))
                .collect();
            let only_called = matches!(remark.of, Some(Head::Food(_))) && called.contains(&true);
            for (at, component) in components.iter_mut().enumerate() {
                let meant = if only_called {
                    called[at]
                } else {
                    speaks_of[at]
                };
                if meant {
                    hit = true;
                    if remark.eaten[0] < remark.eaten[2] {
                        component.remark = Some(index);
                    }
                    for (eaten, share) in component.eaten.iter_mut().zip(remark.eaten) {
                        *eaten *= share;
                    }
                }
            }
            let whole = if remark.said.is_empty() {
                "the meal"
            } else {
                &remark.said
            };
            let percent = (remark.eaten[1] * 100.0).round();
            self.plate.assumptions.push(match hit {
                true => format!("{percent} % of {whole} was eaten"),
                false => {
                    format!("\"{whole}\" was said to be left or shared, but is not on the plate")
                }
            });
        }
    }
}
