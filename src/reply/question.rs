//! The one question whose answer would narrow the range most, put to the client.

use crate::entries::short_name;
use crate::estimate::{Cause, Estimate};
use crate::library::Library;
use crate::plate::{Origin, PlateOptions};

/// Above this share of the energy's range (as variance), a choice or a doubtful part is asked about before anything else.
const WORTH_ASKING: f64 = 0.25;

/// The question, or `None` where nothing is open.
///
/// A word that nothing knows comes first. Else it is the question whose answer narrows the range most; where none of those
/// is worth asking, one is derived from the causes that the estimate names.
pub fn question(library: &Library, estimate: &Estimate, options: &PlateOptions) -> Option<String> {
    let share = |cause: Cause| {
        estimate
            .causes
            .iter()
            .find(|(known, _)| *known == cause)
            .map_or(0.0, |(_, share)| *share)
    };
    let variance = |at: &usize| {
        let part = &estimate.rows[*at].component;
        let energy = estimate.rows[*at].nutrients[0].likely / part.chance.max(0.01);
        part.chance * (1.0 - part.chance) * energy * energy
    };
    let unknown = estimate
        .rows
        .iter()
        .find(|row| row.component.origin == Origin::Unknown)
        .and_then(|row| row.component.said.as_ref());
    if let Some((said, _)) = unknown {
        return Some(format!("What was the \"{said}\"?"));
    }
    let asked = crate::questions::questions(library, &estimate.text, options, 1);
    if let Some(first) = asked.into_iter().next() {
        return Some(first.wording);
    }
    let choice = (share(Cause::Choices) >= WORTH_ASKING)
        .then(|| estimate.plate.choices.first())
        .flatten();
    if let Some(choice) = choice {
        let options: Vec<String> = choice
            .options
            .iter()
            .map(|name| short_name(library, name))
            .collect();
        return Some(match options.as_slice() {
            [a, b] => format!("Was it the {a} or the {b}?"),
            many => format!("Which one was it: {}?", many.join(", ")),
        });
    }
    let doubtful = (0..estimate.rows.len())
        .filter(|at| {
            let part = &estimate.rows[*at].component;
            part.origin == Origin::Implied && part.chance < 1.0 && part.option.is_none()
        })
        .max_by(|a, b| variance(a).total_cmp(&variance(b)));
    if let Some(at) = doubtful.filter(|_| share(Cause::ImpliedParts) >= WORTH_ASKING) {
        let name = short_name(library, &estimate.rows[at].component.name);
        return Some(format!("Do you remember if there was any {name} with it?"));
    }
    let (at, _) = estimate.widest?;
    let part = &estimate.rows.get(at)?.component;
    let name = short_name(library, &part.name);
    let (cause, _) = estimate.causes.first()?;
    Some(match cause {
        Cause::Eaten => format!("Roughly how much of the {name} was left?"),
        Cause::Composition => {
            format!("Do you know how the {name} was cooked, and was there much oil or butter?")
        }
        _ if part.count.is_some_and(|count| count >= 2.0) => {
            format!("How big was each {name}, roughly? A guess is fine.")
        }
        _ => format!(
            "Roughly how big was the portion of {name}, say next to your fist or palm? A guess is fine."
        ),
    })
}
