//! How much there was: measures, pieces, sizes.

use super::{Candidate, Finder, Tried};
use crate::estimate::{Estimate, Z90, standard_normal};
use crate::library::schema::QuestionEntry;
use crate::library::{Entry, FoodId};
use crate::plate::Component;
use crate::questions::wording::Places;

/// How many numbers are offered for one question.
const MOST_STEPS: usize = 5;

impl Finder<'_> {
    /// How many pieces an order of a dish had ("tacos"), where the words do not say.
    pub(super) fn orders(&self, found: &mut Vec<Candidate>) {
        let rules = &self.library.rules.questions;
        let Some(at) = rules
            .iter()
            .position(|entry| entry.about == "pieces" && entry.served)
        else {
            return;
        };
        let entry = &rules[at];
        for (index, dish) in self.base.plate.dishes.iter().enumerate() {
            let pattern = dish.id.as_ref().and_then(|id| self.library.find(id));
            let Some(Entry::Dish(pattern)) = pattern else {
                continue;
            };
            let Some([low, likely, high]) = self.library.dish(pattern).served else {
                continue;
            };
            let part = dish.name.to_lowercase();
            let answers = entry
                .steps
                .iter()
                .filter(|step| (low..=high).contains(*step));
            let answers = answers.filter_map(|step| {
                let places = Places {
                    part: part.clone(),
                    number: Some(*step),
                    ..Places::default()
                };
                let text = places.fill(entry.text.as_deref()?);
                let estimate = self.with(&text)?;
                let counted = estimate.plate.dishes.get(index)?.count;
                let takes = (counted - step).abs() < 1e-6 && self.is_new(&estimate);
                takes.then(|| Tried {
                    say: places.fill(entry.say.as_deref().unwrap_or("{n}")),
                    text,
                    // Judgement: each piece away from the usual number halves it.
                    weight: 0.5f64.powf((step - likely).abs()),
                    estimate,
                })
            });
            let places = Places {
                part: part.clone(),
                ..Places::default()
            };
            found.push(Candidate {
                entry: at,
                ask: places.fill(&entry.ask),
                name: part.clone(),
                answers: answers.collect(),
                settles: vec![format!("count of dish {index}")],
                taken_for_granted: false,
            });
        }
    }

    /// A stated number of a measure or of pieces. The numbers near the component's own usual amount are offered, each as
    /// likely as that amount is to lie nearest to it.
    pub(super) fn numbers(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        component: &Component,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let text = entry.text.as_ref()?;
        // In each of three tacos there is some: what it all weighs, the words could not say.
        let dish = self.base.plate.dishes.get(component.dish)?;
        if dish.count > 1.0 && component.slot.is_some() {
            return None;
        }
        let grams = |estimate: &Estimate| {
            estimate
                .plate
                .components
                .iter()
                .find(|part| part.food == Some(food) && part.dish == component.dish && part.stated)
                .map(|part| part.grams[1])
        };
        let numbered = |n: f64| Places {
            number: Some(n),
            ..places.clone()
        };
        let trial = *entry.steps.iter().find(|step| **step >= 2.0)?;
        let one = grams(&self.with(&numbered(trial).fill(text))?)? / trial;
        let steps = near(&entry.steps, one, component.grams);
        let amounts: Vec<f64> = steps.iter().map(|step| step * one).collect();
        let weights = cells(&amounts, component.grams);
        let mut tried = Vec::new();
        for (step, weight) in steps.into_iter().zip(weights) {
            let places = numbered(step);
            let text = places.fill(text);
            let estimate = self.with(&text)?;
            grams(&estimate)?;
            tried.push(Tried {
                say: places.fill(entry.say.as_deref().unwrap_or("{n}")),
                text,
                weight,
                estimate,
            });
        }
        Some(tried)
    }

    /// Sizes, of what has a weight of its own for each.
    pub(super) fn sizes(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let measures = &self.library.food(food).measures;
        let sizes = &self.library.rules.sizes;
        let measured = sizes.iter().filter(|size| measures.contains_key(&size.id));
        if measured.count() < 2 {
            return None;
        }
        self.fixed(entry, places, true)
    }
}

/// The steps that lie near a portion, at most [`MOST_STEPS`], and at least two.
fn near(steps: &[f64], one: f64, portion: [f64; 3]) -> Vec<f64> {
    let distance = |step: f64, grams: f64| (step * one / grams).ln().abs();
    let nearest = |grams: f64| {
        steps
            .iter()
            .copied()
            .min_by(|a, b| distance(*a, grams).total_cmp(&distance(*b, grams)))
    };
    let [low, likely, high] = portion;
    let between = [
        low,
        (low * likely).sqrt(),
        likely,
        (likely * high).sqrt(),
        high,
    ];
    let mut chosen: Vec<f64> = between.into_iter().filter_map(nearest).collect();
    chosen.sort_by(f64::total_cmp);
    chosen.dedup();
    if chosen.len() < 2 {
        let more = steps.iter().copied().filter(|step| !chosen.contains(step));
        chosen.extend(more.min_by(|a, b| distance(*a, likely).total_cmp(&distance(*b, likely))));
        chosen.sort_by(f64::total_cmp);
    }
    chosen.truncate(MOST_STEPS);
    chosen
}

/// How likely a portion is to lie nearest to each of these amounts (rising, g).
fn cells(amounts: &[f64], portion: [f64; 3]) -> Vec<f64> {
    let sigma = ((portion[2] / portion[0]).ln() / (2.0 * Z90)).max(1e-6);
    let below = |grams: f64| standard_normal((grams / portion[1]).ln() / sigma);
    let borders: Vec<f64> = amounts
        .windows(2)
        .map(|pair| below((pair[0] * pair[1]).sqrt()))
        .collect();
    (0..amounts.len())
        .map(|at| {
            let low = if at == 0 { 0.0 } else { borders[at - 1] };
            let high = borders.get(at).copied().unwrap_or(1.0);
            (high - low).max(0.0)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_numbers_near_a_portion_are_offered() {
        let steps = [2.0, 4.0, 6.0, 8.0, 12.0, 16.0];
        assert_eq!(near(&steps, 28.0, [110.0, 170.0, 240.0]), [4.0, 6.0, 8.0]);
        assert_eq!(near(&steps, 28.0, [1.0, 1.0, 1.0]), [2.0, 4.0]);
        assert_eq!(near(&[3.0], 28.0, [50.0, 60.0, 70.0]), [3.0]);
    }

    #[test]
    fn the_chances_of_the_numbers_sum_to_one() {
        let chances = cells(&[100.0, 150.0, 200.0], [100.0, 150.0, 225.0]);
        assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        assert!(chances[1] > chances[0] && chances[1] > chances[2]);
        assert!((cells(&[5.0], [1.0, 1.0, 1.0])[0] - 1.0).abs() < 1e-9);
    }
}
