//! Why a folder could not be written.

use std::fmt;
use std::io;
use std::path::PathBuf;

/// What was being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Looking at what is there.
    Look,
    /// Reading the list of files of the last plan.
    Read,
    /// Creating a folder.
    CreateFolder,
    /// Writing a file.
    Write,
    /// Moving a finished file into place.
    Move,
}

/// Why a folder could not be written; nothing in it has changed.
#[derive(Debug)]
pub enum WriteError {
    /// A file stands where the folder should be.
    NotAFolder {
        /// Where.
        path: PathBuf,
    },
    /// A file is in the way that an earlier plan did not write.
    Foreign {
        /// Which.
        path: PathBuf,
    },
    /// A file name leads out of the folder, or is given twice.
    Name {
        /// Which.
        name: String,
    },
    /// The system refused.
    Io {
        /// What was being done.
        doing: Doing,
        /// With which file or folder.
        path: PathBuf,
        /// What the system said.
        error: io::Error,
    },
}

impl WriteError {
    /// What would help.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::NotAFolder { .. } => "name another out folder, or remove the file",
            Self::Foreign { .. } => "name another out folder, or move the file away",
            Self::Name { .. } => "names of plan files are relative and different",
            Self::Io { error, .. } => match error.kind() {
                io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                    "free some space, or name an out folder on another disk"
                }
                io::ErrorKind::ReadOnlyFilesystem => "name an out folder on a disk that can be written",
                io::ErrorKind::PermissionDenied => "name an out folder in which you may write",
                io::ErrorKind::NotADirectory => "a file stands where a folder of this path should be",
                _ => "nothing was changed; try again, or name another out folder",
            },
        }
    }
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAFolder { path } => write!(f, "`{}` is a file, not a folder", path.display()),
            Self::Foreign { path } => {
                write!(
                    f,
                    "`{}` is in the way and was not written by this program; it is left alone",
                    path.display()
                )
            }
            Self::Name { name } => write!(f, "`{name}` cannot be the name of a plan file"),
            Self::Io { doing, path, error } => {
                let what = match doing {
                    Doing::Look | Doing::Read => "read",
                    Doing::CreateFolder => "create files in",
                    Doing::Write => "write",
                    Doing::Move => "put into place",
                };
                write!(f, "cannot {what} `{}`: {error}", path.display())
            }
        }
    }
}

impl std::error::Error for WriteError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { error, .. } => Some(error),
            _ => None,
        }
    }
}
