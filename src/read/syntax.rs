//! What the words say, before any plate is thought of.

use crate::library::{DishId, FoodId};

/// Byte offsets into the text, first and behind the last.
pub type Span = (usize, usize);

/// Everything one text says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Meal {
    /// What was named, in the order of the words.
    pub items: Vec<Item>,
    /// What was eaten of it.
    pub remarks: Vec<Remark>,
    /// Words that nothing knows.
    pub not_understood: Vec<NotUnderstood>,
    /// Words that change the figures of what they are said of, in a way that the library does not know ("sugar free").
    pub unheeded: Vec<NotUnderstood>,
    /// Typing errors that were read as a known word.
    pub corrections: Vec<Correction>,
    /// Words of the text that carry food or grammar, for the share of unknown ones.
    pub words: usize,
}

/// Words that nothing knows.
#[derive(Debug, Clone, PartialEq)]
pub struct NotUnderstood {
    /// The words.
    pub text: String,
    /// Where.
    pub span: Span,
    /// The nearest names that are known.
    pub nearest: Vec<String>,
    /// Index of the item whose phrase they stand in.
    pub item: Option<usize>,
}

/// A typing error that was read as a known word.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// As written.
    pub said: String,
    /// As read.
    pub read: String,
}

/// How an item is joined to what stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Link {
    /// A new dish.
    Start,
    /// A comma.
    Comma,
    /// "and".
    And,
    /// "with", "topped with".
    With,
    /// "on", "over".
    On,
    /// "in".
    In,
    /// A colon or parenthesis: the item is a detail of the dish before.
    Detail,
}

/// What a phrase names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Head {
    /// A food.
    Food(FoodId),
    /// A dish pattern.
    Dish(DishId),
    /// A whole kind of food, by index into the rules' classes.
    Class(usize),
}

/// Whether and how a part is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stance {
    /// Named.
    Plain,
    /// "no …", "hold the …".
    Absent,
    /// "extra …".
    Extra,
    /// "light on …".
    Light,
    /// "… on the side".
    Aside,
}

/// A stated amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Low end.
    pub low: f64,
    /// High end; equal to the low one for a single number.
    pub high: f64,
    /// The measure, by index into the rules' units; none for a number of pieces.
    pub unit: Option<usize>,
    /// "half a sandwich": a share of the usual portion rather than a number of pieces.
    pub share: bool,
    /// "about": the words themselves are not sure.
    pub vague: bool,
    /// "6 oz cooked salmon": the weight is that of the food as served.
    pub cooked: bool,
    /// "wings 12": a bare number behind the food, which may be its price after all.
    pub bare: bool,
}

impl Amount {
    /// The middle of the stated amount.
    pub fn middle(&self) -> f64 {
        (self.low + self.high) / 2.0
    }
}

/// A food named before the head noun: the ham of "ham omelette".
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What.
    pub head: Head,
    /// Its own preparations.
    pub preparations: Vec<usize>,
    /// Its own amount ("two-egg omelette").
    pub amount: Option<Amount>,
    /// The role that a word such as "crusted" or "stuffed" behind it gives.
    pub role: Option<crate::library::Role>,
    /// Its words.
    pub span: Span,
    /// Whether it was written in the plural.
    pub plural: bool,
}

/// A phrase of the text: a head noun with all that is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// How it is joined.
    pub link: Link,
    /// Which dish of the text it belongs to, from 0.
    pub group: usize,
    /// What it names; none where only a size, an amount or a preparation stands ("…, large").
    pub head: Option<Head>,
    /// Foods before the head noun.
    pub parts: Vec<Part>,
    /// Preparations of the head.
    pub preparations: Vec<usize>,
    /// Sizes.
    pub sizes: Vec<usize>,
    /// Stated amount.
    pub amount: Option<Amount>,
    /// Whether it is there.
    pub stance: Stance,
    /// Other items of which only one was there.
    pub alternatives: Vec<Item>,
    /// Whether it stands in for something that need not be there ("instead of fries").
    pub soft: bool,
    /// Whether the words say that it lies on top of what stands before it, or inside ("topped with", "stuffed with").
    pub topped: bool,
    /// How often it and each of its alternatives is meant, relative to each other; empty where all are alike.
    pub weights: Vec<f64>,
    /// Whether it was added in place of something else: it is a side of its own.
    pub substitute: bool,
    /// "two" of "choice of two sides".
    pub picks: usize,
    /// "Meat and vegetables only": nothing else that need not be there.
    pub only: bool,
    /// Whether the words say that one of several was chosen ("choice of meat").
    pub chosen: bool,
    /// Its words.
    pub span: Span,
    /// The words of its head alone, without amounts, sizes and parts.
    pub head_span: Span,
    /// Whether it stands first behind a semicolon: what is remembered of the meal, which may speak of a thing named before.
    pub afterword: bool,
    /// Whether its head was written in the plural.
    pub plural: bool,
    /// Unknown words in its phrase.
    pub unknown: usize,
}

impl Item {
    pub(crate) fn new(link: Link, group: usize) -> Item {
        Item {
            link,
            group,
            head: None,
            parts: Vec::new(),
            preparations: Vec::new(),
            sizes: Vec::new(),
            amount: None,
            stance: Stance::Plain,
            alternatives: Vec::new(),
            soft: false,
            topped: false,
            weights: Vec::new(),
            substitute: false,
            picks: 1,
            only: false,
            chosen: false,
            span: (0, 0),
            head_span: (0, 0),
            afterword: false,
            plural: false,
            unknown: 0,
        }
    }
}

/// What was eaten.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// Of what; none for the whole meal.
    pub of: Option<Head>,
    /// Words of the target, to match a component by.
    pub said: String,
    /// Share eaten, 0 to 1: low, likely, high.
    pub eaten: [f64; 3],
    /// Where.
    pub span: Span,
}
