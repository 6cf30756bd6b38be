//! What the floor reported, lot by lot.

use crate::lot::{Actual, Stop};
use chrono::{DateTime, Utc};

/// A report that stands; withdrawn ones are none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reported {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the cell, where it was said.
    pub cell: Option<String>,
    /// When it happened.
    pub at: DateTime<Utc>,
    /// What happened.
    pub event: Event,
}

/// What happened to a lot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// Work began, or went on after a stop.
    Started,
    /// Work stands still.
    Stopped {
        /// Why.
        reason: String,
    },
    /// Pieces made so far, all in all.
    Counted {
        /// Good ones.
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
}

/// The lots that have begun, in the order of their first reports. A lot that was reported finished
/// and never begun began when it was finished: nothing is known of the time that it took.
#[must_use]
pub fn lots(reports: &[Reported]) -> Vec<Actual> {
    let mut lots: Vec<Actual> = Vec::new();
    for report in reports {
        let known = lots.iter().position(|lot| lot.order == report.order && lot.step == report.step);
        let at = known.unwrap_or_else(|| {
            lots.push(begun(report));
            lots.len() - 1
        });
        lots[at].take(report);
    }
    lots
}

fn begun(report: &Reported) -> Actual {
    Actual {
        order: report.order.clone(),
        step: report.step.clone(),
        cell: String::new(),
        started: report.at,
        changed_over: None,
        finished: None,
        good: 0,
        scrap: 0,
        stops: Vec::new(),
    }
}

impl Actual {
    fn take(&mut self, report: &Reported) {
        if let Some(cell) = &report.cell {
            self.cell.clone_from(cell);
        }
        match &report.event {
            Event::Started => self.go_on(report.at),
            Event::Stopped { reason } => {
                self.go_on(report.at);
                self.stops.push(Stop { from: report.at, until: None, reason: reason.clone() });
            }
            Event::Counted { good, scrap } => {
                if self.good + self.scrap == 0 && *good <= 1 {
                    self.changed_over.get_or_insert(report.at);
                }
                (self.good, self.scrap) = (*good, *scrap);
            }
            Event::Finished { good, scrap } => {
                (self.good, self.scrap) = (*good, *scrap);
                self.go_on(report.at);
                self.finished = Some(report.at);
            }
        }
    }

    /// Ends a stop that still lasts.
    fn go_on(&mut self, at: DateTime<Utc>) {
        if let Some(stop) = self.stops.last_mut().filter(|stop| stop.until.is_none()) {
            stop.until = Some(at);
        }
    }
}
