//! What might be asked of a meal, with the answers that the reader takes up.

mod amounts;
mod kinds;
mod presence;

use super::wording::{Places, dish_of, names_of};
use crate::estimate::Estimate;
use crate::library::schema::QuestionEntry;
use crate::library::{Library, Term, stems};
use crate::plate::{Component, Origin, PlateOptions};

/// How many components are looked at for one kind of unknown: those that can matter most.
const MOST_OF_A_KIND: usize = 5;

/// A question that might be asked.
pub struct Candidate {
    /// Index of its entry.
    pub entry: usize,
    /// Its wording.
    pub ask: String,
    /// What it calls the thing it asks after.
    pub name: String,
    /// Answers that the reader takes up.
    pub answers: Vec<Tried>,
    /// What it settles: indices of components, or of choices and remarks in words. Two questions of one unknown are not asked.
    pub settles: Vec<String>,
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
    finder.orders(&mut found);
    finder.kinds(&mut found);
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
                    .and_then(|entry| finder.of_component(about, entry, at)),
            );
        }
        if about == "part" {
            finder.several_parts(&mut found);
        }
    }
    found
}

/// What an entry's `about` says, and how much of a component's energy such an unknown may move.
type Kind = (&'static str, fn(&Component) -> f64);

/// Kinds of unknown that are a component's, and what share of its energy they may move: 0 where it has no such unknown.
const KINDS: [Kind; 5] = [
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

/// The unknown that a kind of question settles: an amount, whether it is there, or how it was cooked.
fn settles(component: usize, about: &str) -> String {
    match about {
        "weight" | "pieces" | "size" => format!("{component} amount"),
        about => format!("{component} {about}"),
    }
}

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
                && (!entry.served || self.library.food(food).served.is_some())
                // What is ordered by the piece is counted: nobody knows what it weighed.
                && !(entry.about == "weight" && self.library.food(food).served.is_some())
        })
    }

    fn of_component(&self, about: &str, at: usize, index: usize) -> Option<Candidate> {
        let component = &self.base.plate.components[index];
        let entry = &self.library.rules.questions[at];
        let food = component.food?;
        let said = component.said.as_ref().map(|(said, _)| said.as_str());
        if about == "preparation" && self.says_how_it_was_cooked(said.unwrap_or_default()) {
            return None;
        }
        let mut names = names_of(self.library, component);
        names.retain(|name| about != "preparation" || !self.says_how_it_was_cooked(name));
        let named = names.into_iter().filter_map(|part| {
            let places = Places {
                dish: dish_of(self.base, component),
                part,
                ..Places::default()
            };
            let answers = match about {
                "part" => self.presence(entry, &places, component, food),
                "weight" | "pieces" => self.numbers(entry, &places, component, food),
                "size" => self.sizes(entry, &places, food),
                _ => self.preparations(entry, &places),
            };
            let answers = answers.filter(|answers| answers.len() > 1)?;
            Some(Candidate {
                entry: at,
                ask: places.fill(&entry.ask),
                name: places.part,
                answers,
                settles: vec![settles(index, about)],
                taken_for_granted: about == "preparation",
            })
        });
        // The name under which most answers are taken up; of equals the most natural.
        let mut best: Option<Candidate> = None;
        for candidate in named {
            if best
                .as_ref()
                .is_none_or(|best| best.answers.len() < candidate.answers.len())
            {
                let all = candidate.answers.len() >= entry.answers.len().max(2);
                best = Some(candidate);
                if all {
                    break;
                }
            }
        }
        best
    }

    /// The estimate with an addition, where the reader understands all of it and it puts nothing more on the plate.
    fn with(&self, addition: &str) -> Option<Estimate> {
        let most = self.base.plate.components.len();
        self.read_with(addition)
            .filter(|new| new.plate.components.len() <= most)
    }

    /// The estimate with an addition, where the reader understands all of it and it adds no dish.
    fn read_with(&self, addition: &str) -> Option<Estimate> {
        let text = format!("{}{addition}", self.text);
        let new = crate::estimate_text(self.library, &text, self.options).ok()?;
        let (new_plate, old) = (&new.plate, &self.base.plate);
        let understood = new_plate.not_understood.len() == old.not_understood.len()
            && new_plate.corrections.len() == old.corrections.len()
            && new_plate.dishes.len() <= old.dishes.len();
        understood.then_some(new)
    }

    /// Whether an estimate is another than that of the bare text.
    fn is_new(&self, estimate: &Estimate) -> bool {
        let (old, new) = (self.base.total[0], estimate.total[0]);
        (old.low - new.low).abs() + (old.high - new.high).abs() > 1e-6 * old.high.max(1.0)
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
    fn says_how_it_was_cooked(&self, said: &str) -> bool {
        stems(said).iter().any(|word| {
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
            let answers = choice
                .options
                .iter()
                .enumerate()
                .filter_map(|(at, option)| {
                    let places = Places {
                        option: option.clone(),
                        ..places.clone()
                    };
                    let text = places.fill(entry.text.as_deref()?);
                    let estimate = self.with(&text)?;
                    let settled = estimate.plate.choices.len() < self.base.plate.choices.len();
                    settled.then(|| Tried {
                        say: option.clone(),
                        text,
                        weight: choice.share(at),
                        estimate,
                    })
                });
            found.push(Candidate {
                entry: at,
                ask: places.fill(&entry.ask),
                name: choice.about.clone(),
                answers: answers.collect(),
                settles: vec![format!("choice of {}", choice.about)],
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
        let Ok(meal) =
            crate::read::read_under(self.library, self.text, self.options.section.as_deref())
        else {
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
                name: remark.said.clone(),
                answers: self.fixed(&rules[at], &places, true).unwrap_or_default(),
                settles: vec![format!("eaten{}", places.of_it)],
                taken_for_granted: false,
            });
        }
    }
}
