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
        let before = fs::metadata(&path).ok();
        replace(&path, bytes, before.map(|before| before.permissions()))
    };
    write().map_err(|source| CliError::Write {
        path: path.to_owned(),
        source,
    })
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
