//! SQLite's errors in the store's own words.

use crate::StoreError;
use rusqlite::{Error, ErrorCode, ffi};
use std::fs::OpenOptions;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// What went wrong, before it is told with the file's name.
#[derive(Debug)]
pub(super) enum Fault {
    /// SQLite said so.
    Sqlite(Error),
    /// A rule of the store.
    Rule(StoreError),
    /// What was read makes no sense.
    Damaged(String),
    /// The file belongs to another program.
    NotAStore,
    /// The file has a newer layout.
    Newer { found: i64, known: i64 },
}

impl From<Error> for Fault {
    fn from(error: Error) -> Self {
        Self::Sqlite(error)
    }
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        Self::Rule(error)
    }
}

impl Fault {
    /// There is no such thing.
    pub(super) fn missing(kind: &str, id: impl std::fmt::Display) -> Self {
        Self::Rule(StoreError::NotFound { what: format!("{kind} `{id}`") })
    }

    /// Whether somebody else has the file just now.
    pub(super) fn is_busy(&self) -> bool {
        matches!(self, Self::Sqlite(error) if is_busy(error))
    }

    /// The error as it is told to whoever used the store.
    pub(super) fn told(self, path: &Path) -> StoreError {
        let path = path.to_owned();
        match self {
            Self::Rule(error) => error,
            Self::Damaged(detail) => StoreError::Damaged { path, detail },
            Self::NotAStore => StoreError::NotAStore { path },
            Self::Newer { found, known } => StoreError::Newer { path, found, known },
            Self::Sqlite(error) => told_by_sqlite(&error, path),
        }
    }
}

fn told_by_sqlite(error: &Error, path: PathBuf) -> StoreError {
    let detail = error.to_string();
    match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => StoreError::Full { path },
        // There is no room for the index of the log, which every connection needs.
        Some(ErrorCode::SystemIoFailure) if extended(error) == Some(ffi::SQLITE_IOERR_SHMSIZE) => {
            StoreError::Full { path }
        }
        Some(ErrorCode::ReadOnly) => StoreError::ReadOnly { path },
        // The log beside the file cannot be made, or the disk has turned read-only under open files.
        Some(ErrorCode::CannotOpen | ErrorCode::SystemIoFailure) if cannot_be_written(&path) => {
            StoreError::ReadOnly { path }
        }
        Some(ErrorCode::DatabaseCorrupt) => StoreError::Damaged { path, detail },
        Some(ErrorCode::NotADatabase) => StoreError::NotAStore { path },
        Some(_) if is_busy(error) => StoreError::Busy { path },
        // A column of another type than the layout says.
        None => StoreError::Damaged { path, detail },
        Some(_) => StoreError::Unreachable { path, detail },
    }
}

fn is_busy(error: &Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked))
}

/// SQLite's own number for an error.
fn extended(error: &Error) -> Option<i32> {
    error.sqlite_error().map(|error| error.extended_code)
}

/// Whether a file is there, and this program may not write to it.
fn cannot_be_written(path: &Path) -> bool {
    let opened = OpenOptions::new().append(true).open(path);
    let kinds = [ErrorKind::ReadOnlyFilesystem, ErrorKind::PermissionDenied];
    opened.is_err_and(|error| kinds.contains(&error.kind()))
}
