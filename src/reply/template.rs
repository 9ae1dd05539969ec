//! The wording of a reply: our two templates, or one of the user's own, over the same variables.

use super::{Heard, ReplyOptions, Tone, question};
use crate::entries::{Line, Measure};
use crate::estimate::{Estimate, Nutrient};
use crate::library::Library;
use crate::report::{Look, energies, grouped, round_to, shares_of_total};
use minijinja::{Environment, ErrorKind, UndefinedBehavior};
use serde::Serialize;

/// What a template may use, with what it is.
pub const VARIABLES: [(&str, &str); 16] = [
    (
        "name",
        "the name for the greeting, empty where none was given",
    ),
    ("message", "the client's message"),
    (
        "lines",
        "the lines to record, each with name, amount, energy, low, high, protein_g, fat_g, carbohydrate_g, fibre_g, alcohol_g, dish, parts, note",
    ),
    (
        "energy",
        "the plate's energy: energy.low, energy.likely, energy.high, energy.unit",
    ),
    ("protein_g", "the plate's protein, likely, g"),
    ("fat_g", "the plate's fat, likely, g"),
    ("carbohydrate_g", "the plate's carbohydrate, likely, g"),
    ("fibre_g", "the plate's fibre, likely, g"),
    (
        "alcohol_g",
        "the plate's alcohol, likely, g; empty where there is none",
    ),
    (
        "question",
        "the one question that would help most, empty where nothing is open",
    ),
    ("unknown", "the words that were not understood, a list"),
    ("assumptions", "what was assumed, a list"),
    ("cautions", "the cautions the message calls for, a list"),
    ("sizes", "what hand measures stand for, a list"),
    ("measure", "scale, cups or hand"),
    ("tone", "brief or full"),
];

/// The parts of `energy` and of a line, for errors.
const PARTS: &str = "energy.low, energy.likely, energy.high, energy.unit; of a line name, amount, energy, low, high, protein_g, fat_g, carbohydrate_g, fibre_g, alcohol_g, dish, parts, note";

/// What is wrong with a user's template.
#[derive(Debug, thiserror::Error)]
pub enum TemplateError {
    /// It is no template.
    #[error(
        "{file}, line {line}: {message}; check that every `{{{{`, `{{%` and `{{#` is closed and every `for` and `if` has its end"
    )]
    Syntax {
        /// Its name.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What the parser said.
        message: String,
    },
    /// It uses what is not there.
    #[error(
        "{file}, line {line}: there is no `{said}`; did you mean `{nearest}`? Available: {known}"
    )]
    UnknownVariable {
        /// Its name.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What it says.
        said: String,
        /// The nearest variable.
        nearest: String,
        /// All variables.
        known: String,
    },
    /// It cannot be filled in.
    #[error("{file}, line {line}: {message}. Available: {known}")]
    Render {
        /// Its name.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        message: String,
        /// All variables.
        known: String,
    },
    /// It leaves nothing to send.
    #[error(
        "{file}: the template leaves an empty reply; start from `{{% for line in lines %}}{{{{ line.name }}}}: {{{{ line.amount }}}}{{% endfor %}}`"
    )]
    Empty {
        /// Its name.
        file: String,
    },
}

/// Low, likely and high, rounded and grouped.
#[derive(Debug, Serialize)]
struct Energy {
    low: String,
    likely: String,
    high: String,
    unit: &'static str,
}

/// A line of the reply.
#[derive(Debug, Serialize)]
struct LineFacts<'a> {
    name: &'a str,
    amount: &'a str,
    energy: String,
    low: String,
    high: String,
    protein_g: String,
    fat_g: String,
    carbohydrate_g: String,
    fibre_g: String,
    alcohol_g: String,
    dish: &'a str,
    parts: Vec<&'a str>,
    note: &'a str,
}

/// Everything a template may use.
#[derive(Debug, Serialize)]
pub(super) struct Facts<'a> {
    name: &'a str,
    message: &'a str,
    lines: Vec<LineFacts<'a>>,
    energy: Energy,
    protein_g: String,
    fat_g: String,
    carbohydrate_g: String,
    fibre_g: String,
    alcohol_g: String,
    question: String,
    unknown: Vec<String>,
    assumptions: &'a [String],
    cautions: &'a [String],
    sizes: Vec<&'a str>,
    measure: &'static str,
    tone: &'static str,
}

impl<'a> Facts<'a> {
    pub(super) fn new(
        library: &Library,
        message: &'a str,
        estimate: &'a Estimate,
        lines: &'a [Line],
        heard: &'a Heard,
        options: &'a ReplyOptions,
    ) -> Facts<'a> {
        let look = Look {
            energy: options.energy,
            ..Look::default()
        };
        let (factor, step) = (options.energy.factor(), options.energy.step());
        let shown = |value: f64, step: f64| grouped(round_to(value * factor, step));
        let columns: Vec<Vec<f64>> = Nutrient::ALL
            .iter()
            .map(|nutrient| {
                let parts: Vec<f64> = lines
                    .iter()
                    .map(|line| line.likely[*nutrient as usize])
                    .collect();
                shares_of_total(&parts, 1.0)
            })
            .collect();
        let energy = energies(lines, &look);
        let total = estimate.total(Nutrient::Energy);
        let sum = |nutrient: Nutrient| grouped(columns[nutrient as usize].iter().sum());
        let mut sizes: Vec<&str> = Vec::new();
        for size in lines.iter().flat_map(|line| &line.amount.stands_for) {
            if !sizes.contains(&size.as_str()) {
                sizes.push(size);
            }
        }
        let alcohol = sum(Nutrient::Alcohol);
        Facts {
            name: options.name.as_deref().unwrap_or_default(),
            message,
            lines: lines
                .iter()
                .enumerate()
                .map(|(at, line)| {
                    let grams = |nutrient: Nutrient| grouped(columns[nutrient as usize][at]);
                    LineFacts {
                        name: &line.name,
                        amount: &line.amount.text,
                        energy: grouped(energy[at]),
                        low: shown(line.energy.low, step),
                        high: shown(line.energy.high, step),
                        protein_g: grams(Nutrient::Protein),
                        fat_g: grams(Nutrient::Fat),
                        carbohydrate_g: grams(Nutrient::Carbohydrate),
                        fibre_g: grams(Nutrient::Fibre),
                        alcohol_g: grams(Nutrient::Alcohol),
                        dish: line.dish.as_deref().unwrap_or_default(),
                        parts: line.parts.iter().map(|part| part.name.as_str()).collect(),
                        note: line.note.as_deref().unwrap_or_default(),
                    }
                })
                .collect(),
            energy: Energy {
                low: shown(total.low, 2.0 * step),
                likely: grouped(energy.iter().sum()),
                high: shown(total.high, 2.0 * step),
                unit: options.energy.symbol(),
            },
            protein_g: sum(Nutrient::Protein),
            fat_g: sum(Nutrient::Fat),
            carbohydrate_g: sum(Nutrient::Carbohydrate),
            fibre_g: sum(Nutrient::Fibre),
            alcohol_g: if alcohol == "0" {
                String::new()
            } else {
                alcohol
            },
            question: question(library, estimate, &options.plate).unwrap_or_default(),
            unknown: estimate
                .plate
                .not_understood
                .iter()
                .map(|word| format!("\"{}\"", word.text))
                .collect(),
            assumptions: &estimate.plate.assumptions,
            cautions: &heard.cautions,
            sizes,
            measure: match options.lines.measure {
                Measure::Scale => "scale",
                Measure::Cups => "cups",
                Measure::Hand => "hand",
            },
            tone: match options.tone {
                Tone::Brief => "brief",
                Tone::Full => "full",
            },
        }
    }
}

/// Steps after which a template is given up: far more than a text message needs, and done in a moment.
const MOST_STEPS: u64 = 500_000;

/// Fills the template in: the user's own, or ours for the tone.
pub(super) fn render(options: &ReplyOptions, facts: &Facts<'_>) -> Result<String, TemplateError> {
    let (file, source) = match (&options.template, options.tone) {
        (Some((file, source)), _) => (file.as_str(), source.as_str()),
        (None, Tone::Brief) => ("brief", include_str!("brief.j2")),
        (None, Tone::Full) => ("full", include_str!("full.j2")),
    };
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_fuel(Some(MOST_STEPS));
    let template = environment
        .template_from_str(source)
        .map_err(|error| fault(file, &error))?;
    let mut unknown: Vec<String> = template
        .undeclared_variables(false)
        .into_iter()
        .filter(|said| !VARIABLES.iter().any(|(known, _)| known == said))
        .filter(|said| !environment.globals().any(|(known, _)| known == said))
        .collect();
    unknown.sort_by_key(|said| (line_of(source, said), said.clone()));
    if let Some(said) = unknown.into_iter().next() {
        return Err(TemplateError::UnknownVariable {
            file: file.to_owned(),
            line: line_of(source, &said),
            nearest: nearest(&said),
            said,
            known: known(),
        });
    }
    let text = template
        .render(minijinja::value::Serde(facts))
        .map_err(|error| fault(file, &error))?;
    let text = text.trim();
    if text.is_empty() {
        return Err(TemplateError::Empty {
            file: file.to_owned(),
        });
    }
    Ok(format!("{text}\n"))
}

/// The first line on which a name stands as a word of its own.
fn line_of(source: &str, name: &str) -> usize {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    source
        .lines()
        .position(|line| line.split(|c| !is_word(c)).any(|word| word == name))
        .map_or(1, |at| at + 1)
}

fn nearest(said: &str) -> String {
    VARIABLES
        .iter()
        .map(|(known, _)| (strsim::jaro_winkler(known, said), *known))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(String::new(), |(_, known)| known.to_owned())
}

fn known() -> String {
    VARIABLES.map(|(name, _)| name).join(", ")
}

fn fault(file: &str, error: &minijinja::Error) -> TemplateError {
    let file = file.to_owned();
    let line = error.line().unwrap_or(1);
    let message = error
        .detail()
        .map_or_else(|| error.kind().to_string(), str::to_owned);
    match error.kind() {
        ErrorKind::SyntaxError => TemplateError::Syntax {
            file,
            line,
            message,
        },
        ErrorKind::UndefinedError => TemplateError::Render {
            file,
            line,
            message: message.replace("undefined value", "a part that is not there is used"),
            known: PARTS.to_owned(),
        },
        ErrorKind::OutOfFuel => TemplateError::Render {
            file,
            line,
            message: "the template does not come to an end in good time; make its loops shorter"
                .to_owned(),
            known: known(),
        },
        _ => TemplateError::Render {
            file,
            line,
            message,
            known: known(),
        },
    }
}
