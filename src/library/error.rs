//! What can be wrong with the library's files.

use std::fmt;
use std::path::PathBuf;

/// A place in a file: line and column count from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// File name as the user gave it.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}", self.file, self.line, self.column)
    }
}

/// Why a library could not be loaded.
#[derive(Debug, thiserror::Error)]
pub enum LibraryError {
    /// A file or folder that cannot be read.
    #[error("cannot read `{}`: {source}; give a folder of TOML files, or one such file", path.display())]
    Unreadable {
        /// What was asked for.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// Not the TOML of a library file.
    #[error(
        "{place}: {message}; see component-library/SCHEMA.md for what is expected, or start from `platespan library new`"
    )]
    Malformed {
        /// Where.
        place: Place,
        /// What the parser said.
        message: String,
    },
    /// Two entries of one file set have the same id.
    #[error("`{id}` is defined in {first} and again in {second}; give one of them another id")]
    DuplicateId {
        /// The id.
        id: String,
        /// The file that had it first.
        first: String,
        /// The file that has it again.
        second: String,
    },
    /// A name that leads nowhere.
    #[error("{file}: `{id}` names {what} `{said}`, which is not there; did you mean `{nearest}`?")]
    Unknown {
        /// The file.
        file: String,
        /// The entry.
        id: String,
        /// `food`, `category`, `role` …
        what: &'static str,
        /// What it says.
        said: String,
        /// The nearest that exists.
        nearest: String,
    },
    /// A food with neither figures nor recipe, or with both.
    #[error(
        "{file}: food `{id}` needs exactly one of `per_100g` (with `source`), `per_serving` (with `source`) or `blend`"
    )]
    NoFigures {
        /// The file.
        file: String,
        /// The entry.
        id: String,
    },
    /// A number that cannot be.
    #[error("{file}: `{id}`: {what}")]
    OutOfRange {
        /// The file.
        file: String,
        /// The entry.
        id: String,
        /// What is wrong and what is expected.
        what: String,
    },
    /// A recipe that contains itself.
    #[error("{file}: the blend of `{id}` contains itself; name ingredients, not the blend")]
    CircularBlend {
        /// The file.
        file: String,
        /// The entry.
        id: String,
    },
    /// A fault of the data we ship: ours, not the user's.
    #[error("the embedded library is damaged ({0}): this is our mistake, please report it")]
    Embedded(String),
}
