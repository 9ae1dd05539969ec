//! The lines to record, as a table, as the section of the whole answer, in JSON and in CSV.

use super::csv::csv_safe;
use super::json::JsonRange;
use super::number::{grouped, round_to, shares_of_total};
use super::table::{WIDE, faint, paint, ruled, strong, wrap};
use super::{CAUTION, Look};
use crate::entries::Line;
use crate::estimate::{Estimate, KJ_PER_KCAL, Nutrient};
use serde::{Deserialize, Serialize};
use std::fmt::Write;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Style as Frame};
use unicode_width::UnicodeWidthStr;

/// A line to record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JsonEntry {
    /// A plain name that one could search for.
    pub name: String,
    /// The dish it belongs to, where it belongs to one.
    pub dish: Option<String>,
    /// The amount as a person writes it.
    pub amount: String,
    /// Its number; none for an open choice.
    pub number: Option<f64>,
    /// Its unit; none for an open choice.
    pub unit: Option<String>,
    /// g expected.
    pub grams: f64,
    /// kcal.
    pub kcal: JsonRange,
    /// kJ.
    pub kj: JsonRange,
    /// g, likely.
    pub protein_g: f64,
    /// g, likely.
    pub fat_g: f64,
    /// g, likely; fibre included.
    pub carbohydrate_g: f64,
    /// g, likely.
    pub fibre_g: f64,
    /// g, likely.
    pub alcohol_g: f64,
    /// The components it is made of.
    pub parts: Vec<String>,
    /// What to know when it is written down.
    pub note: Option<String>,
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// The lines for JSON.
pub fn json_entries(lines: &[Line]) -> Vec<JsonEntry> {
    lines
        .iter()
        .map(|line| {
            let likely = |nutrient: Nutrient| tenth(line.likely[nutrient as usize]);
            JsonEntry {
                name: line.name.clone(),
                dish: line.dish.clone(),
                amount: line.amount.text.clone(),
                number: line.amount.number,
                unit: line.amount.unit.clone(),
                grams: tenth(line.grams),
                kcal: line.energy.into(),
                kj: line.energy.times(KJ_PER_KCAL).into(),
                protein_g: likely(Nutrient::Protein),
                fat_g: likely(Nutrient::Fat),
                carbohydrate_g: likely(Nutrient::Carbohydrate),
                fibre_g: likely(Nutrient::Fibre),
                alcohol_g: likely(Nutrient::Alcohol),
                parts: line.parts.iter().map(|part| part.name.clone()).collect(),
                note: line.note.clone(),
            }
        })
        .collect()
}

/// A row of CSV.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineCsv {
    /// Its name, or "plate" for the total.
    pub line: String,
    /// The amount as a person writes it; empty for the total.
    pub amount: String,
    /// g expected.
    pub grams: f64,
    /// kcal.
    pub kcal_low: f64,
    /// kcal.
    pub kcal_likely: f64,
    /// kcal.
    pub kcal_high: f64,
    /// g, likely.
    pub protein_g: f64,
    /// g, likely.
    pub fat_g: f64,
    /// g, likely.
    pub carbohydrate_g: f64,
    /// g, likely.
    pub fibre_g: f64,
    /// g, likely.
    pub alcohol_g: f64,
    /// The components it is made of.
    pub parts: String,
    /// What to know when it is written down.
    pub note: String,
}

/// The lines for CSV, a row for the plate last.
pub fn lines_csv(lines: &[Line], estimate: &Estimate) -> Vec<LineCsv> {
    let mut rows: Vec<LineCsv> = json_entries(lines)
        .into_iter()
        .map(|entry| LineCsv {
            line: csv_safe(&entry.name),
            amount: csv_safe(&entry.amount),
            grams: entry.grams,
            kcal_low: entry.kcal.low,
            kcal_likely: entry.kcal.likely,
            kcal_high: entry.kcal.high,
            protein_g: entry.protein_g,
            fat_g: entry.fat_g,
            carbohydrate_g: entry.carbohydrate_g,
            fibre_g: entry.fibre_g,
            alcohol_g: entry.alcohol_g,
            parts: csv_safe(&entry.parts.join("; ")),
            note: csv_safe(&entry.note.unwrap_or_default()),
        })
        .collect();
    let energy = JsonRange::from(estimate.total(Nutrient::Energy));
    let likely = |nutrient: Nutrient| tenth(estimate.total(nutrient).likely);
    rows.push(LineCsv {
        line: "plate".to_owned(),
        amount: String::new(),
        grams: tenth(lines.iter().map(|line| line.grams).sum()),
        kcal_low: energy.low,
        kcal_likely: energy.likely,
        kcal_high: energy.high,
        protein_g: likely(Nutrient::Protein),
        fat_g: likely(Nutrient::Fat),
        carbohydrate_g: likely(Nutrient::Carbohydrate),
        fibre_g: likely(Nutrient::Fibre),
        alcohol_g: likely(Nutrient::Alcohol),
        parts: String::new(),
        note: String::new(),
    });
    rows
}

/// Likely energy of each line in the unit asked for, rounded so that the lines sum to the plate as it is printed.
pub fn energies(lines: &[Line], look: &Look) -> Vec<f64> {
    let likely: Vec<f64> = lines
        .iter()
        .map(|line| line.energy.likely * look.energy.factor())
        .collect();
    shares_of_total(&likely, look.energy.step())
}

/// The lines as people read them, with what their measures stand for and what to know.
pub fn lines_table(lines: &[Line], estimate: &Estimate, look: &Look) -> String {
    let mut out = String::new();
    body(&mut out, lines, estimate, look);
    let mut remarks: Vec<String> = Vec::new();
    for line in lines {
        for size in &line.amount.stands_for {
            if !remarks.contains(size) {
                remarks.push(size.clone());
            }
        }
    }
    for line in lines {
        if let Some(note) = &line.note {
            remarks.push(note.clone());
        }
    }
    if !estimate.plate.not_understood.is_empty() {
        let words: Vec<String> = estimate
            .plate
            .not_understood
            .iter()
            .map(|word| format!("\"{}\"", word.text))
            .collect();
        remarks.push(format!("not understood: {}", words.join(", ")));
    }
    if !remarks.is_empty() {
        out.push('\n');
        for remark in remarks {
            for line in wrap(&remark, look.width, "") {
                let _ = writeln!(out, "{line}");
            }
        }
    }
    out.push('\n');
    for line in wrap(CAUTION, look.width, "") {
        let _ = writeln!(out, "{}", paint(look, faint(), line.trim_start()));
    }
    out
}

fn body(out: &mut String, lines: &[Line], estimate: &Estimate, look: &Look) {
    let wide = look.width >= WIDE;
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let energy = energies(lines, look);
    let column = |nutrient: Nutrient| {
        let parts: Vec<f64> = lines
            .iter()
            .map(|line| line.likely[nutrient as usize])
            .collect();
        shares_of_total(&parts, 1.0)
    };
    let macros = [Nutrient::Protein, Nutrient::Fat, Nutrient::Carbohydrate].map(column);
    let range = |low: f64, high: f64, step: f64| {
        format!(
            "{}–{}",
            grouped(round_to(low * factor, step)),
            grouped(round_to(high * factor, step))
        )
    };
    let amounts = lines
        .iter()
        .map(|line| line.amount.text.width())
        .max()
        .unwrap_or(0)
        .clamp(6, if wide { 14 } else { 12 });
    let others = if wide { 45 } else { 12 };
    let names = look.width.saturating_sub(amounts + others).clamp(8, 44);
    let mut builder = Builder::default();
    let unit = look.energy.symbol();
    let mut heading = vec!["line".to_owned(), "amount".to_owned(), unit.to_owned()];
    if wide {
        heading.extend(["low–high", "protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(heading);
    for (at, line) in lines.iter().enumerate() {
        let mut record = vec![
            cell(&line.name, names),
            cell(&line.amount.text, amounts),
            grouped(energy[at]),
        ];
        if wide {
            record.push(range(line.energy.low, line.energy.high, step));
            record.extend(macros.iter().map(|column| grouped(column[at])));
        }
        builder.push_record(record);
    }
    let mut total = vec![
        "plate".to_owned(),
        String::new(),
        grouped(energy.iter().sum()),
    ];
    if wide {
        let of = estimate.total(Nutrient::Energy);
        total.push(range(of.low, of.high, 2.0 * step));
        total.extend(
            macros
                .iter()
                .map(|column| grouped(column.iter().sum::<f64>())),
        );
    }
    builder.push_record(total);
    let mut table = builder.build();
    table
        .with(Frame::empty())
        .with(Modify::new(Columns::new(1..)).with(Alignment::right()));
    ruled(out, &table.to_string(), look);
}

/// The lines of a cell, broken at words.
fn cell(text: &str, width: usize) -> String {
    wrap(text, width, "")
        .iter()
        .map(|line| line.trim_start())
        .collect::<Vec<_>>()
        .join("\n")
}

/// The section "Lines to record" of the whole answer: a line each, without its macros.
pub fn lines_section(lines: &[Line], look: &Look) -> String {
    let mut out = String::new();
    if lines.is_empty() {
        return out;
    }
    let _ = writeln!(out, "\n{}", paint(look, strong(), "Lines to record"));
    for (line, energy) in lines.iter().zip(energies(lines, look)) {
        let said = format!(
            "{}: {}, {} {}",
            line.name,
            line.amount.text,
            grouped(energy),
            look.energy.symbol()
        );
        for line in wrap(&said, look.width.saturating_sub(2), "  ") {
            let _ = writeln!(out, "{line}");
        }
    }
    out
}
