//! What is outside the house: reported as sent, or taken as sent since its planned date.
//!
//! Nobody at a cell reports that a lot was sent out. What was to be sent by now, with the step before it done, is
//! therefore taken as sent when that was planned, or when the step before it was finished if that was later. A
//! report says otherwise: stopped, that it is still here; finished, that it is back.

use crate::document::{Order, Plan, Step};
use chrono::{DateTime, TimeDelta, Utc};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_shop::vendor::Vendor;
use elbowroom_store::{Event, Floor, Report, Seq, StepProgress, StepState};
use elbowroom_units::Minutes;

/// By what time outside is reckoned.
#[derive(Clone, Copy)]
pub(super) struct Outside<'a> {
    pub(super) vendors: &'a [Vendor],
    /// Minute 0 of the new plan.
    pub(super) minute_0: DateTime<Utc>,
    pub(super) now: DateTime<Utc>,
}

impl Outside<'_> {
    /// A step that was reported as sent; `None` if it is reported as still here, or nobody knows when it was sent.
    pub(super) fn reported(&self, step: &Step, told: &StepProgress) -> Option<RunningStep> {
        let sent = told.started.filter(|_| told.state == StepState::Running)?;
        let vendor = told.cell.clone().unwrap_or_else(|| step.place.clone());
        let known = self.vendors.iter().find(|one| one.id == vendor);
        let takes = known.map_or_else(|| planned(step), |vendor| vendor.turnaround);
        Some(self.out(step, vendor, sent, takes))
    }

    /// The next step of an order, if it was to be sent out by now and nothing is reported of it.
    pub(super) fn presumed(
        &self,
        order: &Order,
        floor: &Floor,
        told: Option<&Underway>,
    ) -> Option<RunningStep> {
        if told.is_some_and(|told| told.running.is_some()) {
            return None;
        }
        let done = |step: &Step| told.is_some_and(|told| told.done.contains(&step.name));
        let last = order
            .steps
            .iter()
            .rposition(|step| done(step) || floor.step(&order.id, &step.name).last != Seq(0));
        let before = last.map(|at| &order.steps[at]);
        let step = order.steps.get(last.map_or(0, |at| at + 1)).filter(|step| step.outside)?;
        if before.is_some_and(|before| !done(before)) {
            return None;
        }
        let ready = before.and_then(|before| floor.step(&order.id, &before.name).finished);
        let planned_start = DateTime::parse_from_rfc3339(&step.run_start).ok()?.to_utc();
        let sent = ready.map_or(planned_start, |ready| ready.max(planned_start));
        let is_out = sent <= self.now;
        is_out.then(|| {
            let out = self.out(step, step.place.clone(), sent, planned(step));
            RunningStep { presumed: true, ..out }
        })
    }

    /// What should be back by now and is not reported so comes back now.
    fn out(&self, step: &Step, vendor: String, sent: DateTime<Utc>, takes: Minutes) -> RunningStep {
        let takes = TimeDelta::try_minutes(takes.count()).unwrap_or_default();
        let back = sent.checked_add_signed(takes).unwrap_or(sent).max(self.now);
        let left = (back - self.minute_0).num_minutes().max(1);
        RunningStep { step: step.name.clone(), cell: vendor, remaining: Minutes::new(left), presumed: false }
    }
}

fn planned(step: &Step) -> Minutes {
    Minutes::new(step.end_minute - step.run_start_minute)
}

impl Plan {
    /// Whether a step counts as begun for a report though nobody reported that: it was under way when the plan
    /// was made; or it is outside, was to be sent by then, and is reported as still here.
    #[must_use]
    pub fn is_begun(&self, report: &Report) -> bool {
        let mut tasks = self.cells.iter().flat_map(|cell| &cell.tasks);
        let sent = |step: &Step| {
            let planned = DateTime::parse_from_rfc3339(&step.run_start);
            step.name == report.step && step.outside && planned.is_ok_and(|at| at <= report.happened)
        };
        let still_here = matches!(report.event, Event::Stopped { .. });
        tasks.any(|task| task.under_way && task.order == report.order && task.step == report.step)
            || (still_here && self.order(&report.order).is_some_and(|order| order.steps.iter().any(sent)))
    }
}
