//! Menu files: from a text, a table, schema.org data or a saved web page to the lines of a menu.
//!
//! | file | what it holds |
//! |---|---|
//! | `.csv` | a `text` column, and `id` and `section` where they are there |
//! | `.json`, `.jsonld` | schema.org `Menu`, `MenuSection`, `MenuItem` as JSON-LD |
//! | `.html`, `.htm` | a saved page with such data in `<script type="application/ld+json">` |
//! | anything else | text, a line a dish |
//!
//! Text and tables are read as they are asked for; one bad line is an error of its own and the rest goes on.

mod linked;
mod page;
mod plain;

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

/// A line of a menu.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MenuLine {
    /// Its id, or its line number.
    pub id: String,
    /// Its section heading.
    pub section: Option<String>,
    /// The dish's name, where the file keeps it apart from its description.
    pub name: Option<String>,
    /// Its words, name and description together.
    pub text: String,
}

impl MenuLine {
    /// What to call the dish where there is little room: its name, or all its words.
    pub fn title(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.text)
    }

    /// The words behind the name.
    pub fn description(&self) -> Option<&str> {
        self.text
            .strip_prefix(self.name.as_deref()?)
            .map(|rest| rest.trim_start_matches([':', ' ']))
            .filter(|rest| !rest.is_empty())
    }
}

/// Why a menu file, or a line of it, cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum MenuError {
    /// A file that cannot be read.
    #[error("cannot read `{}`: {source}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// Content that is not what the file's ending says.
    #[error("{}: {message}", path.display())]
    Malformed {
        /// The file.
        path: PathBuf,
        /// What is wrong, where, and what to do.
        message: String,
    },
}

/// The lines of a menu, each of them or what is wrong with it.
pub type Lines = Box<dyn Iterator<Item = Result<MenuLine, MenuError>>>;

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Text,
    Csv,
    Linked,
    Page,
}

impl Kind {
    fn of_ending(path: &Path) -> Kind {
        let ending = path
            .extension()
            .map(|ending| ending.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("csv") => Kind::Csv,
            Some("json" | "jsonld") => Kind::Linked,
            Some("html" | "htm") => Kind::Page,
            _ => Kind::Text,
        }
    }

    /// Standard input has no ending: what it begins with decides between text, JSON and a page.
    fn of_beginning(bytes: &[u8]) -> Kind {
        let beginning: String = String::from_utf8_lossy(bytes)
            .trim_start_matches('\u{feff}')
            .trim_start()
            .chars()
            .take(9)
            .collect::<String>()
            .to_lowercase();
        match beginning.as_str() {
            json if json.starts_with(['{', '[']) => Kind::Linked,
            page if page.starts_with("<!doctype") || page.starts_with("<html") => Kind::Page,
            _ => Kind::Text,
        }
    }
}

/// The lines of a menu file; `-` is standard input.
///
/// # Errors
/// Where the file cannot be opened, a CSV file has no `text` column, or a JSON file or page holds no dish.
pub fn lines_of(path: &Path) -> Result<Lines, MenuError> {
    let (kind, input): (Kind, Box<dyn BufRead>) = if path == Path::new("-") {
        let mut input = BufReader::new(std::io::stdin());
        let kind = Kind::of_beginning(input.fill_buf().unwrap_or_default());
        (kind, Box::new(input))
    } else {
        let file = File::open(path).map_err(|source| MenuError::Unreadable {
            path: path.to_owned(),
            source,
        })?;
        (Kind::of_ending(path), Box::new(BufReader::new(file)))
    };
    match kind {
        Kind::Text => Ok(Box::new(plain::text_lines(path.to_owned(), input))),
        Kind::Csv => plain::csv_lines(path, input),
        Kind::Linked => found(path, linked::lines(&whole(path, input)?)),
        Kind::Page => found(path, page::lines(&whole(path, input)?)),
    }
}

/// All of a file as text, without the mark that some programs put before it.
fn whole(path: &Path, mut input: Box<dyn BufRead>) -> Result<String, MenuError> {
    let mut bytes = Vec::new();
    input
        .read_to_end(&mut bytes)
        .map_err(|source| MenuError::Unreadable {
            path: path.to_owned(),
            source,
        })?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let place = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..place]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        MenuError::Malformed {
            path: path.to_owned(),
            message: format!("line {} is not UTF-8; save the file as UTF-8", line + 1),
        }
    })?;
    Ok(text.trim_start_matches('\u{feff}').to_owned())
}

/// Dishes, and what is wrong with those that cannot be used; a message alone where nothing can be used at all.
type Found = Result<Vec<Result<MenuLine, String>>, String>;

fn found(path: &Path, found: Found) -> Result<Lines, MenuError> {
    let path = path.to_owned();
    let malformed = |path: PathBuf, message| MenuError::Malformed { path, message };
    match found {
        Ok(lines) => Ok(Box::new(lines.into_iter().map(move |line| {
            line.map_err(|message| malformed(path.clone(), message))
        }))),
        Err(message) => Err(malformed(path, message)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_input_is_known_by_its_beginning() {
        assert_eq!(
            Kind::of_beginning(b"\xef\xbb\xbf \n{\"@type\""),
            Kind::Linked
        );
        assert_eq!(Kind::of_beginning(b"<!DOCTYPE html>"), Kind::Page);
        assert_eq!(Kind::of_beginning(b"leek soup\n"), Kind::Text);
        assert_eq!(Kind::of_beginning(b""), Kind::Text);
    }

    #[test]
    fn a_description_is_what_stands_behind_the_name() {
        let line = MenuLine {
            name: Some("Leek soup".to_owned()),
            text: "Leek soup: cream, chives".to_owned(),
            ..MenuLine::default()
        };
        assert_eq!(line.description(), Some("cream, chives"));
        assert_eq!(line.title(), "Leek soup");
        assert_eq!(MenuLine::default().description(), None);
    }
}
