//! CSV: a row a component, a last row for the plate; or a row a meal. No cell can be taken for a formula.

use crate::estimate::{Estimate, Nutrient, Range};
use serde::Serialize;

/// A row of CSV.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CsvRow {
    /// Row id or line number; empty for a single meal.
    pub id: String,
    /// Component's name, "plate" for the total, or the text of a menu line.
    pub what: String,
    /// Component's role; empty for a total.
    pub role: String,
    /// g: likely.
    pub grams: Option<f64>,
    /// kcal.
    pub kcal_low: f64,
    /// kcal.
    pub kcal_likely: f64,
    /// kcal.
    pub kcal_high: f64,
    /// g.
    pub protein_g_low: f64,
    /// g.
    pub protein_g_likely: f64,
    /// g.
    pub protein_g_high: f64,
    /// g.
    pub fat_g_low: f64,
    /// g.
    pub fat_g_likely: f64,
    /// g.
    pub fat_g_high: f64,
    /// g.
    pub carbohydrate_g_low: f64,
    /// g.
    pub carbohydrate_g_likely: f64,
    /// g.
    pub carbohydrate_g_high: f64,
    /// g: likely.
    pub fibre_g: f64,
    /// g: likely.
    pub alcohol_g: f64,
    /// Source of a component's figures.
    pub source: String,
    /// Words not understood, for a total.
    pub not_understood: String,
}

/// Keeps a spreadsheet from taking a cell for a formula: a quotation mark goes before `= + - @` and control characters.
pub fn csv_safe(cell: &str) -> String {
    let risky = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    if risky {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

fn row(id: &str, what: &str, nutrients: &[Range; 6]) -> CsvRow {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let get = |nutrient: Nutrient| nutrients[nutrient as usize];
    let energy = get(Nutrient::Energy);
    let (protein, fat, carbohydrate) = (
        get(Nutrient::Protein),
        get(Nutrient::Fat),
        get(Nutrient::Carbohydrate),
    );
    CsvRow {
        id: csv_safe(id),
        what: csv_safe(what),
        role: String::new(),
        grams: None,
        kcal_low: energy.low.round(),
        kcal_likely: energy.likely.round(),
        kcal_high: energy.high.round(),
        protein_g_low: tenth(protein.low),
        protein_g_likely: tenth(protein.likely),
        protein_g_high: tenth(protein.high),
        fat_g_low: tenth(fat.low),
        fat_g_likely: tenth(fat.likely),
        fat_g_high: tenth(fat.high),
        carbohydrate_g_low: tenth(carbohydrate.low),
        carbohydrate_g_likely: tenth(carbohydrate.likely),
        carbohydrate_g_high: tenth(carbohydrate.high),
        fibre_g: tenth(get(Nutrient::Fibre).likely),
        alcohol_g: tenth(get(Nutrient::Alcohol).likely),
        source: String::new(),
        not_understood: String::new(),
    }
}

/// The rows of a meal: its components where `components`, and the plate.
pub fn csv_rows(estimate: &Estimate, id: &str, components: bool) -> Vec<CsvRow> {
    let mut rows = Vec::new();
    if components {
        for part in &estimate.rows {
            rows.push(CsvRow {
                role: part.component.role.name().to_owned(),
                grams: Some((part.grams.likely * 10.0).round() / 10.0),
                source: csv_safe(&part.component.source),
                ..row(id, &part.component.name, &part.nutrients)
            });
        }
    }
    let what = if components {
        "plate"
    } else {
        estimate.text.trim()
    };
    let unknown: Vec<&str> = estimate
        .plate
        .not_understood
        .iter()
        .map(|word| word.text.as_str())
        .collect();
    rows.push(CsvRow {
        not_understood: csv_safe(&unknown.join("; ")),
        ..row(id, what, &estimate.total)
    });
    rows
}

#[cfg(test)]
mod tests {
    use super::csv_safe;

    #[test]
    fn no_cell_can_be_a_formula() {
        assert_eq!(csv_safe("=1+1"), "'=1+1");
        assert_eq!(csv_safe("@cmd"), "'@cmd");
        assert_eq!(csv_safe("soup"), "soup");
    }
}
