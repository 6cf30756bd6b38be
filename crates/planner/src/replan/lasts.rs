//! A run that takes another time than it did in the plan that stood.

use super::reason::{Ground, spans};
use elbowroom_problem::{CellIdx, Placement};
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
        let old = self.near.problem.cells.iter().find(|other| other.id == cell.id);
        let is_open =
            |minute: Minute| cell.windows.iter().any(|window| window.start <= minute && minute < window.end);
        let was_open = |minute: Minute| {
            let then = minute + self.near.shift;
            old.is_none_or(|old| old.windows.iter().any(|w| w.start <= then && then < w.end))
        };
        (from.get()..to.get()).map(Minute::new).find(|minute| was_open(*minute) && !is_open(*minute))
    }
}
