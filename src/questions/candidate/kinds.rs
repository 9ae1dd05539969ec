//! Which of its kinds a thing was, or how much of it, where one word stands for many: "soup", "sandwich", "pizza".

use super::{Candidate, Finder, Tried};
use crate::library::schema::QuestionEntry;
use crate::library::{Term, stems};
use crate::plate::{Component, Origin};
use crate::questions::wording::{Places, head_of};

impl Finder<'_> {
    /// A question for each dish that an entry is for. The plate takes one of the kinds for granted.
    pub(super) fn kinds(&self, found: &mut Vec<Candidate>) {
        let rules = &self.library.rules.questions;
        for index in 0..self.base.plate.dishes.len() {
            let Some((component, said)) = self.named_of(index) else {
                continue;
            };
            if self.says_how_much(&said) {
                continue;
            }
            let places = Places {
                part: head_of(self.library, &said).unwrap_or(said),
                ..Places::default()
            };
            let mut entries = rules.iter().enumerate().filter(|(_, entry)| {
                entry.about == "kind" && self.is_for(&entry.of, index, component)
            });
            // The first entry of which every answer is taken up: one that speaks of fries is for a burger with fries.
            found.extend(entries.find_map(|(at, entry)| {
                Some(Candidate {
                    entry: at,
                    ask: places.fill(&entry.ask),
                    name: places.part.clone(),
                    answers: self.all_answers(entry, &places)?,
                    settles: vec![format!("kind of dish {index}")],
                    taken_for_granted: true,
                })
            }));
        }
    }

    /// The answers of an entry, where the reader takes up every one of them.
    fn all_answers(&self, entry: &QuestionEntry, places: &Places) -> Option<Vec<Tried>> {
        let tried = entry.answers.iter().map(|answer| {
            let text = places.fill(&answer.text);
            Some(Tried {
                say: places.fill(&answer.say),
                estimate: self.read_with(&text)?,
                text,
                weight: answer.weight.unwrap_or(1.0),
            })
        });
        tried
            .collect::<Option<Vec<Tried>>>()
            .filter(|tried| tried.iter().any(|answer| self.is_new(&answer.estimate)))
    }

    /// The component that stands for a dish, and the words that name it.
    fn named_of(&self, dish: usize) -> Option<(&Component, String)> {
        let parts = &self.base.plate.components;
        let mut own = parts.iter().filter(|part| part.dish == dish);
        let pattern = self.base.plate.dishes[dish].id.is_some();
        let body = own.find(|part| match pattern {
            // What is there by custom carries the words of its dish.
            true => part.origin != Origin::Named && part.said.is_some(),
            false => part.origin != Origin::Implied,
        })?;
        let (said, _) = body.said.clone()?;
        (body.option.is_none() && body.eaten == [1.0; 3]).then_some((body, said))
    }

    /// Whether an entry is for a dish: by the dish's own id, or by what it is where it has no parts of its own.
    fn is_for(&self, of: &[String], dish: usize, body: &Component) -> bool {
        let plate = &self.base.plate;
        let id = plate.dishes[dish].id.as_deref();
        let by_id = id.is_some_and(|id| of.iter().any(|one| one == id));
        let whole = id.is_none() || body.origin == Origin::WholeDish;
        let plain = body.food.filter(|_| whole && !body.stated);
        by_id || plain.is_some_and(|food| self.library.is_one_of(food, of))
    }

    /// Whether the words state a size, a number or a measure.
    fn says_how_much(&self, said: &str) -> bool {
        said.contains(|letter: char| letter.is_ascii_digit())
            || stems(said).iter().any(|word| {
                let terms = self.library.vocabulary().find(word);
                let food = terms
                    .iter()
                    .any(|term| matches!(term, Term::Food(_) | Term::Dish(_)));
                !food
                    && terms
                        .iter()
                        .any(|term| matches!(term, Term::Size(_) | Term::Unit(_)))
            })
    }
}
