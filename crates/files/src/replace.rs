//! Replaces some files of a folder, all or none.

use crate::write_error::{Doing, WriteError};
use crate::write_one::write_file;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Writes files by name relative to a folder, each whole; if one of them cannot be written, those
/// before it are put back as they were. Folders in between are made.
///
/// # Errors
/// If the disk, the permissions or what is there already forbid it; nothing has changed then.
pub fn replace_files(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), WriteError> {
    let mut done: Vec<(PathBuf, Option<Vec<u8>>)> = Vec::new();
    for (name, bytes) in files {
        let path = folder.join(name);
        let written = old_content(&path).and_then(|old| one(&path, bytes).map(|()| old));
        match written {
            Ok(old) => done.push((path, old)),
            Err(error) => {
                done.into_iter().rev().for_each(put_back);
                return Err(error);
            }
        }
    }
    Ok(())
}

fn old_content(path: &Path) -> Result<Option<Vec<u8>>, WriteError> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(WriteError::Io { doing: Doing::Read, path: path.to_owned(), error }),
    }
}

fn one(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    if let Some(parent) = path.parent() {
        let fault = |error| WriteError::Io { doing: Doing::CreateFolder, path: parent.to_owned(), error };
        fs::create_dir_all(parent).map_err(fault)?;
    }
    write_file(path, bytes)
}

/// As far as the disk allows.
fn put_back((path, old): (PathBuf, Option<Vec<u8>>)) {
    let _ = match old {
        Some(bytes) => write_file(&path, &bytes),
        None => fs::remove_file(&path).map_err(|error| WriteError::Io { doing: Doing::Move, path, error }),
    };
}

#[cfg(test)]
mod tests {
    use super::replace_files;

    #[test]
    fn all_files_are_written_or_none() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("orders.csv"), "old").unwrap();
        std::fs::create_dir(folder.path().join("in-the-way")).unwrap();
        let file = |name: &str| (name.to_owned(), b"new".to_vec());
        let all = [file("orders.csv"), file("tools/imported.toml"), file("in-the-way")];
        assert!(replace_files(folder.path(), &all).is_err());
        assert_eq!(std::fs::read(folder.path().join("orders.csv")).unwrap(), b"old");
        assert!(!folder.path().join("tools/imported.toml").exists());
        replace_files(folder.path(), &all[..2]).unwrap();
        assert_eq!(std::fs::read(folder.path().join("tools/imported.toml")).unwrap(), b"new");
    }
}
