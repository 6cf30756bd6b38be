//! A run that takes another time than it did in the plan that stood.

use super::reason::{Ground, spans};
use elbowroom_problem::{CellIdx, Placement, Window};
use elbowroom_shop::calendar::add_working_time;
use elbowroom_units::Minute;

impl Ground<'_> {
    /// A step of the plan that stood, in the new problem's words, with the end that its run has from the same
    /// beginning now: fewer pieces, measured times and another vendor's turnaround move the end of a run, which is
    /// no reason to begin it at another time. Where its cell is closed meanwhile it stays as it was, and cannot
    /// stand.
    pub(super) fn lasting(&self, stands: Placement) -> Placement {
        let problem = &self.compiled.problem;
        let work = problem.option(stands.option);
        let Some(on) = work.on_cell() else {
            return Placement { end: stands.run_start + work.run, ..stands };
        };
        let windows = spans(&problem.cell(on.cell).windows);
        match add_working_time(&windows, stands.run_start, work.run) {
            Some(end) if self.closed_since(on.cell, stands.setup_start, end).is_none() => {
                Placement { end, ..stands }
            }
            _ => stands,
        }
    }

    /// The first minute of `[from, to)` at which a cell was open in the plan that stood and is closed now.
    pub(super) fn closed_since(&self, cell: CellIdx, from: Minute, to: Minute) -> Option<Minute> {
        let cell = self.compiled.problem.cell(cell);
        let old = self.near.problem.cells.iter().find(|other| other.id == cell.id)?;
        let before =
            old.windows.iter().map(|window| (window.start - self.near.shift, window.end - self.near.shift));
        let was_open = before.map(|(open, close)| (open.max(from), close.min(to)));
        was_open.filter(|(open, close)| open < close).find_map(|span| first_closed(&cell.windows, span))
    }
}

/// The first minute of a span that lies in none of the windows, which are in order.
fn first_closed(windows: &[Window], (from, to): (Minute, Minute)) -> Option<Minute> {
    let mut at = from;
    for window in &windows[windows.partition_point(|window| window.end <= from)..] {
        if window.start > at {
            break;
        }
        at = window.end;
    }
    (at < to).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_closed_minute_of_a_span() {
        let window = |start, end| Window { start: Minute::new(start), end: Minute::new(end) };
        let windows = [window(0, 10), window(10, 20), window(30, 40)];
        let closed = |from, to| first_closed(&windows, (Minute::new(from), Minute::new(to))).map(Minute::get);
        assert_eq!(closed(0, 20), None, "windows that touch leave no minute out");
        assert_eq!((closed(5, 25), closed(20, 25), closed(35, 45)), (Some(20), Some(20), Some(40)));
        assert_eq!(
            (closed(30, 40), closed(50, 60), first_closed(&[], (Minute::ZERO, Minute::new(1)))),
            (None, Some(50), Some(Minute::ZERO))
        );
    }
}
