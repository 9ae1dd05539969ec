//! From what the words say to a plate: components with amounts, and what was assumed.

mod afterword;
mod base;
mod build;
mod by_eye;
mod either;
mod explained;
mod made_with;
mod matching;
mod named;
mod portion;
mod preparation;

pub use build::plate;
pub use by_eye::grams_as_said;
pub use portion::density;
pub use preparation::{Prepared, prepare};

use crate::library::{FoodId, Per100g, Role, Triple};
use crate::read::{Correction, NotUnderstood, Span};

/// Where a component comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The words name it.
    Named,
    /// The dish has it by custom.
    Implied,
    /// It is a whole dish, recorded as one.
    WholeDish,
    /// Words that nothing knows, at what such a thing usually weighs.
    Unknown,
}

impl Origin {
    /// Its name in JSON and CSV.
    pub fn name(self) -> &'static str {
        match self {
            Origin::Named => "named",
            Origin::Implied => "implied",
            Origin::WholeDish => "whole-dish",
            Origin::Unknown => "unknown",
        }
    }
}

/// One component of the plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The food; none for unknown words.
    pub food: Option<FoodId>,
    /// Plain name, with its preparation where that is not in the food's own name.
    pub name: String,
    /// Index into [`Plate::dishes`].
    pub dish: usize,
    /// The slot it fills, where it fills one.
    pub slot: Option<String>,
    /// Its role.
    pub role: Role,
    /// Where it comes from.
    pub origin: Origin,
    /// The words, and where they stand.
    pub said: Option<(String, Span)>,
    /// Pieces, where they are counted.
    pub count: Option<f64>,
    /// How often it is there: 0 to 1.
    pub chance: f64,
    /// Share eaten, 0 to 1: low, likely, high.
    pub eaten: [f64; 3],
    /// Index of the remark that says how much was eaten: the parts that one remark speaks of share its vagueness.
    pub remark: Option<usize>,
    /// g as served where it is there: 10th, 50th and 90th percentile.
    pub grams: Triple,
    /// Whether the words state the amount, so that the house's portion size has no say.
    pub stated: bool,
    /// Figures per 100 g after its preparation.
    pub per_100g: Per100g,
    /// Coefficient of variation of energy density.
    pub spread: f64,
    /// Whether the kitchen's hand with fat decides the amount.
    pub fatty: bool,
    /// (choice, option): it is there only where this option of this choice holds.
    pub option: Option<(usize, usize)>,
    /// Citation of its figures.
    pub source: String,
    /// The library file its food stands in.
    pub file: String,
    /// What led from the words to this amount, step by step.
    pub steps: Vec<String>,
}

/// A dish of the plate.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateDish {
    /// Plain name.
    pub name: String,
    /// Id of its pattern, where it has one.
    pub id: Option<String>,
    /// What it is on a menu: the course of its pattern, `sandwich` for what holds its parts in bread, or the role of a food alone.
    pub course: String,
    /// Whether it is recorded as one line.
    pub whole: bool,
    /// How many of it there are.
    pub count: f64,
}

/// An open choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// What is open, in words ("french fries or side salad").
    pub about: String,
    /// The options' names; one of them, said behind the text, settles it.
    pub options: Vec<String>,
    /// How often each option is meant, relative to the others; empty where all are equally likely.
    pub weights: Vec<f64>,
}

impl Choice {
    /// How often an option holds, in words: "1 in 2", "93 in 100".
    pub fn odds(&self, option: usize) -> String {
        match self.weights.is_empty() {
            true => format!("1 in {}", self.options.len().max(1)),
            false => format!("{:.0} in 100", self.share(option) * 100.0),
        }
    }

    /// How often an option holds, 0 to 1: those of a choice sum to 1.
    pub fn share(&self, option: usize) -> f64 {
        let sum: f64 = self.weights.iter().sum();
        match self.weights.get(option) {
            Some(weight) if sum > 0.0 => weight / sum,
            _ => 1.0 / self.options.len().max(1) as f64,
        }
    }
}

/// A plate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plate {
    /// Its components.
    pub components: Vec<Component>,
    /// Its dishes.
    pub dishes: Vec<PlateDish>,
    /// Open choices.
    pub choices: Vec<Choice>,
    /// What was assumed, in plain words.
    pub assumptions: Vec<String>,
    /// Words that nothing knows.
    pub not_understood: Vec<NotUnderstood>,
    /// Typing errors that were mended.
    pub corrections: Vec<Correction>,
    /// Share of the words of food that nothing knows, 0 to 1.
    pub unknown_share: f64,
}

impl Plate {
    /// How often the option that a component belongs to holds: 1 where it belongs to no open choice.
    pub fn option_share(&self, component: &Component) -> f64 {
        let choice = component
            .option
            .and_then(|(choice, option)| Some((self.choices.get(choice)?, option)));
        choice.map_or(1.0, |(choice, option)| choice.share(option))
    }
}

/// What the words alone do not say.
#[derive(Debug, Clone, Default)]
pub struct PlateOptions {
    /// The setting's id, such as `starter`; see `rules/settings.toml`.
    pub setting: Option<String>,
    /// The menu's section heading, from which a setting is taken where none is given.
    pub section: Option<String>,
    /// The person's eye, by which amounts that they guessed are corrected; none takes them at their word.
    pub eye: Option<crate::eye::EyeModel>,
}
