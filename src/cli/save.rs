//! Safe writes of the user's own files.

use super::CliError;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Writes a file as a whole or not at all: a new file beside it, synced, then renamed over it.
///
/// A link is followed, so that it stays a link; the permissions of a file that is there stay as they are, and a new one is
/// for its owner alone.
///
/// # Errors
/// [`CliError::Write`]; the file is then as it was before.
pub(crate) fn save(path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    let write = || -> io::Result<()> {
        let path = at_its_end(path)?;
        let before = fs::metadata(&path).ok();
        replace(&path, bytes, before.map(|before| before.permissions()))
    };
    write().map_err(|source| CliError::Write {
        path: path.to_owned(),
        source,
    })
}

/// Holds a file of the user's own from reading to writing, so that two commands at once lose nothing: the second waits.
///
/// An empty file beside it, `NAME.lock`, is what is locked, for a safe write puts a new file in the place of the old; it
/// stays, since taking it away could part two who wait. Where the file system knows no locks, nothing is held.
///
/// # Errors
/// [`CliError::Write`], where the file beside it cannot be made.
pub(crate) fn hold(path: &Path) -> Result<Held, CliError> {
    let hold = || -> io::Result<Held> {
        let mut beside = at_its_end(path)?.into_os_string();
        beside.push(".lock");
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(beside)?;
        match file.lock() {
            Err(error) if error.kind() != io::ErrorKind::Unsupported => Err(error),
            _ => Ok(Held(file)),
        }
    };
    hold().map_err(|source| CliError::Write {
        path: path.to_owned(),
        source,
    })
}

/// A file is held as long as this is there.
#[derive(Debug)]
#[must_use]
pub(crate) struct Held(#[allow(dead_code, reason = "closing it is what lets go")] File);

/// Where links lead; its folder is there from then on.
fn at_its_end(path: &Path) -> io::Result<PathBuf> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    fs::create_dir_all(folder.unwrap_or(Path::new(".")))?;
    Ok(path)
}

/// Puts a file in place whole or not at all: written beside it, synced, renamed. Without permissions it is for its owner
/// alone.
pub(super) fn replace(
    path: &Path,
    bytes: &[u8],
    permissions: Option<fs::Permissions>,
) -> io::Result<()> {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    let mut file = tempfile::NamedTempFile::new_in(folder.unwrap_or(Path::new(".")))?;
    file.write_all(bytes)?;
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions)?;
    }
    file.as_file().sync_all()?;
    file.persist(path).map_err(|error| error.error)?;
    Ok(())
}
