//! One writer at a time in a shop folder.

use crate::write_error::{Doing, WriteError};
use std::fmt;
use std::fs::{OpenOptions, remove_file};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::Duration;

/// The file that is there while somebody writes.
const LOCK: &str = ".elbowroom-lock";
/// A writer needs some milliseconds; after this many looks something is wrong.
const MOST_LOOKS: u32 = 500;
/// Time between two looks.
const PAUSE: Duration = Duration::from_millis(20);

/// Why the folder cannot be written to now.
#[derive(Debug)]
pub enum LockError {
    /// Somebody else writes, or was broken off while writing.
    Held {
        /// The file that says so.
        path: PathBuf,
        /// The process that made it, if it says.
        process: Option<String>,
    },
    /// The lock itself could not be written.
    NotWritten(WriteError),
}

impl LockError {
    /// What would help.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::Held { .. } => "if none is running, delete that file and try again; nothing was changed",
            Self::NotWritten(error) => error.remedy(),
        }
    }
}

impl fmt::Display for LockError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Held { path, process } => {
                let by = process.as_ref().map_or_else(String::new, |id| format!(" (process {id})"));
                write!(
                    f,
                    "{} is there: another command is changing the shop folder{by}, or was broken off",
                    path.display()
                )
            }
            Self::NotWritten(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for LockError {}

/// Keeps other writers out of a shop folder until it is dropped.
#[derive(Debug)]
pub(crate) struct FolderLock {
    path: PathBuf,
}

impl FolderLock {
    /// Waits for its turn, some seconds at most.
    ///
    /// # Errors
    /// If the turn does not come, or the folder cannot be written.
    pub(crate) fn take(folder: &Path) -> Result<Self, LockError> {
        let path = folder.join(LOCK);
        for _ in 0..MOST_LOOKS {
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(mut file) => {
                    let lock = Self { path };
                    // Only for people who find it; without it the lock holds as well.
                    let _ = write!(file, "{}", std::process::id());
                    return Ok(lock);
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => sleep(PAUSE),
                Err(error) => {
                    let refused = WriteError::Io { doing: Doing::Write, path, error };
                    return Err(LockError::NotWritten(refused));
                }
            }
        }
        let process = std::fs::read_to_string(&path).ok().filter(|text| !text.is_empty());
        Err(LockError::Held { path, process })
    }
}

impl Drop for FolderLock {
    fn drop(&mut self) {
        let _ = remove_file(&self.path);
    }
}
