//! A third reading of the contract, beside the engine's and the verifier's: builds valid
//! schedules minute by minute, slowly and plainly.
//!
//! It walks through time and starts whatever can start, never going back. All that has been
//! placed before therefore began no later, and no later decision can change a setup that was
//! decided earlier.

use crate::chance::Chance;
use elbowroom_problem::{
    Availability, CellIdx, CellWork, Changeover, Crew, JobIdx, Objective, OptionIdx, Placement, Problem,
    Schedule, ToolIdx, Window, Work,
};
use elbowroom_units::{Minute, Minutes};

/// A valid schedule, if this way of building finds one; its objective is added up here.
#[must_use]
pub fn build(problem: &Problem, chance: &mut Chance) -> Option<Schedule> {
    let mut bench = Bench::new(problem, chance);
    for minute in 0..bench.horizon {
        for job in chance.order(problem.jobs.len()) {
            while bench.start_next(job, minute, chance) {}
        }
    }
    bench.finish()
}

/// An operation that stands.
#[derive(Clone, Copy)]
struct Standing {
    option: OptionIdx,
    setup_start: usize,
    run_start: usize,
    end: usize,
    setup: usize,
    pinned: bool,
}

/// One counter for each minute up to the horizon.
type Minutely = Vec<u32>;

struct Bench<'p> {
    problem: &'p Problem,
    horizon: usize,
    /// By cell: 1 where it works.
    open: Vec<Minutely>,
    /// By cell: operations that hold it.
    busy: Vec<Minutely>,
    /// By tool: pieces held.
    held: Vec<Minutely>,
    /// By tool: the first usable minute, if it can be had.
    usable: Vec<Option<usize>>,
    /// By crew: heads that are there, and heads needed.
    heads: Vec<Minutely>,
    needed: Vec<Minutely>,
    /// By job: its route and the next operation to place.
    route: Vec<usize>,
    next: Vec<usize>,
    standing: Vec<Standing>,
    /// How probable a start is at a minute at which it is possible.
    eagerness: f64,
    /// How long a finished setup may wait for its part.
    patience: usize,
}

impl<'p> Bench<'p> {
    fn new(problem: &'p Problem, chance: &mut Chance) -> Self {
        let horizon = count(problem.horizon);
        let nothing = vec![0; horizon];
        let mut bench = Self {
            problem,
            horizon,
            open: problem.cells.iter().map(|cell| open(&cell.windows, horizon)).collect(),
            busy: vec![nothing.clone(); problem.cells.len()],
            held: vec![nothing.clone(); problem.tools.len()],
            usable: (0..problem.tools.len()).map(|tool| usable(problem, tool, chance.yes(0.8))).collect(),
            heads: problem.crews.iter().map(|crew| heads(crew, horizon)).collect(),
            needed: vec![nothing; problem.crews.len()],
            route: problem.jobs.iter().map(|job| chance.below(job.routes.len())).collect(),
            next: vec![0; problem.jobs.len()],
            standing: Vec::new(),
            eagerness: chance.one_of(&[1.0, 1.0, 0.2, 0.03]),
            patience: chance.one_of(&[0, 0, 40, 300]),
        };
        for pin in &problem.pinned {
            bench.route[pin.option.job.get()] = pin.option.route;
            let [setup_start, run_start, end] = [pin.setup_start, pin.run_start, pin.end].map(count);
            let setup = bench.worked(problem.option(pin.option), setup_start, run_start);
            bench.stand(Standing { option: pin.option, setup_start, run_start, end, setup, pinned: true });
        }
        bench
    }

    /// Working minutes of the option's cell in `[from, to)`; none outside.
    fn worked(&self, work: &Work, from: usize, to: usize) -> usize {
        let cell = work.on_cell().map(|work| work.cell.get());
        cell.map_or(0, |cell| (from..to.min(self.horizon)).filter(|&m| self.open[cell][m] > 0).count())
    }

    /// Enters an operation everywhere.
    fn stand(&mut self, standing: Standing) {
        self.standing.push(standing);
        let Standing { setup_start, run_start, end, setup, .. } = standing;
        let Some(work) = self.problem.option(standing.option).on_cell() else { return };
        let mut left = setup;
        for minute in setup_start..end.min(self.horizon) {
            self.busy[work.cell.get()][minute] += 1;
            for tool in &work.tools {
                self.held[tool.get()][minute] += 1;
            }
            let open = self.open[work.cell.get()][minute] > 0;
            if let Some(crew) = work.setup_crew.filter(|_| open && left > 0) {
                self.needed[crew.get()][minute] += 1;
            }
            if let Some(crew) = work.run_crew.filter(|_| open && minute >= run_start) {
                self.needed[crew.get()][minute] += 1;
            }
            left = left.saturating_sub(usize::from(open));
        }
    }

    fn placed(&self, job: usize, operation: usize) -> Option<&Standing> {
        let is_it = |each: &&Standing| each.option.job.get() == job && each.option.operation == operation;
        self.standing.iter().find(is_it)
    }

    /// Places the job's next operation so that it begins at `minute`, if that can be.
    fn start_next(&mut self, job: usize, minute: usize, chance: &mut Chance) -> bool {
        let operations = &self.problem.jobs[job].routes[self.route[job]].operations;
        while self.next[job] < operations.len() && self.placed(job, self.next[job]).is_some() {
            self.next[job] += 1;
        }
        let operation = self.next[job];
        if operation == operations.len() || !chance.yes(self.eagerness) {
            return false;
        }
        for option in chance.order(operations[operation].options.len()) {
            let at = OptionIdx { job: JobIdx::new(job), route: self.route[job], operation, option };
            if let Some(standing) = self.fit(at, minute) {
                self.stand(standing);
                return true;
            }
        }
        false
    }

    /// When the part arrives for the operation.
    fn ready(&self, at: OptionIdx) -> usize {
        let Some(before) = at.operation.checked_sub(1) else {
            return count(self.problem.job(at.job).release);
        };
        let lag = self.problem.operation(OptionIdx { operation: before, option: 0, ..at }).lag_after;
        let before = self.placed(at.job.get(), before).expect("operations are placed in their order");
        before.end + count(Minute::ZERO + lag)
    }

    /// The latest end that leaves a pinned next operation its lag; `None` where no end does.
    fn deadline(&self, at: OptionIdx) -> Option<usize> {
        let lag = count(Minute::ZERO + self.problem.operation(at).lag_after);
        let next = self.placed(at.job.get(), at.operation + 1);
        next.map_or(Some(self.horizon), |next| next.run_start.checked_sub(lag))
    }

    fn fit(&self, at: OptionIdx, minute: usize) -> Option<Standing> {
        let work = self.problem.option(at);
        let run = count(Minute::ZERO + work.run);
        let standing = match work.on_cell() {
            None => {
                let (run_start, end) = (minute, minute + run);
                Standing { option: at, setup_start: minute, run_start, end, setup: 0, pinned: false }
            }
            Some(on_cell) => self.fit_on_cell(at, on_cell, run, minute)?,
        };
        let in_time = standing.run_start >= self.ready(at) && standing.end <= self.deadline(at)?;
        in_time.then_some(standing)
    }

    fn fit_on_cell(&self, at: OptionIdx, work: &CellWork, run: usize, minute: usize) -> Option<Standing> {
        let usable = |tool: &ToolIdx| self.usable[tool.get()].is_some_and(|from| from <= minute);
        if self.busy[work.cell.get()][minute] > 0 || !work.tools.iter().all(usable) {
            return None;
        }
        let open = |minute: &usize| self.open[work.cell.get()][*minute] > 0;
        let setup = self.setup(work, minute);
        let mut open_minutes = (minute..self.horizon).filter(open);
        let mut set_up = minute;
        for _ in 0..setup {
            set_up = open_minutes.next()? + 1;
        }
        let run_start = (set_up..self.horizon).filter(open).find(|&m| m >= self.ready(at))?;
        let waits = if setup == 0 { run_start > minute } else { run_start > set_up + self.patience };
        let end = (run_start..self.horizon).filter(open).nth(run.checked_sub(1)?)? + 1;
        let standing = Standing { option: at, setup_start: minute, run_start, end, setup, pinned: false };
        (open(&minute) && !waits && self.is_free(work, &standing)).then_some(standing)
    }

    /// Whether cell, tools and crews are free all along.
    fn is_free(&self, work: &CellWork, standing: &Standing) -> bool {
        let mut left = standing.setup;
        (standing.setup_start..standing.end).all(|minute| {
            let cell = self.busy[work.cell.get()][minute] == 0;
            let piece = |tool: &ToolIdx| self.held[tool.get()][minute] < self.problem.tool(*tool).count;
            let open = self.open[work.cell.get()][minute] > 0;
            let sets_up = work.setup_crew.filter(|_| open && left > 0);
            let runs = work.run_crew.filter(|_| open && minute >= standing.run_start);
            left = left.saturating_sub(usize::from(open));
            let head = |crew: usize| self.needed[crew][minute] < self.heads[crew][minute];
            let crews = [sets_up, runs].into_iter().flatten().all(|crew| head(crew.get()));
            cell && work.tools.iter().all(piece) && crews
        })
    }

    /// The setup of an operation that begins at `minute`: changeover or remount.
    fn setup(&self, work: &CellWork, minute: usize) -> usize {
        let cell = self.problem.cell(work.cell);
        let Some(changeover) = &cell.changeover else { return 0 };
        let previous = self.previous(work, minute);
        let before = match previous {
            Some((_, work)) => Some(work.setup_key.as_str()),
            None => cell.initial_setup.as_deref(),
        };
        let since = previous.map_or(0, |(standing, _)| standing.end);
        let mounted = |tool: &&ToolIdx| {
            before == Some(&work.setup_key) || previous.is_some_and(|(_, work)| work.tools.contains(tool))
        };
        let away = |tool: &ToolIdx| {
            let all = self.problem.tool(*tool).count;
            let all_held = |m: &usize| self.held[tool.get()][*m] >= all;
            (since..minute).filter(all_held).any(|m| self.held_elsewhere(work.cell, *tool, m) >= all)
        };
        let plain = plain_setup(changeover, before, &work.setup_key);
        let remount = work.tools.iter().filter(mounted).any(away);
        let needed = if remount { plain.max(changeover.default) } else { plain };
        count(Minute::ZERO + needed)
    }

    /// Pieces of a tool held on other cells in the minute.
    fn held_elsewhere(&self, cell: CellIdx, tool: ToolIdx, minute: usize) -> u32 {
        let holds = |each: &&Standing| {
            let work = self.problem.option(each.option).on_cell();
            let there = (each.setup_start..each.end).contains(&minute);
            there && work.is_some_and(|work| work.cell != cell && work.tools.contains(&tool))
        };
        self.standing.iter().filter(holds).map(|_| 1).sum()
    }

    /// The last operation on the cell that began before `minute`, or at it without any length.
    fn previous(&self, work: &CellWork, minute: usize) -> Option<(&Standing, &CellWork)> {
        let on_cell = |each| {
            let standing: &Standing = each;
            let other = self.problem.option(standing.option).on_cell()?;
            (other.cell == work.cell && standing.setup_start <= minute).then_some((standing, other))
        };
        self.standing
            .iter()
            .filter_map(on_cell)
            .max_by_key(|(standing, _)| (standing.setup_start, standing.end))
    }

    /// The schedule, if everything stands.
    fn finish(self) -> Option<Schedule> {
        let problem = self.problem;
        let routes = problem.jobs.iter().zip(&self.route).map(|(job, route)| &job.routes[*route]);
        if self.standing.len() < routes.map(|route| route.operations.len()).sum() {
            return None;
        }
        let objective = self.objective();
        let at = |minute: usize| Minute::new(i64::try_from(minute).expect("a minute of the plan"));
        let place = |each: &Standing| Placement {
            option: each.option,
            setup_start: at(each.setup_start),
            run_start: at(each.run_start),
            end: at(each.end),
        };
        let operations = self.standing.iter().map(place).collect();
        let overrun = self.standing.iter().any(|each| each.end > self.horizon);
        let purchases = self.purchases();
        (!overrun).then_some(Schedule { objective, lower_bound: None, purchases, operations })
    }

    /// The offers that unpinned work needs and that are not committed.
    fn purchases(&self) -> Vec<ToolIdx> {
        let unpinned = self.standing.iter().filter(|each| !each.pinned);
        let works = unpinned.filter_map(|each| self.problem.option(each.option).on_cell());
        let mut tools: Vec<ToolIdx> = works.flat_map(|work| work.tools.iter().copied()).collect();
        tools.sort_unstable();
        tools.dedup();
        let offered =
            |tool: &ToolIdx| matches!(self.problem.tool(*tool).availability, Availability::Offer { .. });
        tools.retain(|tool| offered(tool) && !self.problem.committed_purchases.contains(tool));
        tools
    }

    fn objective(&self) -> f64 {
        let late = |job: usize| {
            let end = self.standing.iter().filter(|each| each.option.job.get() == job);
            let last = end.max_by_key(|each| each.option.operation).expect("every job stands");
            (last.end as i64 - self.problem.jobs[job].due.get()).max(0) as f64
        };
        let weighted = (0..self.problem.jobs.len())
            .map(|job| self.problem.jobs[job].late_cost_per_day.amount() * late(job));
        match self.problem.objective {
            Objective::Makespan => self.standing.iter().map(|each| each.end).max().unwrap_or(0) as f64,
            Objective::Tardiness => weighted.sum(),
            Objective::Cost => weighted.map(|cost| cost / 1440.0).sum::<f64>() + self.fixed_and_worked(),
        }
    }

    /// The money of routes, options, running, changing over and purchases.
    fn fixed_and_worked(&self) -> f64 {
        let mut sum = 0.0;
        for (job, route) in self.problem.jobs.iter().zip(&self.route) {
            sum += job.routes[*route].cost.amount();
        }
        for each in &self.standing {
            let work = self.problem.option(each.option);
            sum += work.cost.amount();
            if let Some(on_cell) = work.on_cell() {
                let cell = self.problem.cell(on_cell.cell);
                sum += cell.run_rate.amount_per_minute() * self.worked(work, each.run_start, each.end) as f64;
                sum += cell.setup_rate.amount_per_minute() * each.setup as f64;
            }
        }
        for tool in self.purchases() {
            if let Availability::Offer { price, .. } = self.problem.tool(tool).availability {
                sum += price.amount();
            }
        }
        sum
    }
}

/// A moment of the plan as a position in a list of minutes.
fn count(minute: Minute) -> usize {
    usize::try_from(minute.get()).expect("the builder's minutes are not negative")
}

fn open(windows: &[Window], horizon: usize) -> Minutely {
    let mut open = vec![0; horizon];
    for window in windows {
        fill(&mut open, *window, 1);
    }
    open
}

fn heads(crew: &Crew, horizon: usize) -> Minutely {
    let mut heads = vec![0; horizon];
    for part in &crew.capacity {
        fill(&mut heads, part.window, part.heads);
    }
    heads
}

/// Sets the minutes of a window, as far as the list goes.
fn fill(minutes: &mut Minutely, window: Window, value: u32) {
    let end = count(window.end).min(minutes.len());
    let start = count(window.start).min(end);
    minutes[start..end].fill(value);
}

/// The first usable minute of a tool, an offer being taken only if `buy`.
fn usable(problem: &Problem, tool: usize, buy: bool) -> Option<usize> {
    match problem.tools[tool].availability {
        Availability::From(minute) => Some(count(minute)),
        Availability::Offer { lead, .. } => {
            let committed = problem.committed_purchases.contains(&ToolIdx::new(tool));
            (buy || committed).then_some(count(lead))
        }
    }
}

/// The changeover without remounting.
fn plain_setup(changeover: &Changeover, before: Option<&str>, key: &str) -> Minutes {
    match before {
        None => changeover.default,
        Some(before) if before == key => changeover.same,
        Some(before) => changeover
            .pairs
            .iter()
            .find_map(|(from, to, minutes)| (from == before && to == key).then_some(*minutes))
            .unwrap_or(changeover.default),
    }
}
