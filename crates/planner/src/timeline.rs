//! A schedule seen by cell, by tool and by job: who comes before whom, who holds what, and how
//! many minutes each changeover takes.
//!
//! It claims nothing about validity; it is read only after the verifier has accepted.

pub(crate) mod changeover;

use elbowroom_problem::{CellIdx, CellWork, CrewIdx, JobIdx, Placement, Problem, Schedule, ToolIdx, Work};
use elbowroom_shop::calendar::{add_working_time, working_minutes};
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::recompute;

/// Index of a placement in its schedule.
pub(crate) type At = usize;

/// One head of a crew at work without a break.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CrewWork {
    pub(crate) from: Minute,
    pub(crate) to: Minute,
    /// What it works on.
    pub(crate) at: At,
}

/// A schedule with its neighbourhoods worked out.
pub(crate) struct Timeline<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) schedule: &'a Schedule,
    windows: Vec<Vec<(Minute, Minute)>>,
    by_cell: Vec<Vec<At>>,
    by_job: Vec<Vec<At>>,
    by_tool: Vec<Vec<At>>,
    by_crew: Vec<Vec<CrewWork>>,
    before: Vec<Option<At>>,
    changeover: Vec<Minutes>,
    pinned: Vec<bool>,
}

impl<'a> Timeline<'a> {
    /// Works out the neighbourhoods of a schedule of this problem.
    pub(crate) fn new(problem: &'a Problem, schedule: &'a Schedule) -> Self {
        let count = schedule.operations.len();
        let mut line = Self {
            problem,
            schedule,
            windows: problem.cells.iter().map(spans).collect(),
            by_cell: vec![Vec::new(); problem.cells.len()],
            by_job: vec![Vec::new(); problem.jobs.len()],
            by_tool: vec![Vec::new(); problem.tools.len()],
            by_crew: vec![Vec::new(); problem.crews.len()],
            before: vec![None; count],
            changeover: recompute(problem, schedule).setups,
            pinned: vec![false; count],
        };
        line.sort_in();
        line.mark_pinned();
        line.link();
        line.staff();
        line
    }

    fn sort_in(&mut self) {
        let mut order: Vec<At> = (0..self.schedule.operations.len()).collect();
        order.sort_by_key(|at| {
            let p = &self.schedule.operations[*at];
            (p.setup_start, p.run_start, p.end, p.option)
        });
        for at in order {
            let option = self.schedule.operations[at].option;
            self.by_job[option.job.get()].push(at);
            if let Some(work) = self.problem.option(option).on_cell() {
                self.by_cell[work.cell.get()].push(at);
                work.tools.iter().for_each(|tool| self.by_tool[tool.get()].push(at));
            }
        }
        for steps in &mut self.by_job {
            // A setup may stand before that of the step before, so order by the route instead.
            steps.sort_by_key(|at| self.schedule.operations[*at].option.operation);
        }
    }

    fn mark_pinned(&mut self) {
        for pin in &self.problem.pinned {
            for at in &self.by_job[pin.option.job.get()] {
                self.pinned[*at] |= self.schedule.operations[*at].option == pin.option;
            }
        }
    }

    fn link(&mut self) {
        for tasks in &self.by_cell {
            for pair in tasks.windows(2) {
                self.before[pair[1]] = Some(pair[0]);
            }
        }
    }

    /// Notes what every head does: only while its cell works.
    fn staff(&mut self) {
        for at in 0..self.schedule.operations.len() {
            let Some(work) = self.work(at).on_cell() else { continue };
            let (placed, windows) = (self.placed(at), &self.windows[work.cell.get()]);
            let setup = (work.setup_crew, placed.setup_start, self.changeover_end(at));
            let run = (work.run_crew, placed.run_start, placed.end);
            for (crew, from, to) in [setup, run] {
                if let Some(crew) = crew {
                    let open = open_pieces(windows, from, to);
                    self.by_crew[crew.get()].extend(open.map(|(from, to)| CrewWork { from, to, at }));
                }
            }
        }
    }

    /// Whether all pieces of a tool were on other cells at some minute between the placement
    /// before on this cell and this one's setup.
    pub(crate) fn taken_away(&self, at: At, tool: ToolIdx) -> bool {
        let since = self.before[at].map_or(Minute::ZERO, |before| self.placed(before).end);
        let away = self.holds_elsewhere(tool, self.work_on_cell(at).cell, since, self.placed(at).setup_start);
        let pieces = self.problem.tool(tool).count as usize;
        // The number held rises only where a hold begins.
        away.iter()
            .any(|(begin, _)| away.iter().filter(|(from, to)| from <= begin && begin < to).count() >= pieces)
    }

    /// When pieces of a tool were held on other cells, clipped to `[since, until)`.
    fn holds_elsewhere(
        &self,
        tool: ToolIdx,
        cell: CellIdx,
        since: Minute,
        until: Minute,
    ) -> Vec<(Minute, Minute)> {
        self.by_tool[tool.get()]
            .iter()
            .filter(|at| self.work_on_cell(**at).cell != cell)
            .map(|at| (self.placed(*at).setup_start.max(since), self.placed(*at).end.min(until)))
            .filter(|(from, to)| from < to)
            .collect()
    }

    /// The placement itself.
    pub(crate) fn placed(&self, at: At) -> &'a Placement {
        &self.schedule.operations[at]
    }

    /// The option that was chosen.
    pub(crate) fn work(&self, at: At) -> &'a Work {
        self.problem.option(self.placed(at).option)
    }

    /// What is done on the cell; only for placements of [`Self::on_cell`], [`Self::on_tool`].
    pub(crate) fn work_on_cell(&self, at: At) -> &'a CellWork {
        self.work(at).on_cell().expect("only placements on a cell are listed by cell and by tool")
    }

    /// Placements on a cell in order of time.
    pub(crate) fn on_cell(&self, cell: CellIdx) -> &[At] {
        &self.by_cell[cell.get()]
    }

    /// Placements that hold a tool in order of time.
    pub(crate) fn on_tool(&self, tool: ToolIdx) -> &[At] {
        &self.by_tool[tool.get()]
    }

    /// What heads of a crew do, in no particular order.
    pub(crate) fn crew_work(&self, crew: CrewIdx) -> &[CrewWork] {
        &self.by_crew[crew.get()]
    }

    /// Placements of a job in the order of its route.
    pub(crate) fn of_job(&self, job: JobIdx) -> &[At] {
        &self.by_job[job.get()]
    }

    /// The placement before it on its cell.
    pub(crate) fn before(&self, at: At) -> Option<At> {
        self.before[at]
    }

    /// The last placement of another job before it on its cell.
    pub(crate) fn before_without(&self, at: At, job: JobIdx) -> Option<At> {
        let back = std::iter::successors(self.before(at), |before| self.before(*before));
        back.into_iter().find(|before| self.placed(*before).option.job != job)
    }

    /// Whether it stands where it is by order of the problem.
    pub(crate) fn is_pinned(&self, at: At) -> bool {
        self.pinned[at]
    }

    /// Working minutes of its changeover.
    pub(crate) fn changeover(&self, at: At) -> Minutes {
        self.changeover[at]
    }

    /// Working minutes of its run.
    pub(crate) fn run(&self, at: At) -> Minutes {
        let placed = self.placed(at);
        match self.work(at).on_cell() {
            Some(work) if self.pinned[at] => self.worked(work.cell, placed.run_start, placed.end),
            _ => self.work(at).run,
        }
    }

    /// When the changeover itself is done; the cell may then wait for the part.
    pub(crate) fn changeover_end(&self, at: At) -> Minute {
        let (placed, cell) = (self.placed(at), self.work_on_cell(at).cell);
        self.worked_forward(cell, placed.setup_start, self.changeover[at]).min(placed.run_start)
    }

    /// The moment at which `work` minutes of a cell have been worked since `from`; far in the
    /// future where it is never open so long.
    pub(crate) fn worked_forward(&self, cell: CellIdx, from: Minute, work: Minutes) -> Minute {
        add_working_time(self.windows(cell), from, work).unwrap_or(Minute::new(i64::MAX))
    }

    /// The open spans of a cell, clipped to `[from, to)`.
    pub(crate) fn open_pieces(
        &self,
        cell: CellIdx,
        from: Minute,
        to: Minute,
    ) -> impl Iterator<Item = (Minute, Minute)> {
        open_pieces(self.windows(cell), from, to)
    }

    /// When a cell is open.
    pub(crate) fn windows(&self, cell: CellIdx) -> &[(Minute, Minute)] {
        &self.windows[cell.get()]
    }

    /// The latest moment from which `work` minutes of a cell are worked before `until`; `until`
    /// itself for no work, minute 0 where there are not so many.
    pub(crate) fn worked_back(&self, cell: CellIdx, until: Minute, work: Minutes) -> Minute {
        let mut left = work;
        let windows = self.windows(cell);
        for &(open, close) in windows[..windows.partition_point(|window| window.0 < until)].iter().rev() {
            if left <= Minutes::ZERO {
                break;
            }
            let close = close.min(until);
            if left <= open.until(close) {
                return close - left;
            }
            left = left - open.until(close);
        }
        if left <= Minutes::ZERO { until } else { Minute::ZERO }
    }

    /// Changeover minutes of a key as the first lot on a cell.
    pub(crate) fn changeover_from_start(&self, cell: CellIdx, key: &str) -> Minutes {
        let cell = self.problem.cell(cell);
        changeover::minutes(cell, cell.initial_setup.as_deref(), key)
    }

    /// Working minutes of a cell in `[from, to)`.
    pub(crate) fn worked(&self, cell: CellIdx, from: Minute, to: Minute) -> Minutes {
        working_minutes(self.windows(cell), from, to)
    }
}

/// The open spans of a cell, clipped to `[from, to)`.
fn open_pieces(
    windows: &[(Minute, Minute)],
    from: Minute,
    to: Minute,
) -> impl Iterator<Item = (Minute, Minute)> {
    let first = windows.partition_point(|window| window.1 <= from);
    let near = windows[first..].iter().take_while(move |window| window.0 < to);
    near.map(move |window| (window.0.max(from), window.1.min(to))).filter(|(from, to)| from < to)
}

fn spans(cell: &elbowroom_problem::Cell) -> Vec<(Minute, Minute)> {
    cell.windows.iter().map(|window| (window.start, window.end)).collect()
}
