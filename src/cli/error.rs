//! What can go wrong on the command line, and with which exit status.

use crate::library::LibraryError;
use crate::menu::MenuError;
use crate::read::ReadError;
use std::io;
use std::path::PathBuf;

/// An error that ends a command.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// Misuse of a command.
    #[error("{0}")]
    Usage(String),
    /// A text that cannot be read.
    #[error("{0}")]
    Read(#[from] ReadError),
    /// A library file that cannot be used.
    #[error("{0}")]
    Library(#[from] LibraryError),
    /// A menu file that cannot be used.
    #[error("{0}")]
    Menu(#[from] MenuError),
    /// A file that cannot be read.
    #[error("cannot read `{}`: {source}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file that cannot be written.
    #[error("cannot write `{}`: {source}; nothing that was there before has been changed", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Standard input that cannot be read.
    #[error("cannot read standard input: {0}")]
    Input(io::Error),
    /// Standard output that cannot be written.
    #[error("cannot write to standard output: {0}")]
    Output(io::Error),
    /// A table that is no CSV, with its line.
    #[error("{}: {message}", path.display())]
    Table {
        /// The file.
        path: PathBuf,
        /// What is wrong, with the line.
        message: String,
    },
}

impl CliError {
    /// 2 for misuse or bad data, 1 for what the system refuses.
    pub fn exit_code(&self) -> u8 {
        match self {
            CliError::Usage(_)
            | CliError::Read(_)
            | CliError::Library(_)
            | CliError::Menu(_)
            | CliError::File { .. }
            | CliError::Table { .. } => 2,
            CliError::Write { .. } | CliError::Input(_) | CliError::Output(_) => 1,
        }
    }
}
