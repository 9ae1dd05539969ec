//! The TOML shapes of the component library, as a dietitian writes them.
//!
//! This file knows serde and nothing else of the crate: the build script includes it too, so that the files we ship and a
//! user's overlay go through the same reading. What the keys mean stands in `component-library/SCHEMA.md`.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// Grams served: the 10th, 50th and 90th percentile over kitchens.
pub type Triple = [f64; 3];

/// Portions by role.
pub type Portions = BTreeMap<String, Portion>;

/// A usual portion as it is written down: `[20, 30, 45]` are grams, `[1, 2, 3, "tbsp"]` so many of a measure of the food.
#[derive(Debug, Clone, PartialEq)]
pub enum Portion {
    /// Grams.
    Grams(Triple),
    /// A number of one of the food's `measures`.
    Measured(Triple, String),
}

/// [`Portion`] as TOML has it.
#[derive(Deserialize)]
#[serde(
    untagged,
    expecting = "a portion is three rising amounts in g, [20, 30, 45], or of a measure of the food, [1, 2, 3, \"tbsp\"]"
)]
enum Written {
    Grams(Triple),
    Measured(f64, f64, f64, String),
}

/// [`Portion`] in the prepared form, which does not describe itself.
#[derive(Serialize, Deserialize)]
enum Packed {
    Grams(Triple),
    Measured(Triple, String),
}

impl<'de> Deserialize<'de> for Portion {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(if from.is_human_readable() {
            match Written::deserialize(from)? {
                Written::Grams(grams) => Portion::Grams(grams),
                Written::Measured(low, likely, high, measure) => {
                    Portion::Measured([low, likely, high], measure)
                }
            }
        } else {
            match Packed::deserialize(from)? {
                Packed::Grams(grams) => Portion::Grams(grams),
                Packed::Measured(number, measure) => Portion::Measured(number, measure),
            }
        })
    }
}

impl Serialize for Portion {
    fn serialize<S: Serializer>(&self, into: S) -> Result<S::Ok, S::Error> {
        match (self, into.is_human_readable()) {
            (Portion::Grams(grams), true) => grams.serialize(into),
            (Portion::Measured([low, likely, high], measure), true) => {
                (low, likely, high, measure).serialize(into)
            }
            (Portion::Grams(grams), false) => Packed::Grams(*grams).serialize(into),
            (Portion::Measured(number, measure), false) => {
                Packed::Measured(*number, measure.clone()).serialize(into)
            }
        }
    }
}

/// Figures per 100 g as served: kcal and grams.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Per100g {
    /// Energy, kcal per 100 g.
    pub kcal: f64,
    /// Protein, g per 100 g.
    pub protein: f64,
    /// Fat, g per 100 g.
    pub fat: f64,
    /// Total carbohydrate with fibre, g per 100 g.
    pub carbohydrate: f64,
    /// Dietary fibre, g per 100 g.
    #[serde(default)]
    pub fibre: f64,
    /// Ethanol, g per 100 g.
    #[serde(default)]
    pub alcohol: f64,
}

/// A packet label's figures for one serving of a stated weight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PerServing {
    /// Weight of the serving, g.
    pub grams: f64,
    /// Energy, kcal per serving.
    pub kcal: f64,
    /// Protein, g per serving.
    pub protein: f64,
    /// Fat, g per serving.
    pub fat: f64,
    /// Total carbohydrate with fibre, g per serving.
    pub carbohydrate: f64,
    /// Dietary fibre, g per serving.
    #[serde(default)]
    pub fibre: f64,
    /// Ethanol, g per serving.
    #[serde(default)]
    pub alcohol: f64,
}

/// `[[food]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoodEntry {
    pub id: String,
    pub name: String,
    #[serde(default)]
    pub aliases: Vec<String>,
    pub category: String,
    #[serde(default)]
    pub source: Option<String>,
    #[serde(default)]
    pub per_100g: Option<Per100g>,
    /// A label's figures, instead of `per_100g`.
    #[serde(default)]
    pub per_serving: Option<PerServing>,
    /// `true`: the place's own published figures for one serving, used as they are.
    #[serde(default)]
    pub published: bool,
    #[serde(default)]
    pub blend: Vec<(String, f64)>,
    #[serde(default, rename = "yield")]
    pub finished_yield: Option<f64>,
    #[serde(default)]
    pub spread: Option<f64>,
    #[serde(default)]
    pub portions: Portions,
    #[serde(default)]
    pub evidence: Option<String>,
    /// The roles whose portions the evidence is of, where it is not of all: the others are judgement.
    #[serde(default)]
    pub evidence_for: Vec<String>,
    #[serde(default)]
    pub measures: BTreeMap<String, f64>,
    /// Published weighings of a measure: how many, and their standard deviation in g.
    #[serde(default)]
    pub weighings: BTreeMap<String, (u32, f64)>,
    /// Measures that stand in no published table.
    #[serde(default)]
    pub judged: Vec<String>,
    #[serde(default)]
    pub variants: BTreeMap<String, String>,
    #[serde(default)]
    pub raw: bool,
    /// Share of a stated weight that is bone and other waste (USDA SR "refuse"); figures and portions are of what is eaten.
    #[serde(default)]
    pub bone: Option<f64>,
    /// `"cooked"`: a weight that a menu states is the weight as served.
    #[serde(default)]
    pub weighed: Option<String>,
    #[serde(default)]
    pub served_as: Option<String>,
    #[serde(default)]
    pub served: Option<Triple>,
    #[serde(default)]
    pub holds: Vec<String>,
    #[serde(default)]
    pub record_in: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// A slot of a `[[dish]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SlotEntry {
    pub slot: String,
    pub food: String,
    pub role: String,
    #[serde(default)]
    pub portion: Option<Portion>,
    #[serde(default)]
    pub chance: Option<f64>,
    #[serde(default)]
    pub accepts: Vec<String>,
    #[serde(default)]
    pub if_said: bool,
    #[serde(default)]
    pub blocked_by: Vec<String>,
}

/// How a stated length scales a dish.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InchesEntry {
    /// The length, in inches, that the slots describe.
    pub usual: f64,
    /// 1 for a length, 2 for a diameter.
    pub power: f64,
}

/// `[[dish]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DishEntry {
    pub id: String,
    pub name: String,
    pub aliases: Vec<String>,
    pub kitchen: String,
    pub course: String,
    #[serde(default)]
    pub extras: Option<String>,
    #[serde(default)]
    pub served: Option<Triple>,
    #[serde(default)]
    pub gathers: bool,
    #[serde(default)]
    pub record: Option<String>,
    #[serde(default)]
    pub inches: Option<InchesEntry>,
    #[serde(default)]
    pub measures: BTreeMap<String, f64>,
    pub slots: Vec<SlotEntry>,
    #[serde(default)]
    pub evidence: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[category]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CategoryEntry {
    pub id: String,
    pub name: String,
    pub group: String,
    pub served_as: String,
    pub spread: f64,
    pub record_in: String,
    #[serde(default)]
    pub fatty: bool,
    #[serde(default)]
    pub cooked_yield: Option<f64>,
    pub portions: BTreeMap<String, Triple>,
    /// What a portion rests on, by role; judgement where nothing is said.
    #[serde(default)]
    pub evidence: BTreeMap<String, String>,
}

/// `[[size]]`: a word that scales a portion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SizeEntry {
    pub id: String,
    pub words: Vec<String>,
    /// What the usual portion is multiplied by.
    pub factor: f64,
    /// Said of the first thing, it holds for all that is on the plate with it ("kids' burger and fries").
    #[serde(default)]
    pub whole_plate: bool,
    /// Where a dish has one of these slots, only they are multiplied ("double burger").
    #[serde(default)]
    pub slots: Vec<String>,
    /// The role that a word such as "side" or "starter" gives.
    #[serde(default)]
    pub role: Option<String>,
    /// The role counts only where it stands behind what it is said of ("slaw, side"), or alone.
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[unit]]`: a measure of weight, volume, length or number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitEntry {
    pub id: String,
    pub words: Vec<String>,
    /// `mass`, `volume`, `length` or `piece`.
    pub kind: String,
    /// g, mL or inches in one of it.
    #[serde(default)]
    pub size: Option<f64>,
    /// ln(high / low) of what people mean by it where a food has no measure of its own.
    #[serde(default)]
    pub loose: Option<f64>,
    /// The measures of a food that it may be read as, in this order.
    #[serde(default)]
    pub measures: Vec<String>,
    /// How many of the measure one of it is ("stack" of pancakes: 3).
    #[serde(default)]
    pub pieces: Option<f64>,
    #[serde(default)]
    pub source: Option<String>,
}

/// A part that a preparation adds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AddedEntry {
    pub food: String,
    pub role: String,
    #[serde(default)]
    pub portion: Option<Triple>,
    #[serde(default)]
    pub chance: Option<f64>,
}

/// `[[preparation]]`: what a cook did, and what that does to the figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PreparationEntry {
    pub id: String,
    pub words: Vec<String>,
    /// Categories or groups it acts on; empty for all.
    #[serde(default)]
    pub on: Vec<String>,
    /// Categories or groups it leaves as they are.
    #[serde(default)]
    pub not_on: Vec<String>,
    /// g of oil per 100 g as served: low, likely, high.
    #[serde(default)]
    pub oil: Option<Triple>,
    /// Which fat; default `vegetable-oil`.
    #[serde(default)]
    pub oil_food: Option<String>,
    /// g of coating per 100 g as served.
    #[serde(default)]
    pub coating: Option<Triple>,
    /// Which food coats; default `breadcrumbs`.
    #[serde(default)]
    pub coating_food: Option<String>,
    /// Finished weight / raw weight, both without fat, for foods whose figures are raw.
    #[serde(default, rename = "yield")]
    pub finished_yield: Option<f64>,
    /// The role of the food named just before this word ("walnut-crusted"), where there is one.
    #[serde(default)]
    pub before: Option<String>,
    /// Parts beside the food.
    #[serde(default)]
    pub adds: Vec<AddedEntry>,
    /// The food of this id, where a food has it among its `variants`, takes its place.
    #[serde(default)]
    pub variant: Option<String>,
    #[serde(default)]
    pub source: Option<String>,
}

/// `[[fat_loss]]`: the fat that runs out of raw meat as it cooks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FatLossEntry {
    /// Categories or groups; of entries that fit a food, the first counts.
    pub of: Vec<String>,
    /// g of fat per 100 g raw that stay whatever happens.
    pub above: f64,
    /// Share of the fat above that which runs out.
    pub share: f64,
    #[serde(default)]
    pub source: Option<String>,
}

/// `[[role_rule]]`: which role a named food takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoleRule {
    /// How the words join it: `with`, `on`, `in`, `and`, `modifier`; empty for any.
    #[serde(default)]
    pub link: Vec<String>,
    /// Categories or groups of the food before it, or of the head it modifies; empty for any.
    #[serde(default)]
    pub head: Vec<String>,
    /// Categories or groups of the food itself; empty for any.
    #[serde(default)]
    pub food: Vec<String>,
    pub role: String,
    /// g, where the food's own portion in this role would be too much.
    #[serde(default)]
    pub portion: Option<Triple>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[beside]]`: a food that stands beside the dish that is being named rather than in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BesideRule {
    /// Categories, groups or ids.
    pub food: Vec<String>,
    /// Of these, the ones it is not for.
    #[serde(default)]
    pub not: Vec<String>,
    /// How the words join it: `with`, `and`, `comma`, `on`, `in`, `detail`.
    pub link: Vec<String>,
    /// Whether it is for foods that a slot of the dish accepts, or for all others.
    #[serde(default)]
    pub accepted: bool,
    /// Only in a dish that holds its parts, such as a sandwich.
    #[serde(default)]
    pub container: bool,
    /// `stated`: only with an amount; `several`: with an amount or in the plural.
    #[serde(default)]
    pub number: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[replaces]]`: a food before a dish's noun that stands instead of what such a dish is made of ("lamb stew").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReplaceRule {
    /// Categories, groups or ids of the dish's body.
    pub head: Vec<String>,
    /// Categories, groups or ids of the food that is named.
    pub food: Vec<String>,
    /// Of these, the categories of which one food does not stand for another: the salmon of a fish curry.
    #[serde(default)]
    pub within: Vec<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[either]]`: words that mean one food in one place and another in another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EitherEntry {
    pub words: Vec<String>,
    /// Ids of the foods, or for words alone the dishes, that may be meant.
    pub options: Vec<String>,
    /// When it is open which; the first that fits counts, and where none does the words mean what they mean elsewhere.
    #[serde(default)]
    pub when: Vec<EitherWhen>,
    /// For words that are no food where any is named ("breakfast"): how often each option is meant where none is.
    #[serde(default)]
    pub alone: Vec<f64>,
}

/// When it is open which of several foods the words mean.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EitherWhen {
    /// Words anywhere in the text, of which one is enough.
    #[serde(default)]
    pub said: Vec<String>,
    /// Categories, groups, ids or kitchens of what is named beside it, of which one is enough; empty for any.
    #[serde(default)]
    pub beside: Vec<String>,
    /// How often each option is meant, relative to the others.
    pub weights: Vec<f64>,
}

/// `[[made_of]]`: a plain noun that is another dish with these foods before it ("lamb pie").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadeOfEntry {
    pub words: Vec<String>,
    /// Categories or groups of what must stand before it.
    pub food: Vec<String>,
    /// The fewest of them.
    pub parts: usize,
    pub dish: String,
}

/// `[explaining]`: when a second name behind a comma says what the first is ("bun bo hue, spicy beef noodle soup").
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExplainingEntry {
    /// The nouns of which the second name ends in one and the first has none.
    pub nouns: Vec<String>,
}

/// `[[stand_in]]`: words that put something in the place of a dish's own base.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandInEntry {
    pub words: Vec<String>,
    /// Id of the food that is there instead.
    pub food: String,
    /// Categories, groups or ids of the base that is not there.
    pub instead_of: Vec<String>,
    /// g of it.
    pub portion: Triple,
}

/// `[counting]`: when a bare number behind a food counts its pieces ("wings 12") and is not what it costs.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountingEntry {
    /// Share of the fewest pieces of an order, and multiple of the most, within which the number must lie.
    pub from: f64,
    pub to: f64,
    /// Of what only has the weight of a piece: multiple of its largest usual portion that the number may come to.
    pub weight: f64,
}

/// `[[cut]]`: how much a whole bird is, of which the words name a share ("roast duck, half").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CutEntry {
    /// The last words of its names.
    pub nouns: Vec<String>,
    /// Categories, groups or ids of the foods that may be meant.
    pub of: Vec<String>,
    /// g of a whole one as it is eaten.
    pub whole: Triple,
    #[serde(default)]
    pub source: Option<String>,
}

/// `[[made_with]]`: what, named beside a thing, is what that is made with ("latte, oat milk").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadeWithEntry {
    /// Categories, groups or ids of the thing.
    pub head: Vec<String>,
    /// Categories, groups or ids of what is named beside it.
    pub food: Vec<String>,
}

/// `[sold_for]`: ids of what is an order for several already, so that "for two" does not double it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoldForEntry {
    #[serde(default)]
    pub two: Vec<String>,
}

/// `[[word]]`: a word of the grammar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WordEntry {
    /// What it does: `with`, `and`, `or`, `on`, `in`, `without`, `extra` …
    pub does: String,
    pub words: Vec<String>,
    /// A number that goes with it ("half": 0.5).
    #[serde(default)]
    pub value: Option<f64>,
    /// Low and high round the value, where the word is vague ("a few": 3 to 4).
    #[serde(default)]
    pub from: Option<f64>,
    #[serde(default)]
    pub to: Option<f64>,
    /// The food that the word itself brings ("a la mode").
    #[serde(default)]
    pub food: Option<String>,
    /// Whether it does so only in the singular: "crisps" are no adjective.
    #[serde(default)]
    pub singular: bool,
    /// Of an `unheeded` word: what a food that has it in its name may be called ("diet").
    #[serde(default)]
    pub also: Vec<String>,
}

/// `[[class]]`: words for a whole kind of food, as negations and choices use them ("no sauce", "choice of side").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassEntry {
    pub id: String,
    pub words: Vec<String>,
    /// Categories, groups or food ids it stands for.
    pub of: Vec<String>,
    /// Whether a food before the word says which it was ("garlic topping").
    #[serde(default)]
    pub qualified: bool,
    /// Foods or dishes that stand for it where it is open which.
    #[serde(default)]
    pub usual: Vec<String>,
    /// The role they take.
    #[serde(default)]
    pub role: Option<String>,
}

/// `[[setting]]`: the kind of place or occasion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettingEntry {
    pub id: String,
    pub name: String,
    /// Section headings that choose it.
    #[serde(default)]
    pub sections: Vec<String>,
    pub factor: f64,
    /// The role of what stands first there.
    #[serde(default)]
    pub role: Option<String>,
    /// What a side beside what stands first is multiplied by there.
    #[serde(default)]
    pub beside: Option<f64>,
    /// Categories or groups that keep their own role there.
    #[serde(default)]
    pub keeps: Vec<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[[heading]]`: a section whose lines leave out the noun that the heading says ("Soup": "Ham and bean").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadingEntry {
    pub noun: String,
    /// Section headings that leave it out.
    #[serde(default)]
    pub sections: Vec<String>,
    /// Words at the head of a line that leave it out too ("scoop of").
    #[serde(default)]
    pub opens: Vec<String>,
    /// Categories, groups, kitchens or ids of which a line's own food needs no noun.
    pub kinds: Vec<String>,
    /// Foods (categories or groups) that make a plain thing of that noun, where they have no name together.
    #[serde(default)]
    pub of: Vec<String>,
}

/// `[[question]]`: what may be asked of a meal, and how each answer is written behind its text.
///
/// In `ask`, `say` and `text`, `{part}` is the component (`{parts}` several), `{dish}` its dish, `{n}` the number of an answer, `{s}` an "s"
/// where that is not 1, `{option}` one of a choice, and `{of_it}` what was said to be eaten in part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionEntry {
    pub id: String,
    /// The kind of unknown: `part`, `parts`, `choice`, `weight`, `pieces`, `size`, `preparation` or `eaten`.
    pub about: String,
    /// Categories, groups or ids it is for; empty for all. Of two that fit, the first in the file is asked.
    #[serde(default)]
    pub of: Vec<String>,
    /// Categories, groups or ids it is not for.
    #[serde(default)]
    pub not_of: Vec<String>,
    /// Roles it is for; empty for all.
    #[serde(default)]
    pub roles: Vec<String>,
    /// Whether it is only for what an order has several pieces of.
    #[serde(default)]
    pub served: bool,
    pub ask: String,
    /// Its answers, where they do not depend on the meal.
    #[serde(default)]
    pub answers: Vec<AnswerEntry>,
    /// The numbers that may be answered.
    #[serde(default)]
    pub steps: Vec<f64>,
    /// How the answer with a number is worded.
    #[serde(default)]
    pub say: Option<String>,
    /// What the answer with a number, or an option of a choice, adds to the text.
    #[serde(default)]
    pub text: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
}

/// `[asking]`: how much is asked.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AskingEntry {
    /// Questions asked of one meal, where nobody says otherwise.
    pub most: usize,
    /// The share of ln(high / low) that a question must be expected to take off.
    pub worth: f64,
}

/// An answer of a `[[question]]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerEntry {
    pub say: String,
    pub text: String,
    /// How often it is the true one, relative to the others; of a part, within "there" or "not there".
    #[serde(default)]
    pub weight: Option<f64>,
    /// Of a part: whether this answer says that it was there.
    #[serde(default)]
    pub there: Option<bool>,
}

/// `[model]`: the numbers of the arithmetic that were fitted or chosen.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModelEntry {
    /// σ of the house's portion size, shared by the plate.
    pub house_sigma: f64,
    /// σ of the kitchen's hand with fat, shared by what is fatty.
    pub fat_sigma: f64,
    /// σ of one meal as a whole: what the words leave open beyond the parts.
    pub plate_sigma: f64,
    /// σ, beyond that of the energy, of how a plate's energy is made up of macros.
    #[serde(default)]
    pub macro_sigma: f64,
    /// What the σ of a portion from a pattern or a category is multiplied by.
    pub portion_widening: f64,
    /// n foods that share a slot or the plate's middle weigh n^share of one.
    pub share: f64,
    /// σ of a weight the words state.
    pub stated_sigma: f64,
    /// σ of a number of pieces the words state (pieces differ in weight).
    pub piece_sigma: f64,
    /// What an unknown word may weigh and hold: g, 10th, 50th and 90th percentile.
    pub unknown_portion: Triple,
    /// kcal per 100 g of an unknown word.
    pub unknown_kcal: f64,
    /// How often an unknown word beside known ones is a part of its own.
    pub unknown_chance: f64,
    /// How often it is, where its phrase names nothing known.
    pub unknown_alone_chance: f64,
    /// What a dish of this course is multiplied by where it stands beside a main.
    #[serde(default)]
    pub beside: BTreeMap<String, f64>,
    /// What the chance of a silent part is multiplied by where the words list three parts or more.
    pub described: f64,
    /// What a dish pattern is multiplied by that is served in a smaller role than its own.
    #[serde(default)]
    pub as_role: BTreeMap<String, f64>,
    /// What a dish that is a part of another ("topped with mac and cheese") is multiplied by.
    pub inside: f64,
    /// `extra` and `light on`.
    pub extra_factor: f64,
    pub light_factor: f64,
    /// `on the side`: how much of it is eaten.
    pub aside_eaten: Triple,
    /// What the portion is multiplied by, by category in a role (`"poultry.topping"`), category or group: a bias corrected at its cause.
    #[serde(default)]
    pub portion_scale: BTreeMap<String, f64>,
    /// What `plate_sigma` is multiplied by, by course: salads vary more than sandwiches.
    #[serde(default)]
    pub plate_widening: BTreeMap<String, f64>,
    /// How it was fitted.
    pub note: String,
}

/// `[[written]]`: a unit as a person writes it in a food record, and how finely.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrittenEntry {
    /// A unit of `rules/units.toml`.
    pub id: String,
    pub one: String,
    pub many: String,
    /// The numbers that are natural in it.
    pub from: f64,
    pub to: f64,
    /// "1 1/2" rather than "1.5".
    #[serde(default)]
    pub fractions: bool,
    /// (up to, step): a number up to the first is rounded to a multiple of the second.
    pub steps: Vec<(f64, f64)>,
    /// The size it stands for, where that needs saying.
    #[serde(default)]
    pub stands_for: Option<String>,
    #[serde(default)]
    pub source: Option<String>,
}

/// `[[record]]`: the units that a food is written in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordEntry {
    /// `scale`, `cups` or `hand`.
    pub measure: String,
    /// Categories, groups or ids of the food; empty for any.
    #[serde(default)]
    pub of: Vec<String>,
    /// The food's own `record_in`; none for any.
    #[serde(default)]
    pub recorded_in: Option<String>,
    /// Ids of `[[written]]`, best first.
    pub units: Vec<String>,
}

/// `[[gathered]]`: the plain word for a kind of food in the line of small parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GatheredEntry {
    pub of: Vec<String>,
    pub word: String,
}

/// `[lines]`: which parts have no line of their own.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LinesEntry {
    /// A part by custom that is there more seldom than this is gathered.
    pub fold_chance: f64,
    /// A part by custom with less than this share of the plate's energy is gathered.
    pub fold_share: f64,
    /// A part of a whole dish with more than this share of its energy is mentioned in its name.
    pub mention_share: f64,
    /// First words of names that keep their capital inside a sentence.
    #[serde(default)]
    pub proper: Vec<String>,
}

/// `[[caution]]`: what in a message calls for a caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CautionEntry {
    pub id: String,
    /// Phrases that are no food; `*` is any one word.
    pub words: Vec<String>,
    /// Phrases that stay in the text that is read.
    #[serde(default)]
    pub hints: Vec<String>,
    pub text: String,
}

/// `[courtesy]`: words that a name follows.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CourtesyEntry {
    pub greetings: Vec<String>,
    /// Phrases that say nothing of the food.
    #[serde(default)]
    pub chatter: Vec<String>,
}

/// `[review]`: what a record is held against, and how a coach asks about it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReviewEntry {
    /// kcal per g by macro: the lowest specific factor, the general one, the highest.
    pub factors: FactorsEntry,
    /// kcal that a g of fibre may add to or take from what the carbohydrate gives.
    pub fibre_kcal: f64,
    /// What a written macro may be rounded by, g.
    pub rounding_g: f64,
    /// What written energy may be rounded by, kcal.
    pub rounding_kcal: f64,
    /// Tails of the estimate from which energy is worth asking about, and from which something likely differs.
    pub energy_tail: TailEntry,
    /// The same for protein, fat and carbohydrate.
    pub macro_tail: TailEntry,
    /// A macro this near to its range is not asked about, g.
    pub macro_slack: f64,
    /// Nothing within this share of an end of the range is asked about.
    pub slack: f64,
    /// A part of the words counts from this chance of being there,
    pub part_chance: f64,
    /// and from this expected energy, kcal.
    pub part_kcal: f64,
    /// Groups that are seldom a whole dinner.
    pub alone: Vec<String>,
    /// A slip of units is thought of only where the record lies in this tail of the estimate,
    pub slip_far: f64,
    /// and, once the slip is undone, between this share and its complement.
    pub slip_near: f64,
    /// Macros agree with a slip where each is within this factor of what it makes of them.
    pub slip_macros: f64,
    pub slip: Vec<SlipEntry>,
    /// Words for figures, as records have them.
    pub figure: Vec<FigureEntry>,
    /// Words that may stand behind a figure without being food.
    pub fillers: Vec<String>,
    /// What each finding says, by its kind.
    pub wording: BTreeMap<String, WordingEntry>,
    pub note: String,
}

/// kcal per g: lowest specific, general, highest specific.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FactorsEntry {
    pub protein: Triple,
    pub fat: Triple,
    pub carbohydrate: Triple,
    pub alcohol: Triple,
}

/// Two tails of a distribution, as shares.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TailEntry {
    pub possible: f64,
    pub likely: f64,
}

/// `[[review.slip]]`: a mistaken unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SlipEntry {
    pub id: String,
    pub title: String,
    /// `energy`: a fixed factor on energy alone; `plate`: a fixed factor on everything; `per-100g`: 100 g of the plate;
    /// `cooked-yield`: raw figures for a cooked weight of one part; `piece-100g`: 100 g for each piece of one part.
    pub on: String,
    /// The factor, where it is fixed.
    #[serde(default)]
    pub factor: Option<f64>,
    pub seen: String,
    pub question: String,
    #[serde(default)]
    pub source: Option<String>,
}

/// `[[review.figure]]`: words for one figure of a record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FigureEntry {
    /// `kcal`, `kj`, `protein`, `fat`, `carbohydrate` or `alcohol`.
    pub of: String,
    pub words: Vec<String>,
}

/// `[review.wording.KIND]`: what a finding says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WordingEntry {
    pub title: String,
    pub seen: String,
    pub question: String,
}

/// `[eye]`: how guesses and weighings become a correction.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EyeEntry {
    /// Coefficient of variation of a guess against the weight, before anything is known of the person.
    pub published_cv: f64,
    /// How many weighings that is worth.
    pub scatter_strength: f64,
    /// σ of the bias of people, in ln(guess / weighed).
    pub bias_sigma: f64,
    /// Weighings from which a group's bias is put into words.
    pub enough: usize,
    /// Weighings of the moving median.
    pub window: usize,
    /// A guess this near, as a share of the weight, is a good eye.
    pub good_eye: f64,
    /// A bias smaller than this share is called level.
    pub level: f64,
    /// Measures that a person takes by eye or hand; a weight is one only where the words say "about".
    pub units: Vec<String>,
    /// Categories or groups in which such a measure is the menu's own ("cup of soup").
    pub not_on: Vec<String>,
    /// How a group is called in a sentence.
    pub names: BTreeMap<String, String>,
    pub note: String,
}

/// One TOML file.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct File {
    #[serde(default)]
    pub food: Vec<FoodEntry>,
    #[serde(default)]
    pub dish: Vec<DishEntry>,
    #[serde(default)]
    pub category: Vec<CategoryEntry>,
    #[serde(default)]
    pub size: Vec<SizeEntry>,
    #[serde(default)]
    pub unit: Vec<UnitEntry>,
    #[serde(default)]
    pub preparation: Vec<PreparationEntry>,
    #[serde(default)]
    pub fat_loss: Vec<FatLossEntry>,
    #[serde(default)]
    pub role_rule: Vec<RoleRule>,
    #[serde(default)]
    pub beside: Vec<BesideRule>,
    #[serde(default)]
    pub replaces: Vec<ReplaceRule>,
    #[serde(default)]
    pub either: Vec<EitherEntry>,
    #[serde(default)]
    pub stand_in: Vec<StandInEntry>,
    #[serde(default)]
    pub cut: Vec<CutEntry>,
    #[serde(default)]
    pub made_with: Vec<MadeWithEntry>,
    #[serde(default)]
    pub sold_for: Option<SoldForEntry>,
    #[serde(default)]
    pub made_of: Vec<MadeOfEntry>,
    #[serde(default)]
    pub explaining: Option<ExplainingEntry>,
    #[serde(default)]
    pub counting: Option<CountingEntry>,
    #[serde(default)]
    pub word: Vec<WordEntry>,
    #[serde(default)]
    pub class: Vec<ClassEntry>,
    #[serde(default)]
    pub setting: Vec<SettingEntry>,
    #[serde(default)]
    pub heading: Vec<HeadingEntry>,
    #[serde(default)]
    pub question: Vec<QuestionEntry>,
    #[serde(default)]
    pub asking: Option<AskingEntry>,
    #[serde(default)]
    pub model: Option<ModelEntry>,
    #[serde(default)]
    pub written: Vec<WrittenEntry>,
    #[serde(default)]
    pub record: Vec<RecordEntry>,
    #[serde(default)]
    pub gathered: Vec<GatheredEntry>,
    #[serde(default)]
    pub lines: Option<LinesEntry>,
    #[serde(default)]
    pub caution: Vec<CautionEntry>,
    #[serde(default)]
    pub courtesy: Option<CourtesyEntry>,
    #[serde(default)]
    pub review: Option<ReviewEntry>,
    #[serde(default)]
    pub eye: Option<EyeEntry>,
    /// `[[alias]]` of an overlay: more names for an entry that is already there.
    #[serde(default)]
    pub alias: Vec<AliasEntry>,
}

/// `[[alias]]`: more names for an entry of another file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AliasEntry {
    /// The entry's id.
    pub of: String,
    pub words: Vec<String>,
}
