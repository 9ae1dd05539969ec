//! Safe writes of the user's own files.

use super::CliError;
use std::fs;
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
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let folder = path
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty())
            .map_or_else(|| PathBuf::from("."), Path::to_owned);
        fs::create_dir_all(&folder)?;
        let mut file = tempfile::NamedTempFile::new_in(&folder)?;
        file.write_all(bytes)?;
        if let Ok(before) = fs::metadata(&path) {
            file.as_file().set_permissions(before.permissions())?;
        }
        file.as_file().sync_all()?;
        file.persist(&path).map_err(|error| error.error)?;
        Ok(())
    };
    write().map_err(|source| CliError::Write {
        path: path.to_owned(),
        source,
    })
}
