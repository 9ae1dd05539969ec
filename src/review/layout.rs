//! Reviews for people, for programs and for spreadsheets.

use super::{Figures, Finding, Record, Review};
use crate::estimate::{Nutrient, Range};
use crate::report::{
    CAUTION, EnergyUnit, FORMAT, JsonRange, Look, cautions, csv_safe, grouped, range_bar, round_to,
    wrapped,
};
use serde::Serialize;
use std::fmt::Write;

/// A review for people: what was written, what the words come to, and each finding with its question.
pub fn review_table(review: &Review, look: &Look) -> String {
    let mut out = String::new();
    let record = &review.record;
    let mut say = |text: &str, indent: &str| {
        for line in wrapped(text, look.width.saturating_sub(indent.len() + 2)) {
            let _ = writeln!(out, "{indent}{}", line.trim_end());
        }
    };
    let heading: Vec<&str> = [
        record.id.as_str(),
        record.date.as_deref().unwrap_or_default(),
    ]
    .into_iter()
    .filter(|part| !part.is_empty())
    .collect();
    let heading = match heading.join(", ") {
        none if none.is_empty() => record.text.clone(),
        heading => format!("{heading}: {}", record.text),
    };
    say(&heading, "");
    say(
        &format!("written down: {}", written(record, look.energy)),
        "  ",
    );
    let total = review.estimate.total(Nutrient::Energy);
    say(
        &format!("the words come to: {}", implied(total, look.energy)),
        "  ",
    );
    if let Some(kcal) = record.figures.kcal {
        let _ = writeln!(out, "{}", picture(total, kcal, look.width));
    }
    let mut say = |text: &str, indent: &str| {
        for line in wrapped(text, look.width.saturating_sub(indent.len() + 2)) {
            let _ = writeln!(out, "{indent}{}", line.trim_end());
        }
    };
    if review.findings.is_empty() {
        say("Nothing to ask: what was written fits the words.", "  ");
    }
    for (number, finding) in review.findings.iter().enumerate() {
        say("", "");
        let title = format!(
            "{}. {} ({})",
            number + 1,
            finding.title,
            finding.sure.name()
        );
        say(&title, "  ");
        say(&finding.seen, "     ");
        say(&format!("Ask: {}", finding.question), "     ");
    }
    if !review.notes.is_empty() {
        say("", "");
        for note in &review.notes {
            say(&format!("Note: {note}."), "  ");
        }
    }
    out
}

/// The cautions in short, to stand once under one review or many.
pub(crate) fn caution_lines(look: &Look) -> String {
    wrapped(CAUTION, look.width)
        .iter()
        .map(|line| format!("{}\n", line.trim_start()))
        .collect()
}

fn written(record: &Record, unit: EnergyUnit) -> String {
    let Figures {
        kcal,
        protein,
        fat,
        carbohydrate,
        alcohol,
    } = record.figures;
    let energy = kcal.map(|kcal| format!("{} {}", grouped(kcal * unit.factor()), unit.symbol()));
    let macros = [
        (Nutrient::Protein, protein),
        (Nutrient::Fat, fat),
        (Nutrient::Carbohydrate, carbohydrate),
        (Nutrient::Alcohol, alcohol),
    ]
    .into_iter()
    .filter_map(|(nutrient, grams)| {
        let grams = super::wording::grams_in_words(grams?);
        Some(format!("{} {grams}", nutrient.name()))
    });
    let all: Vec<String> = record
        .words
        .clone()
        .into_iter()
        .chain(energy)
        .chain(macros)
        .collect();
    all.join(", ")
}

fn implied(range: Range, unit: EnergyUnit) -> String {
    let figure = |kcal: f64| grouped(round_to(kcal * unit.factor(), unit.step()));
    format!(
        "about {} {}, 8 plates in 10 between {} and {}",
        figure(range.likely),
        unit.symbol(),
        figure(range.low),
        figure(range.high)
    )
}

/// The range as a bar, and under it where the written energy stands.
fn picture(range: Range, kcal: f64, width: usize) -> String {
    let columns = width.saturating_sub(4).clamp(10, 60);
    let end = range.high.max(kcal) * 1.12;
    let bar = range_bar(range.low, range.likely, range.high, end, columns);
    let at = ((kcal / end.max(1e-9)) * (columns - 1) as f64).round() as usize;
    let label = " written";
    let pointer = if at + 1 + label.len() <= columns {
        format!("{}▲{label}", " ".repeat(at))
    } else {
        let before = at.saturating_sub(label.len());
        format!("{}written ▲", " ".repeat(before))
    };
    format!("  {bar}\n  {pointer}")
}

/// A review for programs.
#[derive(Debug, Clone, Serialize)]
pub struct JsonReview {
    /// Version of the format.
    pub format: u32,
    /// The record's id, or its line; none for a single record.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub id: String,
    /// The record's day, as it was written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// The menu's words.
    pub text: String,
    /// What was written down.
    pub recorded: JsonRecorded,
    /// What the menu's words come to.
    pub estimate: JsonEstimate,
    /// Share of such plates with at most the written energy, 0 to 1.
    pub quantile: Option<f64>,
    /// What to ask about, the surest first.
    pub findings: Vec<JsonFinding>,
    /// What could not be compared, and why.
    pub notes: Vec<String>,
    /// The cautions.
    pub cautions: Vec<String>,
}

/// What was written down; null for what was not.
#[derive(Debug, Clone, Serialize)]
pub struct JsonRecorded {
    /// The record's own words.
    pub words: Option<String>,
    /// kcal.
    pub kcal: Option<f64>,
    /// g.
    pub protein_g: Option<f64>,
    /// g.
    pub fat_g: Option<f64>,
    /// g.
    pub carbohydrate_g: Option<f64>,
    /// g.
    pub alcohol_g: Option<f64>,
}

/// What the menu's words come to.
#[derive(Debug, Clone, Serialize)]
pub struct JsonEstimate {
    /// kcal.
    pub kcal: JsonRange,
    /// g.
    pub protein_g: JsonRange,
    /// g.
    pub fat_g: JsonRange,
    /// g.
    pub carbohydrate_g: JsonRange,
}

/// A finding.
#[derive(Debug, Clone, Serialize)]
pub struct JsonFinding {
    /// Its kind.
    pub kind: String,
    /// `certain`, `likely` or `possible`.
    pub sure: &'static str,
    /// A heading.
    pub title: String,
    /// What was seen.
    pub seen: String,
    /// What to ask the client.
    pub question: String,
}

/// A review as a versioned object.
pub fn json_review(review: &Review) -> JsonReview {
    let record = &review.record;
    let total = |nutrient| JsonRange::from(review.estimate.total(nutrient));
    JsonReview {
        format: FORMAT,
        id: record.id.clone(),
        date: record.date.clone(),
        text: record.text.clone(),
        recorded: JsonRecorded {
            words: record.words.clone(),
            kcal: record.figures.kcal,
            protein_g: record.figures.protein,
            fat_g: record.figures.fat,
            carbohydrate_g: record.figures.carbohydrate,
            alcohol_g: record.figures.alcohol,
        },
        estimate: JsonEstimate {
            kcal: total(Nutrient::Energy),
            protein_g: total(Nutrient::Protein),
            fat_g: total(Nutrient::Fat),
            carbohydrate_g: total(Nutrient::Carbohydrate),
        },
        quantile: review.standing.map(to_thousandth),
        findings: review
            .findings
            .iter()
            .map(|finding| JsonFinding {
                kind: finding.kind.clone(),
                sure: finding.sure.name(),
                title: finding.title.clone(),
                seen: finding.seen.clone(),
                question: finding.question.clone(),
            })
            .collect(),
        notes: review.notes.clone(),
        cautions: cautions(),
    }
}

fn to_thousandth(share: f64) -> f64 {
    (share * 1000.0).round() / 1000.0
}

/// A row of a spreadsheet: a finding, or a record with nothing to ask.
#[derive(Debug, Clone, Serialize)]
pub struct ReviewRow {
    /// The record's id.
    pub id: String,
    /// The record's day.
    pub date: String,
    /// The menu's words.
    pub text: String,
    /// kcal written down.
    pub kcal: Option<f64>,
    /// kcal, 10th percentile.
    pub kcal_low: f64,
    /// kcal, expected.
    pub kcal_likely: f64,
    /// kcal, 90th percentile.
    pub kcal_high: f64,
    /// Share of such plates with at most the written energy.
    pub quantile: Option<f64>,
    /// Kind of the finding; empty where there is nothing to ask.
    pub finding: String,
    /// How sure.
    pub sure: String,
    /// What was seen.
    pub seen: String,
    /// What to ask.
    pub question: String,
}

/// A review as rows, one a finding; one with empty cells where there is none.
pub fn review_rows(review: &Review) -> Vec<ReviewRow> {
    let record = &review.record;
    let range = review.estimate.total(Nutrient::Energy);
    let row = |finding: Option<&Finding>| {
        let words = |pick: fn(&Finding) -> &str| csv_safe(finding.map_or("", pick));
        ReviewRow {
            id: csv_safe(&record.id),
            date: csv_safe(record.date.as_deref().unwrap_or_default()),
            text: csv_safe(&record.text),
            kcal: record.figures.kcal,
            kcal_low: range.low.round(),
            kcal_likely: range.likely.round(),
            kcal_high: range.high.round(),
            quantile: review.standing.map(to_thousandth),
            finding: words(|finding| &finding.kind),
            sure: words(|finding| finding.sure.name()),
            seen: words(|finding| &finding.seen),
            question: words(|finding| &finding.question),
        }
    };
    if review.findings.is_empty() {
        return vec![row(None)];
    }
    review
        .findings
        .iter()
        .map(|finding| row(Some(finding)))
        .collect()
}
