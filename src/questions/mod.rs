//! Which single unknown, once answered, narrows the energy range most.
//!
//! Every answer is a piece of text behind the meal's own ("; no mayonnaise", "; 8 oz sirloin"), read by the same reader: the
//! text alone gives the same estimate as the answers did. An answer that the reader does not take up is no answer here.

mod candidate;
mod interview;
mod wording;

pub use interview::{Interview, Round, interview};
pub(crate) use wording::{listed, names_of};

use crate::estimate::{Distribution, Estimate, Nutrient, Range};
use crate::library::Library;
use crate::plate::PlateOptions;
use candidate::Candidate;

/// A question of a meal.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Id of its entry in `rules/questions.toml`.
    pub id: String,
    /// Its wording.
    pub wording: String,
    /// Energy before it is answered, kcal. Where the plate holds one answer for granted (how a thing was cooked), this is the
    /// range over all its answers.
    pub before: Range,
    /// Its answers.
    pub answers: Vec<Answer>,
    /// By what share the answer is expected to narrow ln(high / low) of `before`: 0 to 1.
    pub narrowing: f64,
}

/// An answer to a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Its wording.
    pub wording: String,
    /// What it adds to the meal's text.
    pub text: String,
    /// How likely it is, 0 to 1; the answers of a question sum to 1.
    pub chance: f64,
    /// Energy once it is given, kcal.
    pub range: Range,
}

/// The questions worth asking, the most telling first, `most` at the utmost.
///
/// A text that cannot be read has none.
pub fn questions(
    library: &Library,
    text: &str,
    options: &PlateOptions,
    most: usize,
) -> Vec<Question> {
    let Ok(base) = crate::estimate_text(library, text, options) else {
        return Vec::new();
    };
    if most == 0 {
        return Vec::new();
    }
    let candidates = candidate::candidates(library, text, &base, options);
    let mut found: Vec<(Question, &Candidate)> = candidates
        .iter()
        .filter_map(|candidate| Some((weigh(library, &base, candidate)?, candidate)))
        .filter(|(question, _)| question.narrowing >= library.rules.asking.worth)
        .collect();
    found.sort_by(|(a, _), (b, _)| {
        b.narrowing
            .total_cmp(&a.narrowing)
            .then_with(|| a.wording.cmp(&b.wording))
    });
    let mut settled: Vec<&String> = Vec::new();
    let mut chosen = Vec::new();
    for (question, candidate) in found {
        if chosen.len() < most && !candidate.settles.iter().any(|one| settled.contains(&one)) {
            settled.extend(&candidate.settles);
            chosen.push(question);
        }
    }
    chosen
}

/// A candidate with its expected narrowing.
fn weigh(library: &Library, base: &Estimate, candidate: &Candidate) -> Option<Question> {
    let sum: f64 = candidate.answers.iter().map(|answer| answer.weight).sum();
    if candidate.answers.len() < 2 || sum <= 0.0 {
        return None;
    }
    let mut before = base.total(Nutrient::Energy);
    if candidate.taken_for_granted {
        let energy = candidate.answers.iter().map(|answer| {
            (
                answer.weight,
                answer.estimate.distribution(Nutrient::Energy),
            )
        });
        let over_all = Range::of(&Distribution::blend(energy));
        if over_all.width() > before.width() {
            before = over_all;
        }
    }
    if before.width() <= 0.0 {
        return None;
    }
    let answers: Vec<Answer> = candidate
        .answers
        .iter()
        .map(|answer| Answer {
            wording: answer.say.clone(),
            text: answer.text.clone(),
            chance: answer.weight / sum,
            range: answer.estimate.total(Nutrient::Energy),
        })
        .collect();
    let after: f64 = answers
        .iter()
        .map(|answer| answer.chance * answer.range.width())
        .sum();
    let entry = &library.rules.questions[candidate.entry];
    Some(Question {
        id: entry.id.clone(),
        wording: candidate.ask.clone(),
        before,
        answers,
        narrowing: 1.0 - after / before.width(),
    })
}
