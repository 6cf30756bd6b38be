//! Lots: a step of an order on a cell, as planned and as done.

use crate::spans::{Span, minutes, minutes_in, without};
use chrono::{DateTime, Utc};

/// A lot as it was planned when work on it began.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedLot {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the part.
    pub part: String,
    /// Id of the cell.
    pub cell: String,
    /// Pieces to start.
    pub pieces: u32,
    /// When changing over was to begin.
    pub setup_start: DateTime<Utc>,
    /// When it was to end.
    pub end: DateTime<Utc>,
    /// Working minutes of changing over.
    pub setup_min: f64,
    /// Working minutes of the run.
    pub run_min: f64,
    /// What the standard time of changing over was multiplied with for the plan; more than 0.
    pub setup_factor: f64,
    /// The same for the run.
    pub run_factor: f64,
}

/// A lot as it was done, from what the floor reported.
#[derive(Clone, Debug, PartialEq)]
pub struct Actual {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the cell.
    pub cell: String,
    /// When work on it began, changing over included.
    pub started: DateTime<Utc>,
    /// When changing over was done, where somebody said so: by counting the first piece, or none yet,
    /// before anything else was counted.
    pub changed_over: Option<DateTime<Utc>>,
    /// When it was finished.
    pub finished: Option<DateTime<Utc>>,
    /// Good pieces.
    pub good: u32,
    /// Scrap.
    pub scrap: u32,
    /// When it stood still, and why.
    pub stops: Vec<Stop>,
}

/// A stretch in which a lot stood still.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// From when.
    pub from: DateTime<Utc>,
    /// Until when; `None`: it still does.
    pub until: Option<DateTime<Utc>>,
    /// Why, as reported.
    pub reason: String,
}

impl Actual {
    /// Whether it is known how long it took: a lot that was only reported as finished began nobody knows when.
    #[must_use]
    pub fn is_timed(&self) -> bool {
        self.finished != Some(self.started)
    }

    /// From its start to its end, or to `now`.
    pub(crate) fn span(&self, now: DateTime<Utc>) -> Span {
        (self.started, self.finished.unwrap_or(now).max(self.started))
    }

    /// Where it stood still, each with its reason.
    pub(crate) fn stopped(&self, now: DateTime<Utc>) -> impl Iterator<Item = (Span, &str)> {
        let end = self.span(now).1;
        self.stops
            .iter()
            .map(move |stop| ((stop.from, stop.until.unwrap_or(end).min(end)), stop.reason.as_str()))
    }

    /// Open minutes of a cell that it took, and those of them in which it stood still.
    pub(crate) fn worked(&self, open: &[Span], now: DateTime<Utc>) -> (f64, f64) {
        let span = self.span(now);
        let running = self.worked_within(span, open, now);
        let whole = minutes_in(span, open);
        (whole, (whole - running).max(0.0))
    }

    /// Open minutes of a cell in part of its time, without those in which it stood still.
    pub(crate) fn worked_within(&self, part: Span, open: &[Span], now: DateTime<Utc>) -> f64 {
        let stops: Vec<Span> = self.stopped(now).map(|(span, _)| span).collect();
        without(part, &stops).into_iter().map(|piece| minutes_in(piece, open)).sum()
    }

    /// Minutes from its start to its end, waiting and closed hours included.
    pub(crate) fn elapsed(&self, now: DateTime<Utc>) -> f64 {
        minutes(self.span(now))
    }
}
