//! What cells share: tools and crews.

use super::super::axis::WorkTime;
use super::build::{Builder, option_of, usable};
use elbowroom_problem::CellWork;
use std::rc::Rc;

/// What a choice needs besides its cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Needs {
    /// Tools of which there is one piece.
    pub(crate) tools: Vec<usize>,
    /// The first minute at which all its tools can be used.
    pub(crate) usable: i64,
    pub(crate) setup_crew: Option<usize>,
    pub(crate) run_crew: Option<usize>,
    /// For pinned work, the positions of its cell that it holds from the begin of its setup on.
    pub(crate) block: Option<(i64, i64)>,
}

/// When a crew has a head left over by pinned work: intervals of the clock, sorted and disjoint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Hours {
    pub(crate) manned: Vec<(i64, i64)>,
    /// Whether there is never more than one head.
    pub(crate) is_one: bool,
}

impl Hours {
    /// When somebody is there, `one` cell stands still and the `other` one works.
    pub(crate) fn gaps(&self, one: &WorkTime, other: &WorkTime) -> Vec<(i64, i64)> {
        let still: Vec<(i64, i64)> = one.windows().collect();
        let working = common(&self.manned, other.windows());
        working.into_iter().flat_map(|hours| without(hours, &still)).collect()
    }

    /// The parts of a cell's working time in which nobody is there, as positions.
    pub(crate) fn holes(&self, time: &WorkTime) -> Vec<(i64, i64)> {
        let mut holes: Vec<(i64, i64)> = Vec::new();
        for (start, end) in time.windows() {
            for (a, b) in without((start, end), &self.manned) {
                let (a, b) = (time.before(a), time.before(b));
                match holes.last_mut() {
                    Some(last) if last.1 == a => last.1 = b,
                    _ => holes.push((a, b)),
                }
            }
        }
        holes
    }
}

/// What an interval has outside all of these.
fn without((start, end): (i64, i64), out: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let (mut at, mut left) = (start, Vec::new());
    for (a, b) in out.iter().filter(|(a, b)| *a < end && *b > start) {
        if at < *a {
            left.push((at, *a));
        }
        at = at.max(*b);
    }
    if at < end {
        left.push((at, end));
    }
    left
}

/// What two lists of intervals have in common.
fn common(a: &[(i64, i64)], b: impl Iterator<Item = (i64, i64)>) -> Vec<(i64, i64)> {
    let mut both = Vec::new();
    for (start, end) in b {
        let met = a.iter().map(|(x, y)| ((*x).max(start), (*y).min(end)));
        both.extend(met.filter(|(x, y)| x < y));
    }
    both
}

impl Builder<'_> {
    pub(super) fn needs(&self, work: &CellWork, block: Option<(i64, i64)>) -> Rc<Needs> {
        let single = work.tools.iter().filter(|tool| self.problem.tools[tool.get()].count == 1);
        Rc::new(Needs {
            tools: single.map(|tool| tool.get()).collect(),
            usable: work.tools.iter().map(|tool| usable(self.problem, tool.get())).max().unwrap_or(0),
            setup_crew: work.setup_crew.map(|crew| crew.get()),
            run_crew: work.run_crew.map(|crew| crew.get()),
            block,
        })
    }

    /// The hours of all crews.
    pub(super) fn hours(&self) -> Vec<Hours> {
        (0..self.problem.crews.len()).map(|crew| self.hours_of(crew)).collect()
    }

    fn hours_of(&self, crew: usize) -> Hours {
        let capacity = &self.problem.crews[crew].capacity;
        let is_one = capacity.iter().all(|count| count.heads <= 1);
        let mut manned: Vec<(i64, i64)> = Vec::new();
        for count in capacity.iter().filter(|count| count.heads > 0) {
            let (start, end) = (count.window.start.get(), count.window.end.get());
            match manned.last_mut() {
                Some(last) if last.1 == start => last.1 = end,
                _ => manned.push((start, end)),
            }
        }
        if is_one {
            let mut taken = self.pinned_hours(crew);
            taken.sort_unstable();
            manned = manned.iter().flat_map(|hours| without(*hours, &taken)).collect();
        }
        Hours { manned, is_one }
    }

    /// When pinned work has a crew.
    fn pinned_hours(&self, crew: usize) -> Vec<(i64, i64)> {
        let mut taken = Vec::new();
        for pin in &self.problem.pinned {
            let Some(work) = option_of(self.problem, pin).on_cell() else { continue };
            let time = &self.shop.cells[work.cell.get()].time;
            let [start, run, end] = [pin.setup_start, pin.run_start, pin.end].map(|minute| minute.get());
            for (needed, part) in [(work.setup_crew, (start, run)), (work.run_crew, (run, end))] {
                if needed.is_some_and(|needed| needed.get() == crew) {
                    taken.extend(common(&[part], time.windows()));
                }
            }
        }
        taken
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_problem::Window;
    use elbowroom_units::Minute;

    #[test]
    fn hours_without_a_head_are_holes_in_the_working_time() {
        let window = |a, b| Window { start: Minute::new(a), end: Minute::new(b) };
        let time = WorkTime::new(&[window(0, 100), window(200, 300)], 1_000);
        let hours = Hours { manned: vec![(10, 60), (250, 400)], is_one: true };
        let other = WorkTime::new(&[window(20, 120), (window(250, 400))], 1_000);
        assert_eq!(hours.gaps(&time, &other), [(300, 400)]);
        assert_eq!(hours.gaps(&other, &time), [(10, 20)]);
        assert_eq!(hours.holes(&time), [(0, 10), (60, 150)], "the night between is no working time");
        assert_eq!(without((0, 100), &[(20, 30), (30, 40), (90, 200)]), [(0, 20), (40, 90)]);
    }
}
