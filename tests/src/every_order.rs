//! The earliest finish of one job over every sequence of all work, by trying them all.
//!
//! For problems without crews in which every tool has one piece. Operations are put down one after
//! the other, each at its earliest behind what stands on its cell and holds its tools; in the order
//! of their runs every schedule comes about this way, or one that is nowhere later. So the best of
//! all orders is the best there is. It shares nothing with planner and engine.

use elbowroom_problem::{Availability, Cell, CellWork, JobIdx, OptionIdx, Place, Problem, Work};
use elbowroom_units::Minute;

/// What has been put down.
#[derive(Clone)]
struct State {
    /// By cell: when it is free, and the option that stands on it last.
    cells: Vec<(i64, Option<OptionIdx>)>,
    /// By tool: when it is free, and the cell that had it last.
    tools: Vec<(i64, Option<usize>)>,
    /// By job: its route, the steps put down, and when the next may run.
    jobs: Vec<(Option<usize>, usize, i64)>,
}

struct Tries<'p> {
    problem: &'p Problem,
    job: JobIdx,
    /// By job: it may end no later; `None`: whenever.
    limits: &'p [Option<Minute>],
    best: Option<i64>,
}

/// The earliest minute at which `job` can end while every other job with a limit keeps it; `None`
/// if there is no such schedule.
#[must_use]
pub fn earliest_of_all(problem: &Problem, job: JobIdx, limits: &[Option<Minute>]) -> Option<Minute> {
    let state = State {
        cells: vec![(0, None); problem.cells.len()],
        tools: problem.tools.iter().map(|tool| (usable(tool.availability), None)).collect(),
        jobs: problem.jobs.iter().map(|job| (None, 0, job.release.get())).collect(),
    };
    let mut tries = Tries { problem, job, limits, best: None };
    tries.go(&state);
    tries.best.map(Minute::new)
}

fn usable(availability: Availability) -> i64 {
    match availability {
        Availability::From(minute) | Availability::Offer { lead: minute, .. } => minute.get(),
    }
}

impl Tries<'_> {
    /// Puts every possible operation down next.
    fn go(&mut self, state: &State) {
        let mut complete = true;
        for at in 0..state.jobs.len() {
            for route in self.open_routes(state, at) {
                let operations = &self.problem.jobs[at].routes[route].operations;
                let Some(step) = operations.get(state.jobs[at].1) else { continue };
                complete = false;
                for option in 0..step.options.len() {
                    let job = JobIdx::new(at);
                    let option = OptionIdx { job, route, operation: state.jobs[at].1, option };
                    if let Some(next) = self.put_down(state, option) {
                        self.go(&next);
                    }
                }
            }
        }
        if complete {
            self.best = Some(state.jobs[self.job.get()].2);
        }
    }

    fn open_routes(&self, state: &State, job: usize) -> Vec<usize> {
        match state.jobs[job].0 {
            Some(route) => vec![route],
            None => (0..self.problem.jobs[job].routes.len()).collect(),
        }
    }

    /// `None` where it ends too late, or no earlier than what has been found already.
    fn put_down(&self, state: &State, option: OptionIdx) -> Option<State> {
        let mut next = state.clone();
        let job = option.job.get();
        let work = self.problem.option(option);
        let ready = state.jobs[job].2;
        let end = match &work.place {
            Place::Outside => ready + work.run.count(),
            Place::Cell(place) => self.on_cell(&mut next, option, work, place, ready)?,
        };
        let steps = self.problem.jobs[job].routes[option.route].operations.len();
        let last = option.operation + 1 == steps;
        let lag = if last { 0 } else { self.problem.operation(option).lag_after.count() };
        next.jobs[job] = (Some(option.route), option.operation + 1, end + lag);
        let too_late = |limit: Minute| end > limit.get();
        let kept = job == self.job.get() || !self.limits[job].is_some_and(too_late);
        let better = self.best.is_none_or(|best| next.jobs[self.job.get()].2 < best);
        (kept && better && end <= self.problem.horizon.get()).then_some(next)
    }

    fn on_cell(
        &self,
        next: &mut State,
        option: OptionIdx,
        work: &Work,
        place: &CellWork,
        ready: i64,
    ) -> Option<i64> {
        assert!(place.setup_crew.is_none() && place.run_crew.is_none(), "for problems without crews");
        let at = place.cell.get();
        let cell = &self.problem.cells[at];
        let (free, before) = next.cells[at];
        let tools = place.tools.iter().map(|tool| next.tools[tool.get()].0);
        let from = tools.chain([free]).max().unwrap_or(free);
        let setup = self.setup(next, cell, at, before, place);
        let (setup_done, ready) =
            if setup == 0 { (from, ready) } else { (worked(cell, from, setup)?, ready) };
        let end = worked(cell, setup_done.max(ready), work.run.count())?;
        next.cells[at] = (end, Some(option));
        place.tools.iter().for_each(|tool| next.tools[tool.get()] = (end, Some(at)));
        Some(end)
    }

    /// Changeover, and remounting where a tool that stood here has been away.
    fn setup(&self, next: &State, cell: &Cell, at: usize, before: Option<OptionIdx>, to: &CellWork) -> i64 {
        let Some(table) = &cell.changeover else { return 0 };
        let last = before.and_then(|before| self.problem.option(before).on_cell());
        let from = last.map(|work| &work.setup_key).or(cell.initial_setup.as_ref());
        let plain = match from {
            Some(key) if *key == to.setup_key => table.same,
            Some(key) => {
                let listed = table.pairs.iter().find(|(a, b, _)| a == key && *b == to.setup_key);
                listed.map_or(table.default, |(_, _, minutes)| *minutes)
            }
            None => table.default,
        };
        let same = from == Some(&to.setup_key);
        let stood =
            |tool: &&elbowroom_problem::ToolIdx| same || last.is_some_and(|work| work.tools.contains(tool));
        let away =
            |tool: &elbowroom_problem::ToolIdx| next.tools[tool.get()].1.is_some_and(|other| other != at);
        let remount = to.tools.iter().filter(stood).any(away);
        if remount { plain.max(table.default).count() } else { plain.count() }
    }
}

/// When so many working minutes have been worked, beginning in an open minute from `from` on.
fn worked(cell: &Cell, from: i64, minutes: i64) -> Option<i64> {
    let mut left = minutes;
    for window in &cell.windows {
        let begin = window.start.get().max(from);
        let room = window.end.get() - begin;
        if room <= 0 {
            continue;
        }
        if left <= room {
            return Some(begin + left);
        }
        left -= room;
    }
    None
}
