//! Working time with a run's clock, which only goes forward.

use elbowroom_problem::{Cell, Crew, HeadCount, Window};
use elbowroom_units::Minute;

/// A week, the stretch that is repeated after the horizon.
const WEEK: i64 = 7 * 1440;
/// So many times it is repeated; after that cells are open round the clock.
const REPEATS: i64 = 52;

/// Half-open windows `[open, close)`, sorted and disjoint; the last one never closes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Calendar {
    windows: Vec<(i64, i64)>,
}

/// Where in a calendar a run's clock stands.
pub(crate) type Hint = usize;

impl Calendar {
    /// When a cell is open and, where it cannot do without, somebody of the crew is there.
    pub(crate) fn new(cell: &Cell, crew: Option<&Crew>, horizon: Minute) -> Self {
        let open = merged(endless(cell.windows.iter().map(span), horizon));
        let Some(crew) = crew else { return Self { windows: open } };
        let there = crew.capacity.iter().filter(|count| count.heads > 0).map(|count| span(&count.window));
        Self { windows: both(&open, &merged(endless(there, horizon))) }
    }

    /// Moves the hint to the first window that closes after `now`.
    fn seek(&self, hint: &mut Hint, now: i64) -> usize {
        while self.windows[*hint].1 <= now {
            *hint += 1;
        }
        *hint
    }

    /// `now` where open, else the next opening.
    pub(crate) fn next_open(&self, hint: &mut Hint, now: i64) -> i64 {
        self.windows[self.seek(hint, now)].0.max(now)
    }

    /// When the window in which `now` lies closes.
    pub(crate) fn close(&self, hint: &mut Hint, now: i64) -> i64 {
        self.windows[self.seek(hint, now)].1
    }

    /// The minute at which `work` minutes have been worked since `from`; the earliest such one.
    pub(crate) fn add(&self, hint: &mut Hint, from: i64, work: i64) -> i64 {
        if work <= 0 {
            return from;
        }
        let (mut at, mut left, mut now) = (self.seek(hint, from), work, from);
        loop {
            let (open, close) = self.windows[at];
            now = now.max(open);
            if left <= close - now {
                return now + left;
            }
            left -= close - now;
            at += 1;
        }
    }

    /// Working minutes in `[from, to)`.
    pub(crate) fn between(&self, from: i64, to: i64) -> i64 {
        let inside = |&(open, close): &(i64, i64)| (close.min(to) - open.max(from)).max(0);
        self.windows.iter().take_while(|window| window.0 < to).map(inside).sum()
    }
}

fn span(window: &Window) -> (i64, i64) {
    (window.start.get(), window.end.get())
}

/// The spans up to the horizon, then those of the last week before it again and again (all of them
/// where that week has none), then open for ever.
fn endless(spans: impl Iterator<Item = (i64, i64)>, horizon: Minute) -> Vec<(i64, i64)> {
    let mut all: Vec<(i64, i64)> = spans.collect();
    let end = horizon.get().max(all.last().map_or(0, |last| last.1));
    let week = end - WEEK.min(end);
    let has_any = all.iter().any(|(_, close)| *close > week);
    let from = if has_any { week } else { 0 };
    let length = (end - from).max(1);
    let model: Vec<(i64, i64)> =
        all.iter().filter(|(_, close)| *close > from).map(|&(open, close)| (open.max(from), close)).collect();
    for round in 1..=REPEATS {
        all.extend(model.iter().map(|(open, close)| (open + round * length, close + round * length)));
    }
    all.push((end + REPEATS * length, i64::MAX));
    all
}

/// Touching spans become one.
fn merged(spans: Vec<(i64, i64)>) -> Vec<(i64, i64)> {
    let mut merged: Vec<(i64, i64)> = Vec::with_capacity(spans.len());
    for (open, close) in spans {
        match merged.last_mut() {
            Some(last) if last.1 >= open => last.1 = last.1.max(close),
            _ => merged.push((open, close)),
        }
    }
    merged
}

/// What two lists of windows have in common.
fn both(a: &[(i64, i64)], b: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let (mut common, mut i, mut j) = (Vec::new(), 0, 0);
    while i < a.len() && j < b.len() {
        let (open, close) = (a[i].0.max(b[j].0), a[i].1.min(b[j].1));
        if open < close {
            common.push((open, close));
        }
        if a[i].1 <= b[j].1 { i += 1 } else { j += 1 }
    }
    common
}

/// Heads of a crew by time: each entry holds until the next one; the last for ever.
pub(crate) fn heads(crew: &Crew, horizon: Minute) -> Vec<(i64, u32)> {
    let most = crew.capacity.iter().map(|count| count.heads).max().unwrap_or(0).max(1);
    let mut steps = vec![(i64::MIN, 0)];
    let mut put = |from: i64, heads: u32| match steps.last_mut() {
        Some(last) if last.0 == from => last.1 = heads,
        _ => steps.push((from, heads)),
    };
    for (span, heads) in repeated(&crew.capacity, horizon, most) {
        put(span.0, heads);
        put(span.1, 0);
    }
    steps
}

/// As [`endless`], with heads; the crew's largest number at the end.
fn repeated(capacity: &[HeadCount], horizon: Minute, most: u32) -> Vec<((i64, i64), u32)> {
    let there: Vec<&HeadCount> = capacity.iter().filter(|count| count.heads > 0).collect();
    let spans = endless(there.iter().map(|count| span(&count.window)), horizon);
    let known = there.len();
    let model = (spans.len() - 1 - known) / REPEATS as usize;
    let heads = |at: usize| match at {
        at if at < known => there[at].heads,
        at if at + 1 == spans.len() => most,
        at => there[known - model + (at - known) % model].heads,
    };
    spans.iter().enumerate().map(|(at, span)| (*span, heads(at))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(windows: &[(i64, i64)]) -> Cell {
        let window = |&(start, end): &(i64, i64)| Window { start: Minute::new(start), end: Minute::new(end) };
        Cell {
            id: "c".to_owned(),
            windows: windows.iter().map(window).collect(),
            run_rate: elbowroom_units::RatePerMinute::ZERO,
            setup_rate: elbowroom_units::RatePerMinute::ZERO,
            initial_setup: None,
            changeover: None,
        }
    }

    fn crew(capacity: &[(i64, i64, u32)]) -> Crew {
        let count = |&(start, end, heads): &(i64, i64, u32)| HeadCount {
            window: Window { start: Minute::new(start), end: Minute::new(end) },
            heads,
        };
        Crew { id: "w".to_owned(), capacity: capacity.iter().map(count).collect() }
    }

    #[test]
    fn work_stands_still_outside_the_windows_and_ends_as_early_as_it_can() {
        let calendar = Calendar::new(&cell(&[(10, 20), (30, 40)]), None, Minute::new(50));
        let add = |from, work| calendar.add(&mut 0, from, work);
        assert_eq!(add(10, 10), 20, "it ends with the window, not at the next opening");
        assert_eq!(add(10, 11), 31);
        assert_eq!(add(0, 1), 11);
        assert_eq!(calendar.next_open(&mut 0, 20), 30);
        assert_eq!(calendar.between(15, 35), 10);
    }

    #[test]
    fn the_last_week_comes_again_after_the_horizon() {
        let calendar = Calendar::new(&cell(&[(10, 20)]), None, Minute::new(50));
        assert_eq!(calendar.next_open(&mut 0, 20), 60);
        assert_eq!(calendar.next_open(&mut 0, 70), 110);
        let week = 7 * 1440;
        let idle_at_last = Calendar::new(&cell(&[(10, 20)]), None, Minute::new(2 * week));
        assert_eq!(idle_at_last.next_open(&mut 0, 20), 2 * week + 10);
        let far = 53 * 2 * week;
        assert_eq!(idle_at_last.next_open(&mut 0, far), far, "open round the clock in the end");
    }

    #[test]
    fn a_crew_opens_a_cell_only_while_somebody_is_there() {
        let crew = crew(&[(0, 15, 2), (15, 25, 0), (25, 40, 1)]);
        let calendar = Calendar::new(&cell(&[(10, 20), (22, 30)]), Some(&crew), Minute::new(40));
        assert_eq!(calendar.add(&mut 0, 10, 6), 26);
        let heads = heads(&crew, Minute::new(40));
        assert_eq!(heads[..5], [(i64::MIN, 0), (0, 2), (15, 0), (25, 1), (40, 2)]);
    }
}
