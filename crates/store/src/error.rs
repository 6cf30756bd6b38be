//! Why the store cannot do something, for a person.

use crate::{InquiryId, PromiseId, Version};
use std::fmt;
use std::path::PathBuf;

/// Why the store did not do what it was asked; nothing was changed then.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreError {
    /// There is no such thing.
    NotFound {
        /// What was looked for, such as ``plan `7` ``.
        what: String,
    },
    /// Somebody published another plan meanwhile.
    Moved {
        /// The version that the writer knew.
        expected: Version,
        /// The version that is current.
        found: Version,
    },
    /// The plan has been published or discarded already.
    Settled {
        /// What became of it, in a word.
        outcome: &'static str,
    },
    /// The inquiry has been accepted already.
    AlreadyPromised {
        /// The inquiry.
        inquiry: InquiryId,
        /// The promise that came of it.
        promise: PromiseId,
    },
    /// An order of this name has been promised already.
    OrderTaken {
        /// Id of the order.
        order: String,
    },
    /// The key of a report belongs to another report.
    KeyReused {
        /// The key.
        key: String,
    },
    /// The disk is full, or the store has reached its largest size.
    Full {
        /// The store.
        path: PathBuf,
    },
    /// The store can be read but not written.
    ReadOnly {
        /// The store.
        path: PathBuf,
    },
    /// The store's file is damaged.
    Damaged {
        /// The store.
        path: PathBuf,
        /// What is wrong with it.
        detail: String,
    },
    /// The file is something else.
    NotAStore {
        /// The file.
        path: PathBuf,
    },
    /// The store was written by a newer program.
    Newer {
        /// The store.
        path: PathBuf,
        /// Its layout.
        found: i64,
        /// The newest layout that this program knows.
        known: i64,
    },
    /// Another program holds the store for too long.
    Busy {
        /// The store.
        path: PathBuf,
    },
    /// The file cannot be opened or read.
    Unreachable {
        /// The store.
        path: PathBuf,
        /// What the system says.
        detail: String,
    },
}

impl StoreError {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::NotFound { .. } => "look at the list of what there is",
            Self::Moved { .. } => "look at the plan that is current now, then decide again",
            Self::Settled { .. } => "start a re-plan to get a new proposal",
            Self::AlreadyPromised { .. } => "ask again for a further quantity",
            Self::OrderTaken { .. } => "choose another order number",
            Self::KeyReused { .. } => "choose a new key for every report",
            Self::Full { .. } => "make room on the disk; nothing recorded earlier is lost",
            Self::ReadOnly { .. } => {
                "make the file and its folder writable for this program, or name another with --store"
            }
            Self::Damaged { .. } => {
                "stop the program, keep a copy of the file, and put a backup in its place"
            }
            Self::NotAStore { .. } => "name another file with --store; this one was left as it is",
            Self::Newer { .. } => "use the newer program; the file was left as it is",
            Self::Busy { .. } => "stop the other program that has it open, or try again",
            Self::Unreachable { .. } => "check that the folder exists and may be used",
        }
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFound { what } => write!(f, "there is no {what}"),
            Self::Moved { expected, found } => {
                write!(f, "version {found} of the plan is current, not version {expected}")
            }
            Self::Settled { outcome } => write!(f, "this plan has been {outcome} already"),
            Self::AlreadyPromised { inquiry, promise } => {
                write!(f, "inquiry `{inquiry}` has been accepted already, as promise `{promise}`")
            }
            Self::OrderTaken { order } => write!(f, "order `{order}` has been promised already"),
            Self::KeyReused { key } => write!(f, "key `{key}` belongs to another report"),
            Self::Full { path } => {
                write!(f, "no room left for the store {}; nothing was written", path.display())
            }
            Self::ReadOnly { path } => write!(f, "the store {} cannot be written", path.display()),
            Self::Damaged { path, detail } => {
                write!(f, "the store {} is damaged: {detail}", path.display())
            }
            Self::NotAStore { path } => write!(f, "{} is not a store of this program", path.display()),
            Self::Newer { path, found, known } => write!(
                f,
                "the store {} has layout {found}; this program knows layouts up to {known}",
                path.display()
            ),
            Self::Busy { path } => write!(f, "another program holds the store {}", path.display()),
            Self::Unreachable { path, detail } => {
                write!(f, "the store {} cannot be used: {detail}", path.display())
            }
        }
    }
}

impl std::error::Error for StoreError {}
