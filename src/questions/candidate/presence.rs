//! Parts that may be there: one at a time, and several in one question.

use super::{Candidate, Finder, Tried};
use crate::estimate::Estimate;
use crate::library::FoodId;
use crate::library::schema::QuestionEntry;
use crate::plate::Component;
use crate::questions::wording::{Places, dish_of, listed};

/// How many parts are asked for in one question.
const MOST_PARTS: usize = 3;

impl Finder<'_> {
    /// One question for the two or three parts of a dish whose presence matters most.
    pub(super) fn several_parts(&self, found: &mut Vec<Candidate>) {
        let rules = &self.library.rules.questions;
        let Some(at) = rules.iter().position(|entry| entry.about == "parts") else {
            return;
        };
        let of_parts = |candidate: &&Candidate| rules[candidate.entry].about == "part";
        let mut single: Vec<&Candidate> = found.iter().filter(of_parts).collect();
        let dish = |candidate: &Candidate| {
            let index = candidate.settles[0].split(' ').next();
            let index = index.and_then(|index| index.parse::<usize>().ok());
            index.map(|index| &self.base.plate.components[index])
        };
        let Some(first) = single.first().and_then(|first| dish(first)) else {
            return;
        };
        single.retain(|one| dish(one).is_some_and(|part| part.dish == first.dish));
        single.truncate(MOST_PARTS);
        if single.len() < 2 {
            return;
        }
        // The first way of being there stands for all of them.
        let ways: Vec<[(&Tried, f64); 2]> = single
            .iter()
            .filter_map(|one| {
                let (yes, no) = (one.answers.first()?, one.answers.last()?);
                let sum: f64 = one.answers.iter().map(|answer| answer.weight).sum();
                Some([(yes, 1.0 - no.weight / sum), (no, no.weight / sum)])
            })
            .collect();
        let names: Vec<String> = single.iter().map(|one| one.name.clone()).collect();
        let places = Places {
            dish: dish_of(self.base, first),
            part: listed(&names, "or"),
            ..Places::default()
        };
        let mut answers = Vec::new();
        for pattern in 0..1_usize << ways.len() {
            let chosen = ways
                .iter()
                .enumerate()
                .map(|(at, way)| way[pattern >> at & 1]);
            let text: String = chosen
                .clone()
                .map(|(tried, _)| tried.text.as_str())
                .collect();
            let Some(estimate) = self.with(&text) else {
                return;
            };
            let there: Vec<String> = names
                .iter()
                .enumerate()
                .filter(|(at, _)| pattern >> at & 1 == 0)
                .map(|(_, name)| name.clone())
                .collect();
            answers.push(Tried {
                say: match there.len() {
                    0 => "none of them".to_owned(),
                    1 => format!("only {}", there[0]),
                    all if all == names.len() && all == 2 => "both".to_owned(),
                    all if all == names.len() => "all of them".to_owned(),
                    _ => listed(&there, "and"),
                },
                text,
                weight: chosen.map(|(_, odds)| odds).product(),
                estimate,
            });
        }
        let settles = single.iter().flat_map(|one| one.settles.clone()).collect();
        let ask = places.fill(&rules[at].ask);
        found.push(Candidate {
            entry: at,
            ask,
            name: String::new(),
            answers,
            settles,
            taken_for_granted: false,
        });
    }

    /// A part that may be there.
    pub(super) fn presence(
        &self,
        entry: &QuestionEntry,
        places: &Places,
        component: &Component,
        food: FoodId,
    ) -> Option<Vec<Tried>> {
        let here = |estimate: &Estimate| {
            let mut same = estimate
                .plate
                .components
                .iter()
                .filter(|part| part.food == Some(food) && part.dish == component.dish);
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
            let told_apart = tried
                .iter()
                .all(|(_, other): &(bool, Tried)| other.estimate.total[0] != estimate.total[0]);
            if !holds || !self.is_new(&estimate) || !told_apart {
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
}
