//! Why an order moved that is neither late nor was: what stands where it stood.

use super::{CellOutline, Outline, StepOutline};
use crate::words::listed;
use chrono::{DateTime, FixedOffset, TimeDelta};
use elbowroom_units::Minutes;

type Moment = DateTime<FixedOffset>;

/// Orders named one by one.
const MOST_NAMED: usize = 2;

/// The first step of an order that begins or ends later, by `least` or more, where the order is finished
/// later (sooner where it is finished sooner), else the first that is elsewhere or at another time; and what has
/// taken its place. `None` where no step of either plan says so.
pub(super) fn because(old: &Outline, new: &Outline, id: &str, least: Minutes) -> Option<String> {
    let (was, is) = (old.order(id)?, new.order(id)?);
    let pairs = is.steps.iter().filter_map(|step| {
        let before = was.steps.iter().find(|other| other.name == step.name)?;
        Some((before, step))
    });
    let far = |time: TimeDelta| time.num_minutes().abs() >= least.count();
    let differs = |(before, step): &(&StepOutline, &StepOutline)| {
        before.place != step.place || far(step.start - before.start) || far(step.end - before.end)
    };
    let direction = (is.finish - was.finish).num_minutes().signum();
    let goes_along = |(before, step): &(&StepOutline, &StepOutline)| {
        let (start, end) = (step.start - before.start, step.end - before.end);
        [start, end].into_iter().any(|time| far(time) && time.num_minutes().signum() == direction)
    };
    let first = pairs.clone().find(goes_along);
    let (before, step) = first.or_else(|| pairs.into_iter().find(differs))?;
    let mut text = change(before, step);
    let gave_way = step.start > before.start || before.place != step.place;
    if let Some(taken) = taken(old, new, id, before).filter(|_| gave_way) {
        text += &format!(": {taken}");
    }
    Some(text)
}

/// `bend is on draw-2, not draw-1, and begins 3 h later`.
fn change(before: &StepOutline, step: &StepOutline) -> String {
    let minutes = |time: TimeDelta| Minutes::new(time.num_minutes().abs());
    let later = step.start - before.start;
    let begins = match later.num_minutes() {
        0 => None,
        1.. => Some(format!("begins {} later", minutes(later))),
        _ => Some(format!("begins {} sooner", minutes(later))),
    };
    let name = &step.name;
    match (before.place != step.place, begins) {
        (true, Some(begins)) => format!("{name} is on {}, not {}, and {begins}", step.place, before.place),
        (true, None) => format!("{name} is on {}, not {}", step.place, before.place),
        (false, Some(begins)) => format!("{name} {begins}"),
        (false, None) => format!("{name} takes {} now", minutes(step.end - step.start)),
    }
}

/// What the newer plan has where and when the step was.
fn taken(old: &Outline, new: &Outline, id: &str, before: &StepOutline) -> Option<String> {
    let then = old.cell(&before.place)?;
    let Some(now) = new.cell(&before.place) else { return Some(format!("there is no {} now", then.id)) };
    if then.open_in(before) > now.open_in(before) {
        return Some(format!("{} is closed then", now.id));
    }
    let others: Vec<String> = now
        .lots
        .iter()
        .filter(|lot| lot.order != id && lot.from < before.end && before.start < lot.to)
        .map(|lot| format!("{} {}", lot.order, lot.step))
        .collect();
    match others.as_slice() {
        [] => None,
        [one] => Some(format!("{one} has its place on {}", now.id)),
        many => Some(format!("{} have its place on {}", listed(many, MOST_NAMED), now.id)),
    }
}

impl CellOutline {
    /// For how long it is open while a step runs.
    fn open_in(&self, step: &StepOutline) -> TimeDelta {
        let (from, to): (Moment, Moment) = (step.start, step.end);
        let part = |(open, close): &(Moment, Moment)| (*close).min(to) - (*open).max(from);
        self.open.iter().map(part).filter(|time| *time > TimeDelta::zero()).sum()
    }
}
