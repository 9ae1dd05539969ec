//! One question after the other, each answer written behind the text.

use super::{Question, questions};
use crate::estimate::{Estimate, Nutrient, Range};
use crate::library::Library;
use crate::plate::PlateOptions;
use crate::read::ReadError;

/// A question that was put.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// The question.
    pub question: Question,
    /// Which of its answers was given; none for "not sure".
    pub answer: Option<usize>,
    /// Energy before, kcal.
    pub before: Range,
    /// Energy after, kcal.
    pub after: Range,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Interview {
    /// The text with every answer. It alone gives the same estimate.
    pub text: String,
    /// The rounds, in their order.
    pub rounds: Vec<Round>,
    /// The estimate of the text.
    pub estimate: Estimate,
}

/// Puts at most `most` questions; `ask` gives the index of an answer, or none for "not sure", and `told` hears of each round.
///
/// # Errors
/// [`ReadError`] for a text that cannot be read, and whatever `ask` fails with.
pub fn interview<E: From<ReadError>>(
    library: &Library,
    text: &str,
    options: &PlateOptions,
    most: usize,
    mut ask: impl FnMut(&Question) -> Result<Option<usize>, E>,
    mut told: impl FnMut(&Round) -> Result<(), E>,
) -> Result<Interview, E> {
    let mut text = text.to_owned();
    let mut estimate = crate::estimate_text(library, &text, options)?;
    let mut rounds: Vec<Round> = Vec::new();
    while rounds.len() < most {
        // The answers change what is worth asking; what nobody was sure of is not asked again.
        let next = questions(library, &text, options, most + rounds.len())
            .into_iter()
            .find(|question| {
                rounds
                    .iter()
                    .all(|round| round.question.wording != question.wording)
            });
        let Some(question) = next else { break };
        let before = estimate.total(Nutrient::Energy);
        let answer = ask(&question)?.filter(|at| *at < question.answers.len());
        if let Some(at) = answer {
            text.push_str(&question.answers[at].text);
            estimate = crate::estimate_text(library, &text, options)?;
        }
        let round = Round {
            question,
            answer,
            before,
            after: estimate.total(Nutrient::Energy),
        };
        told(&round)?;
        rounds.push(round);
    }
    Ok(Interview {
        text,
        rounds,
        estimate,
    })
}
