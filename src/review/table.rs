//! A CSV file of records: columns `text`, `kcal`, `protein`, `fat`, `carb`, and where wanted `alcohol`, `recorded`, `id`,
//! `date`.

use super::{Figures, Record, read_figures};
use crate::library::schema::ReviewEntry;
use std::io::Read;

/// The most that a cell may hold, kcal or g.
const MOST: f64 = 50_000.0;

/// A row that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordFault {
    /// Its line.
    pub line: u64,
    /// What is wrong, and what to do.
    pub message: String,
}

/// Why a file is none of records.
#[derive(Debug, thiserror::Error)]
pub enum RecordsError {
    /// No column of menu words.
    #[error(
        "line 1: there is no `text` column, which holds the menu's words; it has: {found}; the columns are text, kcal, protein, fat, carb, and where wanted recorded, alcohol, id, date"
    )]
    NoText {
        /// The columns there are.
        found: String,
    },
    /// Not even headings can be read.
    #[error("line 1: {0}")]
    Headings(String),
}

/// Where each column stands.
struct Columns {
    text: usize,
    id: Option<usize>,
    date: Option<usize>,
    recorded: Option<usize>,
    /// kcal, protein, fat, carbohydrate, alcohol.
    figures: [Option<usize>; 5],
}

const NAMES: [&str; 5] = ["kcal", "protein", "fat", "carb", "alcohol"];

/// Reads the records of a file; a row that cannot be used becomes a fault, and the rest goes on. Rows of empty cells are
/// skipped. Figures in the words of `recorded` fill in for empty cells.
///
/// # Errors
/// [`RecordsError`] where the columns are not those of records.
pub fn read_records(
    rules: &ReviewEntry,
    input: impl Read,
) -> Result<Vec<Result<Record, RecordFault>>, RecordsError> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(input);
    let headings = reader
        .headers()
        .map_err(|error| RecordsError::Headings(plain(&error)))?
        .clone();
    let columns = columns(&headings)?;
    let mut rows = Vec::new();
    for row in reader.records() {
        let (line, record) = match &row {
            Ok(row) if row.iter().all(|cell| cell.trim().is_empty()) => continue,
            Ok(row) => {
                let line = row.position().map_or(0, csv::Position::line);
                (line, record(rules, row, line, &columns))
            }
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                (line, Err(plain(error)))
            }
        };
        rows.push(record.map_err(|message| RecordFault { line, message }));
    }
    Ok(rows)
}

fn plain(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::Utf8 { .. } => "this is not UTF-8; save the file as UTF-8".to_owned(),
        _ => error.to_string(),
    }
}

fn columns(headings: &csv::StringRecord) -> Result<Columns, RecordsError> {
    let names: Vec<String> = headings
        .iter()
        .map(|name| {
            let name = name.trim_start_matches('\u{feff}').trim().to_lowercase();
            name.trim_end_matches("_g").to_owned()
        })
        .collect();
    let column = |wanted: &[&str]| {
        names
            .iter()
            .position(|name| wanted.contains(&name.as_str()))
    };
    let text = column(&["text"]).ok_or_else(|| RecordsError::NoText {
        found: names.join(", "),
    })?;
    Ok(Columns {
        text,
        id: column(&["id"]),
        date: column(&["date"]),
        recorded: column(&["recorded"]),
        figures: [
            column(&["kcal", "energy_kcal"]),
            column(&["protein"]),
            column(&["fat"]),
            column(&["carb", "carbs", "carbohydrate"]),
            column(&["alcohol"]),
        ],
    })
}

fn record(
    rules: &ReviewEntry,
    row: &csv::StringRecord,
    line: u64,
    columns: &Columns,
) -> Result<Record, String> {
    let cell = |at: Option<usize>| {
        at.and_then(|at| row.get(at))
            .map(str::trim)
            .filter(|cell| !cell.is_empty())
    };
    let mut cells = [None; 5];
    for (at, name) in NAMES.iter().enumerate() {
        if let Some(said) = cell(columns.figures[at]) {
            let figure = said.replace(',', "").parse::<f64>().ok();
            let sound = figure.filter(|figure| (0.0..=MOST).contains(figure));
            cells[at] = Some(sound.ok_or_else(|| {
                format!(
                    "`{name}` is \"{said}\"; write a plain number from 0 to {MOST}, or leave it empty"
                )
            })?);
        }
    }
    let [kcal, protein, fat, carbohydrate, alcohol] = cells;
    let text = cell(Some(columns.text))
        .ok_or("`text` is empty; write down what the menu says, or remove the row")?;
    let (found, words) = read_figures(rules, cell(columns.recorded).unwrap_or_default());
    Ok(Record {
        id: cell(columns.id).map_or_else(|| line.to_string(), str::to_owned),
        date: cell(columns.date).map(str::to_owned),
        text: text.to_owned(),
        words: Some(words).filter(|words| !words.is_empty()),
        figures: Figures {
            kcal,
            protein,
            fat,
            carbohydrate,
            alcohol,
        }
        .or(found),
    })
}
