//! Working-time arithmetic: from clock minutes to working minutes of a cell and back.

use elbowroom_problem::Window;

/// A clock minute, or a count of working minutes; at most [`LATEST`].
pub(crate) type Time = u32;

/// Where time ends for the search: twice the latest moment that a problem may name, so that a
/// moment plus a length (or two) of a problem never overflows.
pub(crate) const LATEST: Time = 1 << 31;

/// So many stretches are looked at one after the other before the table is asked.
const STEPS: u32 = 6;

/// One stretch of working time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stretch {
    start: Time,
    end: Time,
    /// Working minutes before `start`.
    done: Time,
}

/// Working time of a cell, cut at the horizon and followed there by one endless stretch.
///
/// Work that does not fit inside the horizon thus runs into the endless stretch, where the search
/// sees by how much it is too late and can repair it. Lookups jump to about the right stretch by a
/// table over equal slices of the axis, so they take constant time for any ordinary calendar, and
/// the table grows with the number of windows, never with the horizon.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Calendar {
    stretches: Vec<Stretch>,
    by_clock: Slices,
    by_work: Slices,
}

/// For each slice of an axis, the last stretch that begins at or before the slice's first minute.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Slices {
    shift: u32,
    first: Vec<u32>,
}

impl Slices {
    pub(super) fn new(starts: &[Time]) -> Self {
        let last = *starts.last().expect("a calendar ends with its endless stretch");
        let wanted = 4 * starts.len() as Time + 16;
        let shift = (0..32).find(|&s| last >> s <= wanted).unwrap_or(31);
        let mut at = 0;
        let mut first: Vec<u32> = (0..=last >> shift)
            .map(|slice| {
                while at + 1 < starts.len() && starts[at + 1] <= slice << shift {
                    at += 1;
                }
                at as u32
            })
            .collect();
        first.push(starts.len() as u32 - 1); // where the last slice ends
        Self { shift, first }
    }

    /// The stretches among which the one of `value` is: at least the first, at most the second.
    #[inline]
    pub(super) fn around(&self, value: Time) -> (usize, usize) {
        let slice = ((value >> self.shift) as usize).min(self.first.len() - 2);
        (self.first[slice] as usize, self.first[slice + 1] as usize)
    }
}

impl Calendar {
    pub(crate) fn new(windows: &[Window], horizon: Time) -> Self {
        let mut spans: Vec<(Time, Time)> = Vec::with_capacity(windows.len() + 1);
        for window in windows {
            let (start, end) = (minute(window.start.get()), minute(window.end.get()));
            if start < horizon {
                spans.push((start, end.min(horizon)));
            }
        }
        match spans.last_mut() {
            Some(last) if last.1 == horizon => last.1 = LATEST,
            _ => spans.push((horizon, LATEST)),
        }
        let mut done = 0;
        let mut stretches = Vec::with_capacity(spans.len());
        for (start, end) in spans {
            stretches.push(Stretch { start, end, done });
            done += end - start;
        }
        let by_clock = Slices::new(&stretches.iter().map(|s| s.start).collect::<Vec<_>>());
        let by_work = Slices::new(&stretches.iter().map(|s| s.done).collect::<Vec<_>>());
        Self { stretches, by_clock, by_work }
    }

    /// The last stretch that begins at or before a clock minute (the first, if none does).
    #[inline]
    fn at_clock(&self, minute: Time) -> usize {
        if self.stretches.len() == 1 {
            return 0;
        }
        let (mut low, high) = self.by_clock.around(minute);
        if high - low > 8 {
            let part = &self.stretches[low + 1..=high];
            return low + part.partition_point(|s| s.start <= minute);
        }
        while low < high && self.stretches[low + 1].start <= minute {
            low += 1;
        }
        low
    }

    #[inline]
    fn at_work(&self, work: Time) -> usize {
        if self.stretches.len() == 1 {
            return 0;
        }
        let (mut low, high) = self.by_work.around(work);
        if high - low > 8 {
            let part = &self.stretches[low + 1..=high];
            return low + part.partition_point(|s| s.done <= work);
        }
        while low < high && self.stretches[low + 1].done <= work {
            low += 1;
        }
        low
    }

    /// Whether the cell is open from minute 0 to the horizon.
    pub(crate) fn is_always_open(&self) -> bool {
        self.stretches.len() == 1 && self.stretches[0].start == 0
    }

    /// Working minutes in `[0, minute)`.
    #[inline]
    pub(crate) fn work(&self, minute: Time) -> Time {
        let s = &self.stretches[self.at_clock(minute)];
        s.done + minute.min(s.end).saturating_sub(s.start)
    }

    /// The clock minute that is working minute number `work`, counted from 0.
    #[inline]
    pub(crate) fn clock(&self, work: Time) -> Time {
        let work = work.min(LATEST);
        let s = &self.stretches[self.at_work(work)];
        (s.start + (work - s.done)).min(LATEST)
    }

    /// The clock minute at which `work` working minutes are over; `work` is at least 1.
    #[inline]
    pub(crate) fn clock_end(&self, work: Time) -> Time {
        (self.clock(work - 1) + 1).min(LATEST)
    }

    /// A setup from `low` on, and behind it a run from `ready` on: first minute of the setup (of the
    /// run, where there is no setup), first minute of the run, end of the run.
    ///
    /// The same as by [`Calendar::work`] and [`Calendar::clock`], with fewer look-ups: what follows
    /// lies in the same stretch or a few further on.
    #[inline]
    pub(crate) fn setup_and_run(&self, low: Time, setup: Time, ready: Time, run: Time) -> (Time, Time, Time) {
        let (low_at, low_work) = self.place(low);
        let (ready_at, ready_work) = self.place(ready);
        let (at, run_work) = if ready_work >= low_work + setup {
            (ready_at, ready_work)
        } else {
            (self.forward(low_at, low_work + setup), low_work + setup)
        };
        let run_start = self.minute(at, run_work);
        let start = if setup == 0 { run_start } else { self.minute(low_at, low_work) };
        let last = run_work.min(LATEST) + run - 1;
        let end = self.minute(self.forward(at, last), last) + 1;
        (start, run_start, end.min(LATEST))
    }

    /// The stretch of the first working minute from a clock minute on, and its number.
    #[inline]
    fn place(&self, minute: Time) -> (usize, Time) {
        let at = self.at_clock(minute);
        let s = &self.stretches[at];
        let work = s.done + minute.min(s.end).saturating_sub(s.start);
        (at + usize::from(minute >= s.end && at + 1 < self.stretches.len()), work)
    }

    /// The stretch of a working minute, which is that of `from` or a later one.
    #[inline]
    fn forward(&self, from: usize, work: Time) -> usize {
        let mut at = from;
        for _ in 0..STEPS {
            match self.stretches.get(at + 1) {
                Some(next) if next.done <= work => at += 1,
                _ => return at,
            }
        }
        self.at_work(work.min(LATEST))
    }

    /// The clock minute of a working minute of a stretch.
    #[inline]
    fn minute(&self, at: usize, work: Time) -> Time {
        let s = &self.stretches[at];
        (s.start + (work.min(LATEST) - s.done)).min(LATEST)
    }

    /// The working stretches inside `[from, to)`, the last one first.
    pub(crate) fn backwards(&self, from: Time, to: Time) -> impl Iterator<Item = (Time, Time)> + '_ {
        let last = if from < to { self.at_clock(to - 1) + 1 } else { 0 };
        self.stretches[..last]
            .iter()
            .rev()
            .take_while(move |s| s.end > from)
            .map(move |s| (s.start.max(from), s.end.min(to)))
            .filter(|(start, end)| start < end)
    }
}

/// A moment of a problem, not negative, as the search keeps it.
pub(crate) fn minute(value: i64) -> Time {
    Time::try_from(value).unwrap_or(0).min(LATEST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_units::Minute;

    fn calendar(windows: &[(i64, i64)], horizon: Time) -> Calendar {
        let windows: Vec<Window> =
            windows.iter().map(|&(a, b)| Window { start: Minute::new(a), end: Minute::new(b) }).collect();
        Calendar::new(&windows, horizon)
    }

    #[test]
    fn two_shifts_by_hand() {
        // Working minutes 0..480 are 360..840, 480..960 are 1800..2280, then the horizon.
        let c = calendar(&[(360, 840), (1800, 2280)], 3000);
        assert_eq!([c.work(0), c.work(360), c.work(400), c.work(900), c.work(1801)], [0, 0, 40, 480, 481]);
        assert_eq!([c.clock(0), c.clock(479), c.clock(480), c.clock(960)], [360, 839, 1800, 3000]);
        assert_eq!([c.clock_end(1), c.clock_end(480), c.clock_end(481)], [361, 840, 1801]);
        assert_eq!(c.backwards(800, 1900).collect::<Vec<_>>(), [(1800, 1900), (800, 840)]);
    }

    #[test]
    fn behind_the_last_window_the_horizon_comes_next() {
        // 40 windows of 10 minutes; working minute 400 is the horizon.
        let windows: Vec<(i64, i64)> = (0..40).map(|i| (100 * i, 100 * i + 10)).collect();
        let c = calendar(&windows, 5000);
        assert_eq!([c.clock(399), c.clock(400), c.clock_end(401)], [3909, 5000, 5001]);
        assert_eq!([c.work(4999), c.work(5003)], [400, 403]);
    }

    #[test]
    fn setup_and_run_as_one_by_one() {
        let windows: Vec<(i64, i64)> = (0..40).map(|i| (i * i + 5 * i, i * i + 5 * i + 3)).collect();
        for c in [calendar(&windows, 1700), calendar(&windows[..3], 40), calendar(&[(0, 900)], 900)] {
            for (low, ready) in (0..1800).step_by(7).zip((0..3600).step_by(13)) {
                for (setup, run) in [(0, 1), (2, 5), (9, 1), (4, 60)] {
                    let run_work = c.work(ready).max(c.work(low) + setup);
                    let work = if setup == 0 { run_work } else { c.work(low) };
                    let expected = (c.clock(work), c.clock(run_work), c.clock_end(run_work + run));
                    assert_eq!(
                        c.setup_and_run(low, setup, ready, run),
                        expected,
                        "{low} {setup} {ready} {run}"
                    );
                }
            }
        }
    }

    #[test]
    fn nobody_works_and_time_is_long() {
        let c = calendar(&[], 1 << 30);
        assert_eq!(c.clock(0), 1 << 30);
        assert_eq!(c.work(5), 0);
        assert_eq!(c.clock(LATEST), LATEST);
    }

    #[test]
    fn agrees_with_counting_minute_by_minute() {
        let windows: Vec<(i64, i64)> = (0..60).map(|i| (i * i + 3 * i, i * i + 3 * i + 2)).collect();
        let c = calendar(&windows, 3500);
        let mut worked = 0;
        for minute in 0..3500u32 {
            assert_eq!(c.work(minute), worked);
            if windows.iter().any(|&(a, b)| a <= i64::from(minute) && i64::from(minute) < b) {
                assert_eq!(c.clock(worked), minute);
                worked += 1;
                assert_eq!(c.clock_end(worked), minute + 1);
            }
        }
    }
}
