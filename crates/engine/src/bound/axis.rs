//! Time as the relaxation sees it: each cell's own working minutes, and slots of the clock.

use elbowroom_problem::Window;

/// Working time of one cell up to the horizon: the clock on one side, working minutes on the other.
///
/// Position `w` is the moment at which `w` working minutes are over. Work on a cell is never
/// interrupted, so that setup and run are one interval of positions, nights left out.
#[derive(Clone, Debug)]
pub(crate) struct WorkTime {
    starts: Vec<i64>,
    ends: Vec<i64>,
    done: Vec<i64>,
    total: i64,
}

impl WorkTime {
    /// The working time of `windows` before `horizon`.
    pub(crate) fn new(windows: &[Window], horizon: i64) -> Self {
        let mut time = Self { starts: Vec::new(), ends: Vec::new(), done: Vec::new(), total: 0 };
        for window in windows {
            let (start, end) = (window.start.get(), window.end.get().min(horizon));
            if start < end {
                time.starts.push(start);
                time.ends.push(end);
                time.done.push(time.total);
                time.total += end - start;
            }
        }
        time
    }

    /// Working minutes in all.
    pub(crate) fn total(&self) -> i64 {
        self.total
    }

    /// Working minutes before `minute`.
    pub(crate) fn before(&self, minute: i64) -> i64 {
        let after = self.starts.partition_point(|start| *start < minute);
        match after.checked_sub(1) {
            None => 0,
            Some(i) => self.done[i] + minute.min(self.ends[i]) - self.starts[i],
        }
    }

    /// The first minute at which `position` working minutes are over; 0 for none.
    ///
    /// `position` must not exceed [`WorkTime::total`].
    pub(crate) fn over(&self, position: i64) -> i64 {
        let after = self.done.partition_point(|done| *done < position);
        match after.checked_sub(1) {
            None => 0,
            Some(i) => self.starts[i] + position - self.done[i],
        }
    }

    /// The minute at which working minute number `position` is worked.
    ///
    /// `position` must be less than [`WorkTime::total`].
    pub(crate) fn worked(&self, position: i64) -> i64 {
        let i = self.done.partition_point(|done| *done <= position) - 1;
        self.starts[i] + position - self.done[i]
    }

    /// Its windows, up to the horizon.
    pub(crate) fn windows(&self) -> impl Iterator<Item = (i64, i64)> + '_ {
        self.starts.iter().copied().zip(self.ends.iter().copied())
    }
}

/// The clock cut into slots. Within a slot the relaxation does not tell the minutes apart.
///
/// Slot `g` is `[start[g], start[g + 1])`; together they cover `[0, horizon]`, the horizon included,
/// because work may end exactly there.
#[derive(Clone, Debug)]
pub(crate) struct Slots {
    start: Vec<i64>,
}

/// More slots than this gain nothing and cost memory.
const MOST_SLOTS: usize = 20_000;

impl Slots {
    /// Slots of at most `width` minutes wherever some cell works, and one for each common pause.
    pub(crate) fn new(cells: &[WorkTime], width: i64, horizon: i64) -> Self {
        let mut start = vec![0];
        for (open, close) in union(cells) {
            let steps = (open..close).step_by(usize::try_from(width.max(1)).unwrap_or(1));
            start.extend(steps.take(MOST_SLOTS + 1));
            start.push(close);
        }
        start.sort_unstable();
        start.dedup();
        start.retain(|minute| *minute <= horizon);
        if start.len() > MOST_SLOTS {
            let step = horizon / MOST_SLOTS as i64 + 1;
            start = (0..=horizon / step).map(|i| i * step).collect();
        }
        start.push(horizon + 1);
        Self { start }
    }

    /// How many slots there are.
    pub(crate) fn count(&self) -> usize {
        self.start.len() - 1
    }

    /// First minute of slot `g`; for `g == count()` the minute after the horizon.
    pub(crate) fn start(&self, g: usize) -> i64 {
        self.start[g]
    }

    /// The slot of a minute in `[0, horizon]`.
    pub(crate) fn of(&self, minute: i64) -> usize {
        self.start.partition_point(|start| *start <= minute) - 1
    }
}

/// The times at which some cell works: sorted, disjoint.
fn union(cells: &[WorkTime]) -> Vec<(i64, i64)> {
    let mut all: Vec<(i64, i64)> = cells.iter().flat_map(WorkTime::windows).collect();
    all.sort_unstable();
    let mut out: Vec<(i64, i64)> = Vec::new();
    for (start, end) in all {
        match out.last_mut() {
            Some(last) if start <= last.1 => last.1 = last.1.max(end),
            _ => out.push((start, end)),
        }
    }
    out
}

/// A cell's working time against the slots.
#[derive(Clone, Debug)]
pub(crate) struct SlotMap {
    /// Position at the start of each slot, and at the end of the last.
    pub(crate) low: Vec<i64>,
    /// Least position whose end (see [`WorkTime::over`]) lies in slot `g` or later.
    pub(crate) reaches: Vec<i64>,
}

impl SlotMap {
    /// Where `slots` stand on the cell's working time.
    pub(crate) fn new(time: &WorkTime, slots: &Slots) -> Self {
        let starts = (0..=slots.count()).map(|g| slots.start(g));
        let low = starts.clone().map(|start| time.before(start)).collect();
        // The work of position p is over at or after minute t if it is not over at t - 1.
        let reaches = starts.map(|start| time.before(start - 1) + 1).collect();
        Self { low, reaches }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_units::Minute;

    fn time(windows: &[(i64, i64)]) -> WorkTime {
        let windows: Vec<Window> =
            windows.iter().map(|(a, b)| Window { start: Minute::new(*a), end: Minute::new(*b) }).collect();
        WorkTime::new(&windows, 1_000)
    }

    #[test]
    fn clock_and_working_minutes_agree() {
        let time = time(&[(10, 20), (30, 50), (990, 1_100)]);
        assert_eq!(time.total(), 40);
        for (minute, before) in [(0, 0), (10, 0), (15, 5), (20, 10), (29, 10), (31, 11), (1_000, 40)] {
            assert_eq!(time.before(minute), before, "minute {minute}");
        }
        for (position, over) in [(0, 0), (1, 11), (10, 20), (11, 31), (40, 1_000)] {
            assert_eq!(time.over(position), over, "position {position}");
        }
        for (position, worked) in [(0, 10), (9, 19), (10, 30), (30, 990)] {
            assert_eq!(time.worked(position), worked, "position {position}");
        }
    }

    #[test]
    fn a_position_reaches_exactly_the_slots_up_to_its_end() {
        let time = time(&[(10, 20), (30, 50)]);
        let slots = Slots::new(std::slice::from_ref(&time), 7, 100);
        let map = SlotMap::new(&time, &slots);
        for position in 1..=time.total() {
            let slot = slots.of(time.over(position));
            let found = map.reaches.partition_point(|least| *least <= position) - 1;
            assert_eq!(found, slot, "position {position}");
        }
    }
}
