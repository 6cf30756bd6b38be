//! Writes a single file whole or not at all.

use crate::write_error::{Doing, WriteError};
use std::io::{self, Write};
use std::path::Path;
use tempfile::Builder;

/// Writes a file, replacing one of that name: beside its place first, flushed to the disk, then
/// renamed, so that whoever looks sees the old content or the new, never half of it.
///
/// # Errors
/// If the disk, the permissions or what is there already forbid it; nothing has changed then.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let fault = |doing, error| WriteError::Io { doing, path: path.to_owned(), error };
    if path.is_dir() {
        return Err(WriteError::Foreign { path: path.to_owned() });
    }
    let folder = match path.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    let mut file = Builder::new()
        .prefix(".elbowroom-")
        .tempfile_in(folder)
        .map_err(|error| fault(Doing::CreateFolder, error))?;
    let written: io::Result<()> = file.write_all(bytes).and_then(|()| file.as_file().sync_all());
    written.map_err(|error| fault(Doing::Write, error))?;
    make_readable(file.as_file()).map_err(|error| fault(Doing::Write, error))?;
    file.persist(path).map_err(|refused| fault(Doing::Move, refused.error))?;
    Ok(())
}

/// Temporary files are private to their owner; results are read by others too.
#[cfg(unix)]
fn make_readable(file: &std::fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn make_readable(_: &std::fs::File) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::write_file;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("schedule.json");
        write_file(&path, b"first, and longer").unwrap();
        write_file(&path, b"second").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"second");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_cannot_be_written_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let error = write_file(&folder.path().join("missing/schedule.json"), b"x").unwrap_err();
        assert!(error.to_string().contains("missing"), "{error}");
        assert!(write_file(folder.path(), b"x").is_err(), "a folder is not overwritten");
    }
}
