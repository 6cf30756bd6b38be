//! A schedule laid out beside its problem: by cell, by tool, by job.

use crate::calendar::Calendar;
use crate::overlap::Shared;
use elbowroom_problem::{CellIdx, CellWork, JobIdx, OptionIdx, Pinned, Placement, Problem, Schedule, Work};
use elbowroom_units::Minute;
use std::collections::HashMap;

/// An operation of the schedule with what the problem says of its option.
pub(crate) struct Placed<'p> {
    /// Its position in the schedule's list.
    pub position: usize,
    pub at: OptionIdx,
    pub work: &'p Work,
    /// What it needs on its cell; `None` outside.
    pub on_cell: Option<&'p CellWork>,
    pub setup_start: Minute,
    pub run_start: Minute,
    pub end: Minute,
    /// Whether the problem pins this operation.
    pub pin: Option<&'p Pinned>,
}

/// The operations of one job.
pub(crate) struct JobLayout {
    /// Positions in the job's routes of those that are used, in order, each once.
    pub routes: Vec<usize>,
    /// For each operation of the route, where exactly one is used: the operations placed for
    /// it, as positions in [`Layout::placed`].
    pub steps: Vec<Vec<usize>>,
}

/// The schedule in the orders in which the rules look at it.
pub(crate) struct Layout<'p> {
    pub problem: &'p Problem,
    pub schedule: &'p Schedule,
    /// The operations that name an option of the problem.
    pub placed: Vec<Placed<'p>>,
    /// Positions in the schedule's list of those that name no option of the problem.
    pub strangers: Vec<usize>,
    /// For each cell its operations, as positions in `placed`, in order of time.
    pub by_cell: Vec<Vec<usize>>,
    /// For each tool its users, in the order of the schedule.
    pub by_tool: Vec<Vec<usize>>,
    pub by_job: Vec<JobLayout>,
    calendars: Vec<Calendar<'p>>,
}

impl<'p> Layout<'p> {
    pub fn new(problem: &'p Problem, schedule: &'p Schedule) -> Self {
        let mut layout = Self {
            problem,
            schedule,
            placed: Vec::with_capacity(schedule.operations.len()),
            strangers: Vec::new(),
            by_cell: vec![Vec::new(); problem.cells.len()],
            by_tool: vec![Vec::new(); problem.tools.len()],
            by_job: Vec::new(),
            calendars: problem.cells.iter().map(|cell| Calendar::new(&cell.windows)).collect(),
        };
        let pins = problem.pinned.iter().map(|pin| (step(pin.option), pin)).collect();
        for (position, placement) in schedule.operations.iter().enumerate() {
            layout.place(position, placement, &pins);
        }
        layout.sort_cells();
        layout.by_job = layout.jobs();
        layout
    }

    fn place(&mut self, position: usize, placement: &Placement, pins: &HashMap<Step, &'p Pinned>) {
        let Placement { option: at, setup_start, run_start, end } = *placement;
        let Some(work) = option(self.problem, at) else {
            self.strangers.push(position);
            return;
        };
        let index = self.placed.len();
        if let Some(on_cell) = work.on_cell() {
            self.by_cell[on_cell.cell.get()].push(index);
            for tool in &on_cell.tools {
                self.by_tool[tool.get()].push(index);
            }
        }
        let [setup_start, run_start, end] = [setup_start, run_start, end].map(within_reach);
        let pin = pins.get(&step(at)).copied();
        let on_cell = work.on_cell();
        self.placed.push(Placed { position, at, work, on_cell, setup_start, run_start, end, pin });
    }

    /// Order of time on a cell is by setup start; an operation without length comes before one
    /// that begins in the same minute.
    fn sort_cells(&mut self) {
        for operations in &mut self.by_cell {
            operations.sort_by_key(|&i| (self.placed[i].setup_start, self.placed[i].end));
        }
    }

    fn jobs(&self) -> Vec<JobLayout> {
        let mut of_job = vec![Vec::new(); self.problem.jobs.len()];
        for (i, placed) in self.placed.iter().enumerate() {
            of_job[placed.at.job.get()].push(i);
        }
        let jobs = self.problem.jobs.iter().zip(of_job);
        jobs.map(|(job, operations)| {
            let mut routes: Vec<usize> = operations.iter().map(|&i| self.placed[i].at.route).collect();
            routes.sort_unstable();
            routes.dedup();
            let mut steps = Vec::new();
            if let [route] = routes[..] {
                steps.resize(job.routes[route].operations.len(), Vec::new());
                for i in operations {
                    steps[self.placed[i].at.operation].push(i);
                }
            }
            JobLayout { routes, steps }
        })
        .collect()
    }

    /// The working time of a cell.
    pub fn calendar(&self, cell: CellIdx) -> &Calendar<'p> {
        &self.calendars[cell.get()]
    }

    /// `J-2041/bend`, for the operation at a position in `placed`.
    pub fn name(&self, index: usize) -> String {
        self.name_of(self.placed[index].at)
    }

    /// The operations that share something, the first few by name: `` `A/cut`, `B/cut` and 3 more``.
    pub fn names(&self, shared: &Shared) -> String {
        let names: Vec<String> = shared.holders.iter().map(|&i| format!("`{}`", self.name(i))).collect();
        let more = match shared.held.saturating_sub(names.len()) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        names.join(", ") + &more
    }

    /// `J-2041/bend`, for an option that exists.
    pub fn name_of(&self, at: OptionIdx) -> String {
        format!("{}/{}", self.problem.job(at.job).id, self.problem.operation(at).id)
    }
}

/// An operation whatever its option.
type Step = (JobIdx, usize, usize);

fn step(at: OptionIdx) -> Step {
    (at.job, at.route, at.operation)
}

/// The option at an index that may not exist.
fn option(problem: &Problem, at: OptionIdx) -> Option<&Work> {
    let route = problem.jobs.get(at.job.get())?.routes.get(at.route)?;
    route.operations.get(at.operation)?.options.get(at.option)
}

/// A moment that can be added to; one far beyond every horizon becomes another such one.
fn within_reach(minute: Minute) -> Minute {
    const FAR: i64 = 1 << 40;
    Minute::new(minute.get().clamp(-FAR, FAR))
}
