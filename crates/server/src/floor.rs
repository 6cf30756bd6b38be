//! What the shop floor's reports add up to.

use chrono::{DateTime, Utc};
use elbowroom_store::{Event, Recorded, Seq};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// How far a step has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
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
                self.reason = None;
            }
            Event::Stopped { reason } => {
                self.state = StepState::Stopped;
                self.reason = Some(reason.clone());
            }
            Event::Counted { good, scrap } => (self.good, self.scrap) = (*good, *scrap),
            Event::Finished { good, scrap } => {
                (self.good, self.scrap) = (*good, *scrap);
                self.state = StepState::Finished;
                self.finished = Some(happened);
                self.reason = None;
            }
            Event::Withdrawn { .. } => {}
        }
    }

    /// Whether an event can follow; the reason if it cannot.
    ///
    /// # Errors
    /// If the step has come too far, or not far enough.
    pub fn admits(&self, event: &Event) -> Result<(), &'static str> {
        match (self.state, event) {
            (_, Event::Withdrawn { .. }) => Ok(()),
            (StepState::Finished, _) => Err("is finished already; withdraw that report first"),
            (StepState::Running, Event::Started) => Err("is running already"),
            (StepState::Planned | StepState::Stopped, Event::Stopped { .. }) => Err("is not running"),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_store::{Report, Signature};

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
    fn what_cannot_follow_is_refused() {
        let done = Event::Finished { good: 1, scrap: 0 };
        assert!(state(&[]).admits(&Event::Stopped { reason: "x".to_owned() }).is_err());
        assert!(state(&[]).admits(&done).is_ok(), "a start that nobody reported");
        assert!(state(&[Event::Started]).admits(&Event::Started).is_err());
        assert!(state(std::slice::from_ref(&done)).admits(&done).is_err());
    }
}
