//! Rule 4: in order of time on a cell, a setup takes the changeover from the previous
//! operation's setup key (or the cell's initial setup) to its own; at least `default` where a
//! tool that stood mounted here has been taken away meanwhile.

use crate::layout::{Layout, Placed};
use crate::verdict::{Rule, Violation};
use elbowroom_problem::{Cell, CellIdx, CellWork, Changeover, ToolIdx, Window};
use elbowroom_units::{Minute, Minutes};

/// How long the setup of each operation has to be, in the order of [`Layout::placed`]. Pinned
/// work takes what it was given: the working minutes from its setup's start to its run's.
pub(crate) fn setups(layout: &Layout) -> Vec<Minutes> {
    let uses: Vec<Uses> = (0..layout.by_tool.len()).map(|tool| Uses::of(layout, tool)).collect();
    let mut setups = vec![Minutes::ZERO; layout.placed.len()];
    for operations in &layout.by_cell {
        let mut previous = None;
        for &index in operations {
            setups[index] = setup(layout, &uses, previous, index);
            previous = Some(index);
        }
    }
    setups
}

/// A violation for each operation whose setup is shorter than its changeover.
pub(crate) fn check(layout: &Layout, setups: &[Minutes], found: &mut Vec<Violation>) {
    for (index, placed) in layout.placed.iter().enumerate() {
        let Some(work) = placed.on_cell.filter(|_| placed.pin.is_none()) else { continue };
        let has = layout.calendar(work.cell).between(placed.setup_start, placed.run_start);
        let needs = setups[index];
        if has < needs {
            let name = layout.name(index);
            let (has, needs) = (has.count(), needs.count());
            let (cell, key) = (&layout.problem.cell(work.cell).id, &work.setup_key);
            let what = format!(
                "`{name}` needs {needs} working minutes to set up `{key}` on cell `{cell}`, remounting counted in, \
                 but has {has}"
            );
            found.push(Violation { rule: Rule::Changeover, place: name, what });
        }
    }
}

fn setup(layout: &Layout, uses: &[Uses], previous: Option<usize>, index: usize) -> Minutes {
    let placed = &layout.placed[index];
    let Some(work) = placed.on_cell else { return Minutes::ZERO };
    if placed.pin.is_some() {
        return layout.calendar(work.cell).between(placed.setup_start, placed.run_start);
    }
    let cell = layout.problem.cell(work.cell);
    let Some(changeover) = &cell.changeover else { return Minutes::ZERO };
    let previous = previous.map(|index| &layout.placed[index]);
    let plain = between(changeover, mounted_key(cell, previous), &work.setup_key);
    if remounted(layout, uses, previous, placed, work) { plain.max(changeover.default) } else { plain }
}

/// The key that the previous operation left, or that was mounted at minute 0.
fn mounted_key<'p>(cell: &'p Cell, previous: Option<&Placed<'p>>) -> Option<&'p str> {
    match previous {
        Some(previous) => previous.on_cell.map(|work| work.setup_key.as_str()),
        None => cell.initial_setup.as_deref(),
    }
}

/// Minutes from one key to the next by the cell's table.
fn between(changeover: &Changeover, from: Option<&str>, to: &str) -> Minutes {
    let Some(from) = from else { return changeover.default };
    if from == to {
        return changeover.same;
    }
    changeover.pairs.minutes(from, to).unwrap_or(changeover.default)
}

/// Whether a tool of this operation stood mounted on its cell and has been taken away since.
///
/// It stood mounted if the previous operation here used it too, or if the keys are equal. It has
/// been taken away if, at some minute from the previous operation's end (minute 0 if there is
/// none) to this setup's start, all its pieces were held on other cells.
fn remounted(
    layout: &Layout,
    uses: &[Uses],
    previous: Option<&Placed>,
    placed: &Placed,
    work: &CellWork,
) -> bool {
    let cell = layout.problem.cell(work.cell);
    let same_key = mounted_key(cell, previous) == Some(work.setup_key.as_str());
    let used_before = |tool: &ToolIdx| {
        previous.and_then(|previous| previous.on_cell).is_some_and(|work| work.tools.contains(tool))
    };
    let gap =
        Window { start: previous.map_or(Minute::ZERO, |previous| previous.end), end: placed.setup_start };
    let stood_mounted = work.tools.iter().filter(|tool| same_key || used_before(tool));
    stood_mounted.into_iter().any(|tool| {
        let count = layout.problem.tool(*tool).count as usize;
        uses[tool.get()].all_away(gap, work.cell, count)
    })
}

/// When and where a tool was held, in order of time.
struct Uses {
    uses: Vec<(Window, CellIdx)>,
    /// For each use the latest end of all those up to and including it.
    latest_end: Vec<Minute>,
}

impl Uses {
    fn of(layout: &Layout, tool: usize) -> Self {
        let mut uses: Vec<(Window, CellIdx)> = layout.by_tool[tool]
            .iter()
            .map(|&index| &layout.placed[index])
            .filter_map(|placed| {
                let window = Window { start: placed.setup_start, end: placed.end };
                placed.on_cell.map(|work| (window, work.cell))
            })
            .collect();
        uses.sort_by_key(|(window, _)| window.start);
        let mut latest = Minute::new(i64::MIN);
        let latest_end = uses.iter().map(|(window, _)| {
            latest = latest.max(window.end);
            latest
        });
        let latest_end = latest_end.collect();
        Self { uses, latest_end }
    }

    /// Whether `count` pieces were held on other cells than `cell` at some minute of `gap`.
    fn all_away(&self, gap: Window, cell: CellIdx, count: usize) -> bool {
        let begun = self.uses.partition_point(|(window, _)| window.start < gap.end);
        // Going back from there, once all earlier uses have ended before the gap none can matter.
        let first = self.latest_end[..begun].partition_point(|end| *end <= gap.start);
        let elsewhere: Vec<Window> = self.uses[first..begun]
            .iter()
            .filter(|(window, place)| *place != cell && window.end > gap.start)
            .map(|(window, _)| Window { start: window.start.max(gap.start), end: window.end.min(gap.end) })
            .filter(|window| window.start < window.end)
            .collect();
        most_at_once(&elsewhere) >= count
    }
}

/// The largest number of windows that have a minute in common.
fn most_at_once(windows: &[Window]) -> usize {
    let mut begins: Vec<Minute> = windows.iter().map(|window| window.start).collect();
    let mut ends: Vec<Minute> = windows.iter().map(|window| window.end).collect();
    begins.sort_unstable();
    ends.sort_unstable();
    let mut ended = 0;
    let mut most = 0;
    for (begun, begin) in begins.iter().enumerate() {
        while ends[ended] <= *begin {
            ended += 1;
        }
        most = most.max(begun + 1 - ended);
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window((start, end): (i64, i64)) -> Window {
        Window { start: Minute::new(start), end: Minute::new(end) }
    }

    #[test]
    fn windows_that_touch_have_no_minute_in_common() {
        let check = |windows: &[(i64, i64)], expected| {
            let windows: Vec<Window> = windows.iter().copied().map(window).collect();
            assert_eq!(most_at_once(&windows), expected, "{windows:?}");
        };
        check(&[], 0);
        check(&[(0, 5), (5, 9)], 1);
        check(&[(0, 5), (4, 9)], 2);
        check(&[(0, 9), (1, 2), (2, 3), (3, 4)], 2);
        check(&[(0, 9), (1, 4), (2, 3), (3, 4)], 3);
    }

    #[test]
    fn the_first_pair_of_the_table_counts_and_in_its_direction_only() {
        let minutes = Minutes::new;
        let pair = |from: &str, to: &str, time| (from.to_owned(), to.to_owned(), minutes(time));
        let changeover = Changeover {
            default: minutes(50),
            same: minutes(3),
            pairs: vec![pair("a", "b", 20), pair("a", "b", 10), pair("a", "a", 7)].into(),
        };
        let check = |from, to, expected| assert_eq!(between(&changeover, from, to), minutes(expected));
        check(Some("a"), "b", 20);
        check(Some("b"), "a", 50);
        check(Some("a"), "a", 3);
        check(None, "a", 50);
    }
}
