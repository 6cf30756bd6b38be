//! Stretches of time, and where work fits between them.

use elbowroom_shop::calendar::{add_working_time, working_minutes};
use elbowroom_units::{Minute, Minutes};

/// A half-open stretch of minutes.
pub(super) type Span = (Minute, Minute);

/// A count that changes over time: its value from each moment to the next one listed.
pub(super) struct Levels(Vec<(Minute, i64)>);

impl Levels {
    /// Adds up changes; the count is zero before the first of them.
    pub(super) fn of_changes(mut changes: Vec<(Minute, i64)>) -> Self {
        changes.sort_unstable();
        let mut levels: Vec<(Minute, i64)> = Vec::with_capacity(changes.len());
        let mut level = 0;
        for (minute, change) in changes {
            level += change;
            match levels.last_mut() {
                Some(last) if last.0 == minute => last.1 = level,
                _ => levels.push((minute, level)),
            }
        }
        Self(levels)
    }

    /// Where the count is at most `most`, before its first moment and after its last one too.
    pub(super) fn at_most(&self, most: i64) -> Vec<Span> {
        self.spans(|level| level <= most)
    }

    /// Where the count is at least `least`.
    pub(super) fn at_least(&self, least: i64) -> Vec<Span> {
        self.spans(|level| level >= least)
    }

    fn spans(&self, keep: impl Fn(i64) -> bool) -> Vec<Span> {
        let first = std::iter::once((Minute::new(i64::MIN), 0));
        let mut spans: Vec<Span> = Vec::new();
        let mut begun = None;
        for (minute, level) in first.chain(self.0.iter().copied()) {
            match (begun, keep(level)) {
                (None, true) => begun = Some(minute),
                (Some(from), false) => {
                    spans.push((from, minute));
                    begun = None;
                }
                _ => {}
            }
        }
        spans.extend(begun.map(|from| (from, Minute::new(i64::MAX))));
        spans
    }
}

/// The first working minute at or after `from`.
fn open_at(windows: &[Span], from: Minute) -> Option<Minute> {
    let next = windows.get(windows.partition_point(|window| window.1 <= from))?;
    Some(next.0.max(from))
}

/// The earliest working minute at or after `from` from which `work` minutes of a cell can be
/// worked without a working minute inside the blocked stretches, and when they are done. Each
/// list of `blocked` is in order of time and without overlaps.
pub(super) fn earliest(
    windows: &[Span],
    from: Minute,
    work: Minutes,
    blocked: &[&[Span]],
) -> Option<(Minute, Minute)> {
    let mut start = open_at(windows, from)?;
    loop {
        let end = add_working_time(windows, start, work)?;
        match blocked.iter().filter_map(|list| last_hit(windows, list, (start, end))).max() {
            None => return Some((start, end)),
            Some(later) => start = open_at(windows, later)?,
        }
    }
}

/// Whether none of the blocked stretches takes a working minute of `span`.
pub(super) fn is_clear(windows: &[Span], span: Span, blocked: &[&[Span]]) -> bool {
    blocked.iter().all(|list| last_hit(windows, list, span).is_none())
}

/// The end of the last stretch that takes a working minute of `[from, to)`: whoever begins before
/// it, and later than `from`, would run into it again.
fn last_hit(windows: &[Span], list: &[Span], (from, to): Span) -> Option<Minute> {
    let near = &list[list.partition_point(|span| span.1 <= from)..];
    let near = &near[..near.partition_point(|span| span.0 < to)];
    let takes_one = |span: &&Span| working_minutes(windows, span.0.max(from), span.1.min(to)) > Minutes::ZERO;
    near.iter().rev().find(takes_one).map(|span| span.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(list: &[(i64, i64)]) -> Vec<Span> {
        list.iter().map(|(from, to)| (Minute::new(*from), Minute::new(*to))).collect()
    }

    #[test]
    fn levels_add_up_and_are_read_as_stretches() {
        let at = Minute::new;
        let levels =
            Levels::of_changes(vec![(at(10), 1), (at(30), -1), (at(20), 1), (at(40), -1), (at(40), 1)]);
        assert_eq!(levels.at_least(2), spans(&[(20, 30)]));
        assert_eq!(levels.at_most(0), spans(&[(i64::MIN, 10)]));
        assert_eq!(levels.at_least(1), spans(&[(10, i64::MAX)]));
    }

    #[test]
    fn work_waits_for_a_stretch_that_is_long_enough() {
        let windows = spans(&[(0, 100), (200, 300)]);
        let check = |from, work, blocked: &[(i64, i64)], expected: Option<(i64, i64)>| {
            let found = earliest(&windows, Minute::new(from), Minutes::new(work), &[&spans(blocked)]);
            assert_eq!(found, expected.map(|(from, to)| (Minute::new(from), Minute::new(to))));
        };
        check(10, 30, &[], Some((10, 40)));
        check(90, 30, &[], Some((90, 220)));
        // What is blocked only while the cell stands still does not matter.
        check(90, 30, &[(100, 200)], Some((90, 220)));
        check(0, 30, &[(20, 30), (50, 60)], Some((60, 90)));
        check(0, 30, &[(20, 30), (70, 80)], Some((30, 60)));
        check(0, 60, &[(20, 30), (50, 60), (250, 260)], Some((60, 220)));
        // Ninety minutes of work between two blocked stretches are ten too few.
        check(0, 100, &[(20, 30), (50, 60), (250, 260)], None);
        check(290, 30, &[], None);
    }
}
