//! JSON: one stable, versioned object a meal. The schema is `tests/schema/meal.schema.json`, and those of other commands'
//! objects lie beside it; a change that breaks a reader raises [`FORMAT`].

use super::cautions;
use super::lines::{JsonEntry, json_entries};
use crate::estimate::{Estimate, INTERVAL, Nutrient, Range, Row};
use serde::{Deserialize, Serialize};

/// Version of the shape.
pub const FORMAT: u32 = 1;

/// Low, likely, high.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JsonRange {
    /// 10th percentile.
    pub low: f64,
    /// Expected value.
    pub likely: f64,
    /// 90th percentile.
    pub high: f64,
}

impl From<Range> for JsonRange {
    fn from(range: Range) -> Self {
        // Adding 0 turns a -0 into 0.
        let tenth = |value: f64| (value * 10.0).round() / 10.0 + 0.0;
        JsonRange {
            low: tenth(range.low),
            likely: tenth(range.likely),
            high: tenth(range.high),
        }
    }
}

/// Energy and macros.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonNutrients {
    /// kcal.
    pub kcal: JsonRange,
    /// kJ, 4.184 to the kcal.
    pub kj: JsonRange,
    /// g.
    pub protein_g: JsonRange,
    /// g.
    pub fat_g: JsonRange,
    /// g, fibre included.
    pub carbohydrate_g: JsonRange,
    /// g.
    pub fibre_g: JsonRange,
    /// g.
    pub alcohol_g: JsonRange,
}

/// A component.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonComponent {
    /// Id of the food; empty for words not understood.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// The dish it belongs to.
    pub dish: String,
    /// Its role.
    pub role: String,
    /// `named`, `implied`, `whole-dish` or `unknown`.
    pub origin: String,
    /// Words of the text.
    pub said: Option<String>,
    /// Byte offsets of these words.
    pub span: Option<(usize, usize)>,
    /// Pieces, where they are counted.
    pub count: Option<f64>,
    /// How often it is there.
    pub chance: f64,
    /// Share eaten.
    pub eaten: f64,
    /// g where it is there.
    pub grams: JsonRange,
    /// Energy and macros; likely is the expected value.
    #[serde(flatten)]
    pub nutrients: JsonNutrients,
    /// Citation.
    pub source: String,
    /// Library file.
    pub file: String,
}

/// Words not understood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonNotUnderstood {
    /// The words.
    pub text: String,
    /// Byte offsets.
    pub span: (usize, usize),
    /// Nearest known names.
    pub nearest: Vec<String>,
}

/// An open choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonCause {
    /// `portion sizes`, `how it was made` …
    pub cause: String,
    /// Share of the energy's variance.
    pub share: f64,
}

/// A question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonQuestion {
    /// Id of its entry in `rules/questions.toml`.
    pub id: String,
    /// Its wording.
    pub wording: String,
    /// Energy before it is answered, kcal.
    pub kcal: JsonRange,
    /// By what share of ln(high / low) its answer is expected to narrow that range.
    pub narrowing: f64,
    /// Its answers.
    pub answers: Vec<JsonAnswer>,
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonAnswer {
    /// Its wording.
    pub wording: String,
    /// What it adds to the meal's text.
    pub text: String,
    /// How likely it is; the answers of a question sum to 1.
    pub chance: f64,
    /// Energy once it is given, kcal.
    pub kcal: JsonRange,
}

impl From<&crate::questions::Question> for JsonQuestion {
    fn from(question: &crate::questions::Question) -> Self {
        JsonQuestion {
            id: question.id.clone(),
            wording: question.wording.clone(),
            kcal: question.before.into(),
            narrowing: thousandth(question.narrowing),
            answers: question
                .answers
                .iter()
                .map(|answer| JsonAnswer {
                    wording: answer.wording.clone(),
                    text: answer.text.clone(),
                    chance: thousandth(answer.chance),
                    kcal: answer.range.into(),
                })
                .collect(),
        }
    }
}

fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// How likely a meal is to stay within an energy.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JsonWithin {
    /// The energy, kcal.
    pub kcal: f64,
    /// Share of plates that fit the words and hold no more: 0 to 1.
    pub chance: f64,
}

impl JsonWithin {
    /// Of an estimate and an energy in kcal.
    pub fn of(estimate: &Estimate, kcal: f64) -> JsonWithin {
        let chance = estimate.distribution(Nutrient::Energy).below(kcal);
        JsonWithin {
            kcal: thousandth(kcal),
            chance: thousandth(chance),
        }
    }
}

/// A meal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonMeal {
    /// [`FORMAT`].
    pub format: u32,
    /// Row id or line number.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub id: Option<String>,
    /// The text.
    pub text: String,
    /// Share of plates between low and high.
    pub interval: f64,
    /// Totals.
    pub total: JsonNutrients,
    /// Where the width of the energy range comes from.
    pub causes: Vec<JsonCause>,
    /// Components.
    pub components: Vec<JsonComponent>,
    /// Lines to record.
    pub entries: Vec<JsonEntry>,
    /// Questions worth asking, the most telling first; empty where nobody can answer (`platespan menu`).
    pub questions: Vec<JsonQuestion>,
    /// How likely it is to stay within an energy, where one was given.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub within: Option<JsonWithin>,
    /// Words not understood.
    pub not_understood: Vec<JsonNotUnderstood>,
    /// Assumptions.
    pub assumptions: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
}

fn nutrients(of: &[Range; 6]) -> JsonNutrients {
    let get = |nutrient: Nutrient| of[nutrient as usize];
    JsonNutrients {
        kcal: get(Nutrient::Energy).into(),
        kj: get(Nutrient::Energy)
            .times(crate::estimate::KJ_PER_KCAL)
            .into(),
        protein_g: get(Nutrient::Protein).into(),
        fat_g: get(Nutrient::Fat).into(),
        carbohydrate_g: get(Nutrient::Carbohydrate).into(),
        fibre_g: get(Nutrient::Fibre).into(),
        alcohol_g: get(Nutrient::Alcohol).into(),
    }
}

fn component(row: &Row, estimate: &Estimate, ids: &dyn Fn(&Row) -> String) -> JsonComponent {
    let part = &row.component;
    JsonComponent {
        id: ids(row),
        name: part.name.clone(),
        dish: estimate
            .plate
            .dishes
            .get(part.dish)
            .map_or(String::new(), |dish| dish.name.clone()),
        role: part.role.name().to_owned(),
        origin: part.origin.name().to_owned(),
        said: part.said.as_ref().map(|(said, _)| said.clone()),
        span: part.said.as_ref().map(|(_, span)| *span),
        count: part.count,
        chance: part.chance,
        eaten: part.eaten[1],
        grams: row.grams.into(),
        nutrients: nutrients(&row.nutrients),
        source: part.source.clone(),
        file: part.file.clone(),
    }
}

/// The JSON of a meal.
pub fn json_meal(library: &crate::Library, estimate: &Estimate, id: Option<String>) -> JsonMeal {
    let ids = |row: &Row| {
        row.component
            .food
            .map_or(String::new(), |food| library.food(food).id.clone())
    };
    JsonMeal {
        format: FORMAT,
        id,
        text: estimate.text.clone(),
        interval: INTERVAL,
        total: nutrients(&estimate.total),
        causes: estimate
            .causes
            .iter()
            .map(|(cause, share)| JsonCause {
                cause: cause.name().to_owned(),
                share: (share * 1000.0).round() / 1000.0,
            })
            .collect(),
        components: estimate
            .rows
            .iter()
            .map(|row| component(row, estimate, &ids))
            .collect(),
        entries: json_entries(&crate::entries::lines(
            library,
            estimate,
            crate::entries::LineOptions::default(),
        )),
        questions: Vec::new(),
        within: None,
        not_understood: estimate
            .plate
            .not_understood
            .iter()
            .map(|word| JsonNotUnderstood {
                text: word.text.clone(),
                span: word.span,
                nearest: word.nearest.clone(),
            })
            .collect(),
        assumptions: estimate.plate.assumptions.clone(),
        cautions: cautions(),
    }
}
