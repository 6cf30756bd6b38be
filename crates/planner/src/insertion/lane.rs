//! What stands on a cell, and the changeovers between neighbours.

use super::spans::Span;
use crate::timeline::{At, Timeline, changeover};
use elbowroom_problem::{Cell, CellWork, CrewIdx, JobIdx, ToolIdx};
use elbowroom_units::{Minute, Minutes};

/// A lot that stands on a cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand<'a> {
    /// Its placement in the schedule; `None` for a step of the job that is being fitted.
    pub(super) at: Option<At>,
    pub(super) work: &'a CellWork,
    pub(super) setup_start: Minute,
    pub(super) run_start: Minute,
    pub(super) end: Minute,
    /// Working minutes of its changeover.
    pub(super) changeover: Minutes,
    pub(super) pinned: bool,
}

impl<'a> Stand<'a> {
    /// A lot of the schedule.
    pub(super) fn of_schedule(line: &Timeline<'a>, at: At) -> Self {
        let placed = line.placed(at);
        Self {
            at: Some(at),
            work: line.work_on_cell(at),
            setup_start: placed.setup_start,
            run_start: placed.run_start,
            end: placed.end,
            changeover: line.changeover(at),
            pinned: line.is_pinned(at),
        }
    }

    /// When its changeover itself is done.
    pub(super) fn changeover_end(&self, line: &Timeline<'_>) -> Minute {
        line.worked_forward(self.work.cell, self.setup_start, self.changeover).min(self.run_start)
    }

    /// Stretches in which it takes a head of a crew.
    pub(super) fn work_of(&self, line: &Timeline<'_>, crew: CrewIdx) -> Vec<Span> {
        let setup = (self.work.setup_crew, self.setup_start, self.changeover_end(line));
        let run = (self.work.run_crew, self.run_start, self.end);
        let taken = [setup, run].into_iter().filter(|(who, ..)| *who == Some(crew));
        taken.flat_map(|(_, from, to)| line.open_pieces(self.work.cell, from, to)).collect()
    }
}

/// All lots on a cell but those of one job, in order of time.
pub(super) fn rivals<'a>(
    line: &Timeline<'a>,
    cell: elbowroom_problem::CellIdx,
    job: JobIdx,
) -> Vec<Stand<'a>> {
    let others = line.on_cell(cell).iter().filter(|at| line.placed(**at).option.job != job);
    others.map(|at| Stand::of_schedule(line, *at)).collect()
}

/// Two lots that follow each other on a cell, or the first one on it.
#[derive(Clone, Copy)]
pub(super) struct Pair<'s, 'a> {
    pub(super) cell: &'s Cell,
    pub(super) before: Option<&'s Stand<'a>>,
    pub(super) work: &'s CellWork,
}

impl Pair<'_, '_> {
    /// Working minutes of the changeover as long as nothing has to be mounted again.
    pub(super) fn plain(&self) -> Minutes {
        changeover::minutes(self.cell, self.mounted_key(), &self.work.setup_key)
    }

    /// The same where a tool has been taken away meanwhile.
    pub(super) fn remounted(&self) -> Minutes {
        let default = self.cell.changeover.as_ref().map_or(Minutes::ZERO, |table| table.default);
        self.plain().max(default)
    }

    /// Tools of the second lot that the first one left mounted.
    pub(super) fn stood_mounted(&self) -> impl Iterator<Item = ToolIdx> {
        let same_key = self.mounted_key() == Some(self.work.setup_key.as_str());
        let before = self.before.map_or(&[][..], |stand| &stand.work.tools);
        self.work.tools.iter().copied().filter(move |tool| same_key || before.contains(tool))
    }

    /// Since when a tool could have been taken away.
    pub(super) fn since(&self) -> Minute {
        self.before.map_or(Minute::ZERO, |stand| stand.end)
    }

    fn mounted_key(&self) -> Option<&str> {
        match self.before {
            Some(stand) => Some(&stand.work.setup_key),
            None => self.cell.initial_setup.as_deref(),
        }
    }
}
