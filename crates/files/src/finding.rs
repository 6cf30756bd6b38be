//! What is wrong with a file, where, and what to do about it.

use crate::code;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing can be planned until it is mended.
    Error,
    /// It can be planned as it stands, but probably somebody meant something else.
    Warning,
    /// How something was understood that could be understood in another way.
    Note,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        })
    }
}

/// A place in a file of the shop folder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file, relative to the shop folder, with `/` between folders.
    pub file: Arc<str>,
    /// The line, counted from 1; 0: the file as a whole.
    pub line: usize,
    /// The character in the line, counted from 1; 0 where only the line is known.
    pub column: usize,
}

impl Place {
    /// A file as a whole.
    #[must_use]
    pub fn whole(file: &str) -> Self {
        Self { file: file.into(), line: 0, column: 0 }
    }
}

/// Shown as editors and terminals understand it: `parts.toml:88:21`.
impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.line, self.column) {
            (0, _) => write!(f, "{}", self.file),
            (line, 0) => write!(f, "{}:{line}", self.file),
            (line, column) => write!(f, "{}:{line}:{column}", self.file),
        }
    }
}

/// One thing to tell whoever keeps the files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// How grave it is.
    pub severity: Severity,
    /// Its code, stable over releases; [`crate::code`] explains each.
    pub code: &'static str,
    /// Where.
    pub place: Place,
    /// What is wrong, with the value found and what was expected.
    pub message: String,
    /// How to mend it, where that can be told.
    pub hint: Option<String>,
}

/// Shown on two or three lines: `error[F204]: ...`, the place, the hint.
impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}[{}]: {}\n  --> {}", self.severity, self.code, self.message, self.place)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, "\n  hint: {hint}"))
    }
}

/// Findings of one file beyond this number are counted, not shown: nobody reads further, and a
/// file of another kind would give one for each line.
const SHOWN_PER_FILE: usize = 50;

/// Collects findings while files are read.
#[derive(Default)]
pub(crate) struct Findings {
    all: RefCell<Vec<Finding>>,
    per_file: RefCell<BTreeMap<Arc<str>, usize>>,
    errors: std::cell::Cell<usize>,
    broken: RefCell<BTreeSet<(Arc<str>, usize)>>,
}

impl Findings {
    /// Takes one more, unless its line is not well-formed and that has been said.
    pub fn add(&self, finding: Finding) {
        if finding.severity == Severity::Error {
            self.errors.set(self.errors.get() + 1);
        }
        let line = (Arc::clone(&finding.place.file), finding.place.line);
        if finding.code == code::SYNTAX {
            self.broken.borrow_mut().insert(line);
        } else if self.broken.borrow().contains(&line) {
            return;
        }
        let mut counts = self.per_file.borrow_mut();
        let count = counts.entry(Arc::clone(&finding.place.file)).or_default();
        *count += 1;
        if *count <= SHOWN_PER_FILE {
            self.all.borrow_mut().push(finding);
        }
    }

    /// Takes an error.
    pub fn error(&self, place: Place, problem: Problem) {
        let Problem { code, message, hint } = problem;
        self.add(Finding { severity: Severity::Error, code, place, message, hint });
    }

    /// Takes a warning.
    pub fn warning(&self, place: Place, problem: Problem) {
        let Problem { code, message, hint } = problem;
        self.add(Finding { severity: Severity::Warning, code, place, message, hint });
    }

    /// How many errors there have been.
    pub fn errors(&self) -> usize {
        self.errors.get()
    }

    /// All of them by file (in the order in which files were read), line and column.
    pub fn into_sorted(self, file_order: &[Arc<str>]) -> Vec<Finding> {
        let mut all = self.all.into_inner();
        for (file, count) in self.per_file.into_inner() {
            if count > SHOWN_PER_FILE {
                all.push(unshown(file, count - SHOWN_PER_FILE));
            }
        }
        let rank = |file: &Arc<str>| file_order.iter().position(|known| known == file);
        let last_if_whole = |finding: &Finding| finding.code == code::UNSHOWN;
        all.sort_by_cached_key(|f| (rank(&f.place.file), last_if_whole(f), f.place.clone(), f.severity));
        all
    }
}

fn unshown(file: Arc<str>, count: usize) -> Finding {
    Finding {
        severity: Severity::Note,
        code: code::UNSHOWN,
        place: Place { file, line: 0, column: 0 },
        message: format!("{count} more findings of this file are not shown"),
        hint: Some("mend those above and check again".to_owned()),
    }
}

/// A finding whose place and severity are still to be said.
#[derive(Debug)]
pub(crate) struct Problem {
    pub code: &'static str,
    pub message: String,
    pub hint: Option<String>,
}

impl Problem {
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, message: message.into(), hint: None }
    }

    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub fn maybe_hint(mut self, hint: Option<String>) -> Self {
        self.hint = hint.or(self.hint);
        self
    }

    /// Says first whose problem it is.
    pub fn of(mut self, whose: impl fmt::Display) -> Self {
        self.message = format!("{whose} {}", self.message);
        self
    }
}
