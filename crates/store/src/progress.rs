//! What the shop floor reports.

use crate::Signature;
use chrono::{DateTime, Utc};
use std::fmt;

/// Number of a report; 0 lies before the first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Seq(pub i64);

impl fmt::Display for Seq {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// Work began, or went on after a stop.
    Started,
    /// Work stands still.
    Stopped {
        /// Why.
        reason: String,
    },
    /// Pieces made so far, all of them and not only since the last count.
    Counted {
        /// Good pieces.
        good: u32,
        /// Scrap.
        scrap: u32,
    },
    /// The step is done.
    Finished {
        /// Good pieces, all in all.
        good: u32,
        /// Scrap, all in all.
        scrap: u32,
    },
    /// An earlier report of this step was a mistake.
    Withdrawn {
        /// Its number.
        report: Seq,
    },
}

impl Event {
    /// One word for it, as it is kept.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Started => "started",
            Self::Stopped { .. } => "stopped",
            Self::Counted { .. } => "counted",
            Self::Finished { .. } => "finished",
            Self::Withdrawn { .. } => "withdrawn",
        }
    }
}

/// A report to keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// Chosen by the sender, so that a report sent twice counts once.
    pub key: Option<String>,
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the cell or vendor, where it differs from the plan or is worth noting.
    pub cell: Option<String>,
    /// What happened.
    pub event: Event,
    /// When it happened.
    pub happened: DateTime<Utc>,
    /// Who reported it, and when.
    pub recorded: Signature,
}

/// A report that is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Its number.
    pub seq: Seq,
    /// What was reported.
    pub report: Report,
}
