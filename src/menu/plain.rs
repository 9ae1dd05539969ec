//! Menus as text, a line a dish, and as CSV with a `text` column.

use super::{Lines, MenuError, MenuLine};
use std::io::BufRead;
use std::path::{Path, PathBuf};

/// A dish a line; empty lines are passed over, and count.
pub fn text_lines(
    path: PathBuf,
    mut input: Box<dyn BufRead>,
) -> impl Iterator<Item = Result<MenuLine, MenuError>> {
    let mut number = 0;
    std::iter::from_fn(move || {
        loop {
            let mut bytes = Vec::new();
            number += 1;
            match input.read_until(b'\n', &mut bytes) {
                Ok(0) => return None,
                Ok(_) => {}
                Err(source) => {
                    return Some(Err(MenuError::Unreadable {
                        path: path.clone(),
                        source,
                    }));
                }
            }
            match String::from_utf8(bytes) {
                Ok(text) if text.trim().is_empty() => {}
                Ok(text) => {
                    return Some(Ok(MenuLine {
                        id: number.to_string(),
                        text: text.trim().trim_start_matches('\u{feff}').to_owned(),
                        ..MenuLine::default()
                    }));
                }
                Err(_) => {
                    return Some(Err(MenuError::Malformed {
                        path: path.clone(),
                        message: format!("line {number} is not UTF-8; save the file as UTF-8"),
                    }));
                }
            }
        }
    })
}

/// A dish a row.
///
/// # Errors
/// Where there is no `text` column, or the heading is no CSV.
pub fn csv_lines(path: &Path, input: Box<dyn BufRead>) -> Result<Lines, MenuError> {
    let path = path.to_owned();
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(input);
    let bad = |path: &Path, error: csv::Error| {
        let line = error
            .position()
            .map_or(String::new(), |place| format!("line {}: ", place.line()));
        MenuError::Malformed {
            path: path.to_owned(),
            message: format!("{line}{error}"),
        }
    };
    let headings = reader.headers().map_err(|error| bad(&path, error))?.clone();
    let column = |name: &str| {
        headings.iter().position(|heading| {
            heading
                .trim()
                .trim_start_matches('\u{feff}')
                .eq_ignore_ascii_case(name)
        })
    };
    let Some(text_at) = column("text") else {
        let found = headings.iter().collect::<Vec<_>>().join(", ");
        return Err(MenuError::Malformed {
            path,
            message: format!("line 1: there is no `text` column; it has: {found}"),
        });
    };
    let (id_at, section_at) = (column("id"), column("section"));
    Ok(Box::new(reader.into_records().map(move |record| {
        let record = record.map_err(|error| bad(&path, error))?;
        let line = record.position().map_or(0, csv::Position::line);
        let field = |at: Option<usize>| {
            at.and_then(|at| record.get(at))
                .map(str::trim)
                .filter(|field| !field.is_empty())
        };
        Ok(MenuLine {
            id: field(id_at).map_or_else(|| line.to_string(), str::to_owned),
            section: field(section_at).map(str::to_owned),
            name: None,
            text: record.get(text_at).unwrap_or_default().trim().to_owned(),
        })
    })))
}
