//! How many heads a crew has, minute by minute.

use super::calendar::{Calendar, LATEST, Slices, Time, minute};
use elbowroom_problem::Crew;

/// So many heads over `[start, end)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct HeadStep {
    pub(crate) start: Time,
    pub(crate) end: Time,
    pub(crate) heads: u32,
}

/// Steps that cover all time without a gap; behind the horizon there is no limit, as there is none
/// on working time there (see [`super::calendar::Calendar`]).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Heads {
    steps: Vec<HeadStep>,
    by_clock: Slices,
}

impl Heads {
    pub(crate) fn new(crew: &Crew, horizon: Time) -> Self {
        let mut steps = Vec::with_capacity(2 * crew.capacity.len() + 1);
        let mut at = 0;
        for part in &crew.capacity {
            let start = minute(part.window.start.get()).min(horizon);
            let end = minute(part.window.end.get()).min(horizon);
            push(&mut steps, at, start, 0);
            push(&mut steps, start, end, part.heads);
            at = end.max(at);
        }
        push(&mut steps, at, horizon, 0);
        push(&mut steps, horizon, LATEST, u32::MAX);
        let by_clock = Slices::new(&steps.iter().map(|s| s.start).collect::<Vec<_>>());
        Self { steps, by_clock }
    }

    /// The number of the step that a minute lies in.
    #[inline]
    pub(crate) fn at(&self, minute: Time) -> usize {
        let (mut low, high) = self.by_clock.around(minute);
        if high - low > 8 {
            return low + self.steps[low + 1..=high].partition_point(|s| s.start <= minute);
        }
        while low < high && self.steps[low + 1].start <= minute {
            low += 1;
        }
        low
    }

    #[inline]
    pub(crate) fn step(&self, number: usize) -> HeadStep {
        self.steps[number]
    }

    /// Where work of `calendar` over `[from, to)` finds nobody: the first manned minute after the
    /// last working minute without anybody.
    pub(crate) fn unmanned(&self, calendar: &Calendar, from: Time, to: Time) -> Option<Time> {
        for (a, b) in calendar.backwards(from, to) {
            let mut number = self.at(b - 1);
            loop {
                let step = self.steps[number];
                if step.heads == 0 {
                    return Some(self.next_manned(step.end.min(b)));
                }
                if step.start <= a {
                    break;
                }
                number -= 1;
            }
        }
        None
    }

    /// The first minute from `minute` on at which anybody is there.
    pub(crate) fn next_manned(&self, minute: Time) -> Time {
        let first = self.at(minute);
        self.steps[first..].iter().find(|s| s.heads > 0).map_or(LATEST, |s| s.start.max(minute))
    }
}

/// Appends a step, joined to the one before where the number of heads is the same.
fn push(steps: &mut Vec<HeadStep>, start: Time, end: Time, heads: u32) {
    match steps.last_mut() {
        _ if start >= end => {}
        Some(last) if last.heads == heads => last.end = end,
        _ => steps.push(HeadStep { start, end, heads }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_problem::{HeadCount, Window};
    use elbowroom_units::Minute;

    #[test]
    fn gaps_have_nobody_and_touching_equals_join() {
        let part =
            |a, b, heads| HeadCount { window: Window { start: Minute::new(a), end: Minute::new(b) }, heads };
        let crew =
            Crew { id: "setter".into(), capacity: vec![part(10, 20, 1), part(20, 30, 1), part(40, 50, 2)] };
        let heads = Heads::new(&crew, 45);
        let found: Vec<_> = heads.steps.iter().map(|s| (s.start, s.end, s.heads)).collect();
        assert_eq!(found, [(0, 10, 0), (10, 30, 1), (30, 40, 0), (40, 45, 2), (45, LATEST, u32::MAX)]);
        assert_eq!([heads.next_manned(0), heads.next_manned(15), heads.next_manned(30)], [10, 15, 40]);
    }
}
