//! Reports lay out, they do not compute: each format is one file and gets the same [`Estimate`].

mod bar;
mod csv;
mod eye;
mod html;
mod json;
mod jsonld;
mod lines;
mod number;
mod table;
mod versus;

pub use self::csv::{CsvRow, csv_rows, csv_safe};
pub use bar::{range_bar, share_bar};
pub use eye::eye_table;
pub use html::html;
pub use json::{
    FORMAT, JsonAnswer, JsonMeal, JsonNotUnderstood, JsonQuestion, JsonRange, JsonWithin, json_meal,
};
pub use jsonld::{LinkedMenu, linked_menu};
pub use lines::{
    JsonEntry, LineCsv, energies, json_entries, lines_csv, lines_section, lines_table,
};
pub use number::{EnergyUnit, grouped, round_to, shares_of_total};
pub use table::{table, table_with_lines};
pub use versus::{
    Comparison, Pair, chance_in_words, compare, comparison_table, per_cent, within_words,
};

/// Lines of at most `width` columns.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    table::wrap(text, width, "")
}

use crate::estimate::Estimate;

/// What every report may be asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Unit of energy.
    pub energy: EnergyUnit,
    /// Columns of the terminal or page.
    pub width: usize,
    /// Whether colours may be used.
    pub colour: bool,
}

impl Default for Look {
    fn default() -> Self {
        Look {
            energy: EnergyUnit::Kcal,
            width: 80,
            colour: false,
        }
    }
}

/// The cautions in short, as every answer carries them.
pub const CAUTION: &str = "The parts are inferred: not for allergies, not for dosing medicine. See `platespan --help` for all cautions.";

/// The cautions in full, as `--help` and the README have them.
pub const CAUTIONS: &str = "\
Cautions
  - The components are inferred from words. Never use them to decide about an allergy or intolerance: ask the kitchen.
  - Never use these figures to dose insulin or any other medicine.
  - In pregnancy, for minors, in illness, or where food is a worry, ask a doctor or a registered dietitian.
  - These are estimates with a range, not a menu label in law.";

/// The cautions of one answer, for JSON.
pub fn cautions() -> Vec<String> {
    CAUTIONS
        .lines()
        .skip(1)
        .map(|line| line.trim_start_matches([' ', '-']).to_owned())
        .collect()
}

/// The share of plates that lie within a limit, in words: to the nearest 5 %, as finer would claim more than is known.
pub fn share_within(share: f64) -> String {
    match round_to(share * 100.0, 5.0) {
        percent if percent < 5.0 => "under 5 %".to_owned(),
        percent if percent > 95.0 => "over 95 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

/// In words, what most of the range comes from.
pub fn main_cause(estimate: &Estimate) -> Option<String> {
    let (cause, share) = estimate.causes.first()?;
    let (at, own) = estimate.widest?;
    let widest = &estimate.rows[at].component;
    let name = widest.name.to_lowercase();
    let how_much = match share {
        share if *share > 0.6 => "most of this range is",
        share if *share > 0.4 => "about half of this range is",
        _ => "the largest part of this range is",
    };
    Some(match cause {
        crate::estimate::Cause::Portions if own > 0.3 => {
            format!("{how_much} how much {name} there was")
        }
        _ => format!("{how_much} {}", cause.name()),
    })
}

#[cfg(test)]
mod tests {
    use super::share_within;

    #[test]
    fn a_share_is_never_told_as_certain() {
        let said = [0.0, 0.03, 0.4, 0.97, 0.98, 1.0].map(share_within);
        assert_eq!(
            said,
            ["under 5 %", "5 %", "40 %", "95 %", "over 95 %", "over 95 %"]
        );
    }
}
