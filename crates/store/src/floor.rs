//! What the shop floor's reports add up to, and which report can follow.
//!
//! Whoever takes a report, the command line or the service, asks [`Floor::admits`], so that both
//! judge alike and say it in the same words.

use crate::{Event, Recorded, Report, Seq};
use chrono::{DateTime, Utc};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// How far a step has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepState {
    /// Nothing has been reported.
    #[default]
    Planned,
    /// It has been started.
    Running,
    /// It was started and stands still.
    Stopped,
    /// It is done.
    Finished,
}

impl StepState {
    /// The word for people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Planned => "planned",
            Self::Running => "running",
            Self::Stopped => "stopped",
            Self::Finished => "finished",
        }
    }
}

/// What has been reported about a step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StepProgress {
    /// How far it has come.
    pub state: StepState,
    /// Cell it was reported from last.
    pub cell: Option<String>,
    /// When it was started first.
    pub started: Option<DateTime<Utc>>,
    /// When pieces were counted last, or it was started or went on after that.
    pub counted: Option<DateTime<Utc>>,
    /// When it was finished.
    pub finished: Option<DateTime<Utc>>,
    /// Good pieces.
    pub good: u32,
    /// Scrap.
    pub scrap: u32,
    /// Why it stands still.
    pub reason: Option<String>,
    /// The last report that stands.
    pub last: Seq,
}

/// Everything that was reported, by order and step.
#[derive(Clone, Debug, Default)]
pub struct Floor {
    steps: BTreeMap<String, BTreeMap<String, StepProgress>>,
}

impl Floor {
    /// Adds up reports, oldest first.
    #[must_use]
    pub fn of(reports: &[Recorded]) -> Self {
        let withdrawn: BTreeSet<Seq> = reports
            .iter()
            .filter_map(|recorded| match recorded.report.event {
                Event::Withdrawn { report } => Some(report),
                _ => None,
            })
            .collect();
        let mut floor = Self::default();
        reports
            .iter()
            .filter(|recorded| !withdrawn.contains(&recorded.seq))
            .for_each(|recorded| floor.add(recorded));
        floor
    }

    fn add(&mut self, recorded: &Recorded) {
        let report = &recorded.report;
        if matches!(report.event, Event::Withdrawn { .. }) {
            return;
        }
        let step =
            self.steps.entry(report.order.clone()).or_default().entry(report.step.clone()).or_default();
        step.last = recorded.seq;
        if report.cell.is_some() {
            step.cell.clone_from(&report.cell);
        }
        step.take(&report.event, report.happened);
    }

    /// What has been reported about a step.
    #[must_use]
    pub fn step(&self, order: &str, step: &str) -> StepProgress {
        self.steps.get(order).and_then(|steps| steps.get(step)).cloned().unwrap_or_default()
    }

    /// Whether a report can follow those before it. `under_way`: the plan counts the step as
    /// begun, which nobody need report.
    ///
    /// # Errors
    /// If the step has come too far, or not far enough.
    pub fn admits(&self, report: &Report, under_way: bool) -> Result<(), CannotFollow> {
        let mut told = self.step(&report.order, &report.step);
        if under_way && told.last == Seq(0) {
            told.state = StepState::Running;
        }
        told.admits(&report.event).map_err(|why| CannotFollow {
            order: report.order.clone(),
            step: report.step.clone(),
            why,
            last: told.last,
        })
    }

    /// Every order with reports, and its steps.
    pub fn orders(&self) -> impl Iterator<Item = (&str, &BTreeMap<String, StepProgress>)> {
        self.steps.iter().map(|(order, steps)| (order.as_str(), steps))
    }
}

impl StepProgress {
    fn take(&mut self, event: &Event, happened: DateTime<Utc>) {
        match event {
            Event::Started => {
                self.state = StepState::Running;
                self.started.get_or_insert(happened);
                self.counted = Some(happened);
                self.reason = None;
            }
            Event::Stopped { reason } => {
                self.state = StepState::Stopped;
                self.reason = Some(reason.clone());
            }
            Event::Counted { good, scrap } => {
                (self.good, self.scrap) = (*good, *scrap);
                self.counted = Some(happened);
            }
            Event::Finished { good, scrap } => {
                (self.good, self.scrap) = (*good, *scrap);
                self.state = StepState::Finished;
                self.finished = Some(happened);
                self.reason = None;
            }
            Event::Withdrawn { .. } => {}
        }
    }

    /// Whether an event can follow.
    fn admits(&self, event: &Event) -> Result<(), Obstacle> {
        match (self.state, event) {
            (_, Event::Withdrawn { .. }) => Ok(()),
            (StepState::Finished, _) => Err(Obstacle::Finished),
            (StepState::Running, Event::Started) => Err(Obstacle::Running),
            (StepState::Stopped, Event::Stopped { .. }) => Err(Obstacle::StandsStill),
            (StepState::Planned, Event::Stopped { .. } | Event::Counted { .. }) => Err(Obstacle::NotStarted),
            _ => Ok(()),
        }
    }
}

/// Why a report cannot follow those before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CannotFollow {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// What stands in its way.
    pub why: Obstacle,
    /// The last report of the step that stands; 0: there is none.
    pub last: Seq,
}

/// What stands in the way of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// The step is finished.
    Finished,
    /// It is running, and cannot be started again.
    Running,
    /// It stands still already.
    StandsStill,
    /// It has not been started.
    NotStarted,
}

impl fmt::Display for CannotFollow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let why = match self.why {
            Obstacle::Finished => "is finished already",
            Obstacle::Running => "is running already",
            Obstacle::StandsStill => "stands still already",
            Obstacle::NotStarted => "has not been started",
        };
        write!(f, "step `{}` of order `{}` {why}", self.step, self.order)
    }
}

impl std::error::Error for CannotFollow {}

impl CannotFollow {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self.why {
            Obstacle::NotStarted => "report first that it was started".to_owned(),
            _ if self.last == Seq(0) => {
                "the plan was made with it under way; report that it stopped or was finished".to_owned()
            }
            _ => format!("if report {} was a mistake, withdraw it first", self.last),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Signature;

    fn reports(events: &[Event]) -> Vec<Recorded> {
        let at =
            |minute: usize| -> DateTime<Utc> { format!("2026-12-07T06:{minute:02}:00Z").parse().unwrap() };
        let recorded = |(i, event): (usize, &Event)| Recorded {
            seq: Seq(i as i64 + 1),
            report: Report {
                key: None,
                order: "O-1".to_owned(),
                step: "bend".to_owned(),
                cell: None,
                event: event.clone(),
                happened: at(i),
                recorded: Signature { by: "x".to_owned(), at: at(i) },
            },
        };
        events.iter().enumerate().map(recorded).collect()
    }

    fn state(events: &[Event]) -> StepProgress {
        Floor::of(&reports(events)).step("O-1", "bend")
    }

    #[test]
    fn the_last_word_counts() {
        let stopped = Event::Stopped { reason: "no tube".to_owned() };
        assert_eq!(state(&[]).state, StepState::Planned);
        assert_eq!(state(&[Event::Started]).state, StepState::Running);
        let halted = state(&[Event::Started, stopped.clone()]);
        assert_eq!((halted.state, halted.reason.as_deref()), (StepState::Stopped, Some("no tube")));
        assert_eq!(state(&[Event::Started, stopped, Event::Started]).reason, None);
        let done = state(&[Event::Started, Event::Finished { good: 9, scrap: 1 }]);
        assert_eq!((done.state, done.good, done.scrap), (StepState::Finished, 9, 1));
    }

    #[test]
    fn a_withdrawn_report_never_was() {
        let events =
            [Event::Started, Event::Finished { good: 9, scrap: 1 }, Event::Withdrawn { report: Seq(2) }];
        let step = state(&events);
        assert_eq!((step.state, step.good, step.finished, step.last), (StepState::Running, 0, None, Seq(1)));
    }

    #[test]
    fn what_cannot_follow_is_refused_in_the_same_words_for_everybody() {
        let done = Event::Finished { good: 1, scrap: 0 };
        let stopped = Event::Stopped { reason: "x".to_owned() };
        let counted = Event::Counted { good: 1, scrap: 0 };
        let said = |before: &[Event], next: &Event, under_way: bool| {
            let next = reports(std::slice::from_ref(next)).remove(0).report;
            let answer = Floor::of(&reports(before)).admits(&next, under_way);
            answer.map_or_else(|refused| format!("{refused}; {}", refused.remedy()), |()| String::new())
        };
        let not_started = "step `bend` of order `O-1` has not been started; report first that it was started";
        assert_eq!(said(&[], &stopped, false), not_started);
        assert_eq!(said(&[], &counted, false), not_started);
        assert_eq!(said(&[], &stopped, true), "", "the plan was made with it under way");
        assert_eq!(said(&[], &done, false), "", "a start that nobody reported");
        assert!(said(&[], &Event::Started, true).contains("made with it under way"));
        assert_eq!(
            said(&[Event::Started], &Event::Started, false),
            "step `bend` of order `O-1` is running already; if report 1 was a mistake, withdraw it first"
        );
        assert!(said(&[Event::Started, stopped.clone()], &stopped, false).contains("stands still already"));
        assert_eq!(said(&[Event::Started, stopped.clone()], &Event::Started, false), "");
        assert!(said(std::slice::from_ref(&done), &done, false).contains("is finished already"));
        assert_eq!(said(&[done], &Event::Withdrawn { report: Seq(1) }, false), "");
    }
}
