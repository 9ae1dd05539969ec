//! A diary: CSV with a `date` column, and a meal's words or recorded figures.

use super::Meal;
use crate::estimate::Nutrient;
use crate::library::Library;
use crate::plate::PlateOptions;
use jiff::civil::Date;
use std::io::Read;

/// What a diary holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Diary {
    /// Its meals, in the order of the file.
    pub meals: Vec<Meal>,
    /// Rows that cannot be used.
    pub faults: Vec<Fault>,
}

/// A row that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Its line.
    pub line: u64,
    /// What is wrong, and what to do.
    pub message: String,
}

/// Why a file is no diary.
#[derive(Debug, thiserror::Error)]
pub enum DiaryError {
    /// No column of dates.
    #[error("line 1: there is no `date` column; it has: {found}")]
    NoDate {
        /// The columns there are.
        found: String,
    },
    /// Neither words nor figures.
    #[error("line 1: there is neither a `text` column nor a `kcal` column; it has: {found}")]
    NoMeals {
        /// The columns there are.
        found: String,
    },
    /// Not even headings can be read.
    #[error("line 1: {0}")]
    Headings(String),
}

/// Where each column stands.
struct Columns {
    date: usize,
    text: Option<usize>,
    section: Option<usize>,
    place: Option<usize>,
    /// By [`Nutrient::ALL`].
    figures: [Option<usize>; 6],
}

/// Reads a diary. A row with `kcal` is taken as it is recorded; any other is estimated from its `text`. A row that cannot be
/// used becomes a [`Fault`], and the rest goes on.
///
/// # Errors
/// [`DiaryError`] where the columns are not those of a diary.
pub fn read_diary(
    library: &Library,
    input: impl Read,
    setting: Option<&str>,
) -> Result<Diary, DiaryError> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(input);
    let headings = reader
        .headers()
        .map_err(|error| DiaryError::Headings(plain(&error)))?
        .clone();
    let columns = columns(&headings)?;
    let mut diary = Diary::default();
    for record in reader.records() {
        let row = match &record {
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line);
                (line, meal(library, record, line, &columns, setting))
            }
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                (line, Err(plain(error)))
            }
        };
        match row {
            (_, Ok(Some(meal))) => diary.meals.push(meal),
            (_, Ok(None)) => {}
            (line, Err(message)) => diary.faults.push(Fault { line, message }),
        }
    }
    Ok(diary)
}

fn plain(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::Utf8 { .. } => "this is not UTF-8; save the file as UTF-8".to_owned(),
        _ => error.to_string(),
    }
}

fn columns(headings: &csv::StringRecord) -> Result<Columns, DiaryError> {
    let names: Vec<String> = headings
        .iter()
        .map(|heading| {
            let heading = heading.trim_start_matches('\u{feff}').trim();
            heading.to_lowercase().trim_end_matches("_g").to_owned()
        })
        .collect();
    let column = |wanted: &[&str]| {
        names
            .iter()
            .position(|name| wanted.contains(&name.as_str()))
    };
    let found = || names.join(", ");
    let figures = [
        column(&["kcal", "energy_kcal"]),
        column(&["protein"]),
        column(&["fat"]),
        column(&["carbohydrate", "carb", "carbs"]),
        column(&["fibre", "fiber"]),
        column(&["alcohol"]),
    ];
    let text = column(&["text", "meal"]);
    let Some(date) = column(&["date", "day"]) else {
        return Err(DiaryError::NoDate { found: found() });
    };
    if text.is_none() && figures[0].is_none() {
        return Err(DiaryError::NoMeals { found: found() });
    }
    Ok(Columns {
        date,
        text,
        section: column(&["section"]),
        place: column(&["place"]),
        figures,
    })
}

/// The meal of a row; none for a row of empty cells.
fn meal(
    library: &Library,
    record: &csv::StringRecord,
    line: u64,
    columns: &Columns,
    setting: Option<&str>,
) -> Result<Option<Meal>, String> {
    let field = |at: Option<usize>| {
        at.and_then(|at| record.get(at))
            .map(str::trim)
            .filter(|field| !field.is_empty())
    };
    if record.iter().all(|field| field.trim().is_empty()) {
        return Ok(None);
    }
    let Some(date) = field(Some(columns.date)) else {
        return Err("there is no date; write it as 2026-03-02".to_owned());
    };
    let date: Date = date
        .parse()
        .map_err(|_| format!("`{date}` is no date; write it as 2026-03-02"))?;
    let mut figures = [None; 6];
    for (at, nutrient) in Nutrient::ALL.into_iter().enumerate() {
        let Some(said) = field(columns.figures[at]) else {
            continue;
        };
        let figure = said.parse::<f64>().ok();
        figures[at] = Some(
            figure
                .filter(|figure| figure.is_finite() && (0.0..=MOST).contains(figure))
                .ok_or_else(|| {
                    format!(
                        "{} `{said}` is no amount from 0 to {MOST}; write a plain number such as 640",
                        nutrient.name()
                    )
                })?,
        );
    }
    let text = field(columns.text);
    if figures[0].is_some() {
        let text = text.unwrap_or_default().to_owned();
        return Ok(Some(Meal::recorded(line, date, text, figures)));
    }
    if figures.iter().any(Option::is_some) {
        return Err("there are recorded figures but no kcal; fill in kcal, or empty them to have the text estimated".to_owned());
    }
    let Some(text) = text else {
        return Err(
            "there is neither a text nor kcal; fill in one of them, or remove the row".to_owned(),
        );
    };
    let options = PlateOptions {
        setting: setting.map(str::to_owned),
        section: field(columns.section).map(str::to_owned),
        ..PlateOptions::default()
    };
    let estimate =
        crate::estimate_text(library, text, &options).map_err(|error| error.to_string())?;
    let place = field(columns.place).map(str::to_lowercase);
    Ok(Some(Meal::estimated(line, date, place, &estimate)))
}

/// The largest figure one record may have, kcal or g: more is a slip of the pen.
const MOST: f64 = 20_000.0;
