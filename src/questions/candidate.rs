//! What might be asked of a meal, with the answers that the reader takes up.

use super::wording::{Places, dish_of, names_of};
use crate::estimate::{Estimate, Z90, standard_normal};
use crate::library::schema::QuestionEntry;
use crate::library::{FoodId, Library, Term, stems};
use crate::plate::{Component, Origin, PlateOptions};

/// How many components are looked at for one kind of unknown: those that can matter most.
const MOST_OF_A_KIND: usize = 5;

/// How many numbers are offered for one question.
const MOST_STEPS: usize = 4;

/// A question that might be asked.
pub struct Candidate {
    /// Index of its entry.
    pub entry: usize,
    /// Its wording.
    pub ask: String,
    /// Answers that the reader takes up.
    pub answers: Vec<Tried>,
    /// Whether the plate holds one of the answers for granted.
    pub taken_for_granted: bool,
}

/// An answer with what it leads to.
pub struct Tried {
    /// Its wording.
    pub say: String,
    /// What it adds.
    pub text: String,
    /// How likely, relative to the others.
    pub weight: f64,
    /// The estimate of the text with it.
    pub estimate: Estimate,
}

struct Finder<'a> {
    library: &'a Library,
    text: &'a str,
    base: &'a Estimate,
    options: &'a PlateOptions,
}

/// Everything that might be asked.
pub fn candidates(
    library: &Library,
    text: &str,
    base: &Estimate,
    options: &PlateOptions,
) -> Vec<Candidate> {
    let finder = Finder {
        library,
        text,
        base,
        options,
    };
    let mut found = Vec::new();
    finder.choices(&mut found);
    finder.eaten(&mut found);
    for (about, weight) in KINDS {
        let mut order: Vec<(f64, usize)> = base
            .rows
            .iter()
            .enumerate()
            .map(|(at, row)| (weight(&row.component) * row.nutrients[0].likely, at))
            .filter(|(weight, _)| *weight > 0.0)
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, at) in order.into_iter().take(MOST_OF_A_KIND) {
            let component = &base.rows[at].component;
            found.extend(
                finder
                    .entry(about, component)
                    .and_then(|entry| finder.of_component(about, entry, component)),
            );
        }
    }
    found
}

/// Kinds of unknown that are a component's, and what share of its energy they may move: 0 where it has no such unknown.
const KINDS: [(&str, fn(&Component) -> f64); 5] = [
    ("part", |part| {
        if part.chance < 1.0 {
            (1.0 - part.chance).max(0.1)
        } else {
            0.0
        }
    }),
    ("weight", open_amount),
    ("pieces", open_amount),
    ("size", open_amount),
    ("preparation", |part| {
        if part.origin == Origin::Named && part.option.is_none() {
            1.0
        } else {
            0.0
        }
    }),
];

fn open_amount(part: &Component) -> f64 {
    if part.chance < 1.0 || part.stated || part.option.is_some() {
        return 0.0;
    }
    (part.grams[2] / part.grams[0].max(1e-9)).ln()
}

impl Finder<'_> {
    /// The first entry of a kind that is for this component.
    fn entry(&self, about: &str, component: &Component) -> Option<usize> {
        let food = component.food?;
        self.library.rules.questions.iter().position(|entry| {
            entry.about == about
                && (entry.of.is_empty() || self.library.is_one_of(food, &entry.of))
                && !self.library.is_one_of(food, &entry.not_of)
                && (entry.roles.is_empty()
                    || entry.roles.iter().any(|role| role == component.role.name()))
        })
    }

    fn of_component(&self, about: &str, at: usize, component: &Component) -> Option<Candidate> {
        let entry = &self.library.rules.questions[at];
        let food = component.food?;
        if about == "preparation" && self.says_how_it_was_cooked(component) {
            return None;
        }
        names_of(self.library, component).into_iter().find_map(|part| {
            let places = Places {
                dish: dish_of(self.base, component),
                part,
                ..Places::default()
            };
            let answers = match about {
                "part" => self.presence(entry, &places, component, food),
                "weight" | "pieces" => self.numbers(entry, &places, component, food),
                "size" => self.sizes(entry, &places, component, food),
                _ => self.preparations(entry, &places),
            };
            let answers = answers.filter(|answers| answers.len() > 1)?;
            Some(Candidate {
                entry: at,
                ask: places.fill(&entry.ask),
                answers,
                taken_for_granted: about == "preparation",
            })
        })
    }

    /// The estimate with an addition, where the reader understands all of it and it puts nothing more on the plate.
    fn with(&self, addition: &str) -> Option<Estimate> {
        let text = format!("{}{addition}", self.text);
        let new = crate::estimate_text(self.library, &text, self.options).ok()?;
        let (new_plate, old) = (&new.plate, &self.base.plate);
        let understood = new_plate.not_understood.len() == old.not_understood.len()
            && new_plate.corrections.len() == old.corrections.len()
            && new_plate.components.len() <= old.components.len()
            && new_plate.dishes.len() <= old.dishes.len();
        understood.then_some(new)
    }

    /// Whether an estimate is another than that of the bare text.
    fn is_new(&self, estimate: &Estimate) -> bool {
        let (old, new) = (self.base.total[0], estimate.total[0]);
        (old.low - new.low).abs() + (old.high - new.high).abs() > 1e-6 * old.high.max(1.0)
    }

    /// A part that may be there.
    fn presence(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        component: &Component,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let here = |estimate: &Estimate| {
            let mut same = estimate.plate.components.iter().filter(|part| {
                part.food == Some(food) && part.dish == component.dish
            });
            same.next().map(|part| part.chance)
        };
        let mut tried = Vec::new();
        for answer in &entry.answers {
            let there = answer.there?;
            let text = places.fill(&answer.text);
            let Some(estimate) = self.with(&text) else {
                continue;
            };
            let holds = match here(&estimate) {
                Some(chance) => there && chance >= 1.0,
                None => !there,
            };
            if !holds || !self.is_new(&estimate) {
                continue;
            }
            let odds = if there {
                component.chance
            } else {
                1.0 - component.chance
            };
            tried.push((
                there,
                Tried {
                    say: places.fill(&answer.say),
                    text,
                    weight: odds * answer.weight.unwrap_or(1.0),
                    estimate,
                },
            ));
        }
        // Both ways must be open; several ways of being there share its chance.
        let both = [true, false]
            .iter()
            .all(|way| tried.iter().any(|(there, _)| there == way));
        if !both {
            return None;
        }
        for (way, odds) in [(true, component.chance), (false, 1.0 - component.chance)] {
            let sum: f64 = tried
                .iter()
                .filter(|(there, _)| *there == way)
                .map(|(_, tried)| tried.weight)
                .sum();
            for (_, one) in tried.iter_mut().filter(|(there, _)| *there == way) {
                one.weight *= odds / sum.max(f64::MIN_POSITIVE);
            }
        }
        Some(tried.into_iter().map(|(_, tried)| tried).collect())
    }

    /// A stated number of a measure or of pieces. The numbers near the component's own usual amount are offered, each as
    /// likely as that amount is to lie nearest to it.
    fn numbers(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        component: &Component,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let text = entry.text.as_ref()?;
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
    fn sizes(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        component: &Component,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let measures = &self.library.food(food).measures;
        let sizes = &self.library.rules.sizes;
        let measured = sizes.iter().filter(|size| measures.contains_key(&size.id));
        if component.origin == Origin::Implied || measured.count() < 2 {
            return None;
        }
        self.fixed(entry, places, true)
    }

    fn preparations(&self, entry: &QuestionEntry, places: &Places) -> Option<Vec<Tried>> {
        self.fixed(entry, places, false)
            .filter(|tried| tried.iter().any(|answer| self.is_new(&answer.estimate)))
    }

    /// Answers that are the same for every meal. `all_new`: each must change the plate.
    fn fixed(&self, entry: &QuestionEntry, places: &Places, all_new: bool) -> Option<Vec<Tried>> {
        let tried = entry.answers.iter().filter_map(|answer| {
            let text = places.fill(&answer.text);
            let estimate = self.with(&text)?;
            (!all_new || self.is_new(&estimate)).then(|| Tried {
                say: places.fill(&answer.say),
                text,
                weight: answer.weight.unwrap_or(1.0),
                estimate,
            })
        });
        Some(tried.collect())
    }

    /// Whether the words already say it: "fried chicken", "poached salmon".
    fn says_how_it_was_cooked(&self, component: &Component) -> bool {
        let said = component
            .said
            .as_ref()
            .map_or_else(Vec::new, |(said, _)| stems(said));
        said.iter().any(|word| {
            let readings = self.library.vocabulary().find(word);
            readings
                .iter()
                .any(|term| matches!(term, Term::Preparation(_)))
        })
    }

    /// Open choices.
    fn choices(&self, found: &mut Vec<Candidate>) {
        let rules = &self.library.rules.questions;
        let Some(at) = rules.iter().position(|entry| entry.about == "choice") else {
            return;
        };
        let entry = &rules[at];
        for choice in &self.base.plate.choices {
            let places = Places {
                part: choice.about.clone(),
                ..Places::default()
            };
            let tried = choice.options.iter().zip(&choice.texts);
            let answers = tried.filter_map(|(option, settles)| {
                let places = Places {
                    option: settles.clone(),
                    ..places.clone()
                };
                let text = places.fill(entry.text.as_deref()?);
                let estimate = self.with(&text)?;
                let settled = estimate.plate.choices.len() < self.base.plate.choices.len();
                settled.then(|| Tried {
                    say: option.clone(),
                    text,
                    weight: 1.0,
                    estimate,
                })
            });
            found.push(Candidate {
                entry: at,
                ask: places.fill(&entry.ask),
                answers: answers.collect(),
                taken_for_granted: false,
            });
        }
    }

    /// How much was eaten, where the words are vague about it.
    fn eaten(&self, found: &mut Vec<Candidate>) {
        let rules = &self.library.rules.questions;
        let Some(at) = rules.iter().position(|entry| entry.about == "eaten") else {
            return;
        };
        let Ok(meal) = crate::read::read(self.library, self.text) else {
            return;
        };
        for remark in meal
            .remarks
            .iter()
            .filter(|remark| remark.eaten[0] < remark.eaten[2])
        {
            let of_it = if remark.said.is_empty() {
                String::new()
            } else {
                let said = remark.said.trim_start_matches("a ");
                format!(" of the {}", said.trim_start_matches("the "))
            };
            let places = Places {
                of_it,
                ..Places::default()
            };
            found.push(Candidate {
                entry: at,
                ask: places.fill(&rules[at].ask),
                answers: self.fixed(&rules[at], &places, true).unwrap_or_default(),
                taken_for_granted: false,
            });
        }
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
    let between = [low, (low * likely).sqrt(), (likely * high).sqrt(), high];
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
