//! Working time of a cell.

use elbowroom_problem::Window;
use elbowroom_units::{Minute, Minutes};

/// The windows of a cell with the working minutes before each.
pub(crate) struct Calendar<'p> {
    windows: &'p [Window],
    worked: Vec<Minutes>,
}

impl<'p> Calendar<'p> {
    /// Of windows that are sorted and disjoint.
    pub fn new(windows: &'p [Window]) -> Self {
        let mut total = Minutes::ZERO;
        let mut worked = Vec::with_capacity(windows.len());
        for window in windows {
            worked.push(total);
            total += window.end - window.start;
        }
        Self { windows, worked }
    }

    /// `W(start, end)`: working minutes in `[start, end)`.
    pub fn between(&self, start: Minute, end: Minute) -> Minutes {
        self.before(end) - self.before(start)
    }

    /// Whether the cell works in the minute that begins at `minute`.
    pub fn contains(&self, minute: Minute) -> bool {
        self.begun(minute).checked_sub(1).is_some_and(|last| minute < self.windows[last].end)
    }

    /// The working time within `[start, end)`, in order; none where `end` is not after `start`.
    pub fn within(&self, start: Minute, end: Minute) -> impl Iterator<Item = Window> {
        let first = self.windows.partition_point(|window| window.end <= start);
        let inside = self.windows[first..].iter().take_while(move |window| window.start.max(start) < end);
        inside.map(move |window| Window { start: window.start.max(start), end: window.end.min(end) })
    }

    /// The first `work` working minutes within `[start, end)`, in order.
    pub fn first(&self, work: Minutes, start: Minute, end: Minute) -> Vec<Window> {
        let mut left = work;
        let mut taken = Vec::new();
        for window in self.within(start, end) {
            let part = left.min(window.end - window.start);
            if part == Minutes::ZERO {
                break;
            }
            taken.push(Window { start: window.start, end: window.start + part });
            left = left - part;
        }
        taken
    }

    /// How many windows have begun at `minute`.
    fn begun(&self, minute: Minute) -> usize {
        self.windows.partition_point(|window| window.start <= minute)
    }

    fn before(&self, minute: Minute) -> Minutes {
        let Some(last) = self.begun(minute).checked_sub(1) else { return Minutes::ZERO };
        let window = self.windows[last];
        self.worked[last] + (minute.min(window.end) - window.start)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window((start, end): (i64, i64)) -> Window {
        Window { start: Minute::new(start), end: Minute::new(end) }
    }

    #[test]
    fn working_minutes_agree_with_counting_them_one_by_one() {
        let windows: Vec<Window> = [(0, 4), (5, 6), (9, 14), (20, 21)].map(window).to_vec();
        let calendar = Calendar::new(&windows);
        let open = |minute: i64| windows.iter().any(|w| w.start.get() <= minute && minute < w.end.get());
        for a in -2..24 {
            assert_eq!(calendar.contains(Minute::new(a)), open(a), "{a}");
            for b in a..24 {
                let (start, end) = (Minute::new(a), Minute::new(b));
                let counted: Vec<i64> = (a..b).filter(|minute| open(*minute)).collect();
                assert_eq!(calendar.between(start, end).count(), counted.len() as i64, "{a}..{b}");
                let minutes = |windows: Vec<Window>| -> Vec<i64> {
                    windows.iter().flat_map(|w| w.start.get()..w.end.get()).collect()
                };
                assert_eq!(minutes(calendar.within(start, end).collect()), counted, "{a}..{b}");
                for work in 0..5 {
                    let first = minutes(calendar.first(Minutes::new(work), start, end));
                    let wanted: Vec<i64> = counted.iter().copied().take(work as usize).collect();
                    assert_eq!(first, wanted, "{work} in {a}..{b}");
                }
            }
        }
    }
}
