//! Tiny random problems and their optimum by looking at every schedule there is: every route, every
//! option, every minute for each setup and run. The verifier judges, so that nothing here shares
//! the engine's understanding of the contract.

use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Changeover, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective,
    Operation, OptionIdx, Parts, Pinned, Place, Placement, Problem, Route, Schedule, Tool, ToolIdx, Window,
    Work,
};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use elbowroom_verify::{recompute, verify};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus as Dice;
use std::collections::BTreeSet;

/// A tiny problem with every feature of the contract now and then. Not every one has a schedule.
pub(super) fn tiny_problem(seed: u64) -> Problem {
    let mut dice = Dice::seed_from_u64(seed);
    let horizon = dice.random_range(9..14);
    let keys = ["a", "b", "c"];
    let cells = (0..2).map(|i| cell(&mut dice, i, horizon, &keys)).collect();
    let tools = (0..2).map(|i| tool(&mut dice, i)).collect();
    let crews = vec![crew(&mut dice, horizon)];
    let most = if dice.random_bool(0.4) { 3 } else { 2 };
    let jobs: Vec<Job> = (0..most).map(|i| job(&mut dice, i, &keys, most)).collect();
    let objective = [Objective::Cost, Objective::Cost, Objective::Makespan, Objective::Tardiness]
        [dice.random_range(0..4)];
    let mut parts = Parts {
        name: format!("tiny {seed}"),
        objective,
        horizon: Minute::new(horizon),
        cells,
        tools,
        crews,
        jobs,
        pinned: Vec::new(),
        committed_purchases: Vec::new(),
    };
    if dice.random_bool(0.3) {
        pin(&mut dice, &mut parts);
    }
    if dice.random_bool(0.3) && matches!(parts.tools[1].availability, Availability::Offer { .. }) {
        parts.committed_purchases.push(ToolIdx::new(1));
    }
    Problem::new(parts).expect("the generator makes sound problems")
}

fn cell(dice: &mut Dice, i: usize, horizon: i64, keys: &[&str]) -> Cell {
    let pause = dice.random_range(3..7);
    let after = pause + dice.random_range(1..3);
    let mut windows = vec![window(0, pause), window(after, horizon + 3)];
    if dice.random_bool(0.4) {
        windows = vec![window(dice.random_range(0..2), horizon)];
    }
    let mut pairs = Vec::new();
    for from in keys {
        for to in keys {
            if dice.random_bool(0.4) {
                let minutes = Minutes::new(dice.random_range(0..4));
                pairs.push(((*from).to_owned(), (*to).to_owned(), minutes));
            }
        }
    }
    let (default, same) = (dice.random_range(1..4), i64::from(dice.random_bool(0.2)));
    let changeover =
        Changeover { default: Minutes::new(default), same: Minutes::new(same), pairs: pairs.into() };
    Cell {
        id: format!("cell {i}"),
        windows,
        run_rate: RatePerMinute::per_minute(f64::from(dice.random_range(0..3))),
        setup_rate: RatePerMinute::per_minute(f64::from(dice.random_range(0..3))),
        initial_setup: dice.random_bool(0.5).then(|| keys[dice.random_range(0..3)].to_owned()),
        changeover: dice.random_bool(0.8).then_some(changeover),
    }
}

fn window(start: i64, end: i64) -> Window {
    Window { start: Minute::new(start), end: Minute::new(end) }
}

fn tool(dice: &mut Dice, i: usize) -> Tool {
    let minute = Minute::new(dice.random_range(0..4));
    let price = Money::new(f64::from(dice.random_range(0..8)));
    let availability = if i == 1 && dice.random_bool(0.7) {
        Availability::Offer { price, lead: minute }
    } else {
        Availability::From(minute)
    };
    Tool { id: format!("tool {i}"), count: if dice.random_bool(0.7) { 1 } else { 2 }, availability }
}

fn crew(dice: &mut Dice, horizon: i64) -> Crew {
    let change = dice.random_range(3..8);
    let part = |start, end, heads| HeadCount { window: window(start, end), heads };
    let (early, late) = (dice.random_range(0..3), dice.random_range(1..3));
    Crew { id: "crew".to_owned(), capacity: vec![part(0, change, early), part(change, horizon, late)] }
}

fn job(dice: &mut Dice, i: usize, keys: &[&str], jobs: usize) -> Job {
    let routes = if dice.random_bool(0.3) { 2 } else { 1 };
    let steps = if jobs == 2 && dice.random_bool(0.6) { 2 } else { 1 };
    Job {
        id: format!("job {i}"),
        release: Minute::new(dice.random_range(0..4)),
        due: Minute::new(dice.random_range(-2..8)),
        late_cost_per_day: Money::new(f64::from(dice.random_range(0..5)) * 720.0),
        routes: (0..routes).map(|r| route(dice, r, steps, keys)).collect(),
    }
}

fn route(dice: &mut Dice, r: usize, steps: usize, keys: &[&str]) -> Route {
    let operations = (0..steps).map(|k| Operation {
        id: format!("step {k}"),
        lag_after: Minutes::new(dice.random_range(0..2)),
        options: (0..if dice.random_bool(0.3) { 2 } else { 1 }).map(|_| work(dice, keys)).collect(),
    });
    let operations = operations.collect();
    Route { id: format!("route {r}"), cost: Money::new(f64::from(dice.random_range(0..3))), operations }
}

fn work(dice: &mut Dice, keys: &[&str]) -> Work {
    let run = Minutes::new(dice.random_range(1..5));
    let cost = Money::new(f64::from(dice.random_range(0..3)));
    if dice.random_bool(0.1) {
        return Work { place: Place::Outside, run, cost };
    }
    let crew = |dice: &mut Dice| dice.random_bool(0.3).then_some(CrewIdx::new(0));
    let place = Place::Cell(CellWork {
        cell: CellIdx::new(dice.random_range(0..2)),
        setup_key: keys[dice.random_range(0..3)].to_owned(),
        tools: (0..2).filter(|_| dice.random_bool(0.3)).map(ToolIdx::new).collect(),
        setup_crew: crew(dice),
        run_crew: crew(dice),
    });
    Work { place, run, cost }
}

/// Pins the first operation of the first job somewhere, windows and rules disregarded.
fn pin(dice: &mut Dice, parts: &mut Parts) {
    let start = dice.random_range(0..3);
    let run = start + dice.random_range(0..2);
    let end = run + dice.random_range(1..4);
    parts.jobs[0].release = Minute::ZERO;
    parts.pinned.push(Pinned {
        option: OptionIdx { job: JobIdx::new(0), route: 0, operation: 0, option: 0 },
        setup_start: Minute::new(start),
        run_start: Minute::new(run),
        end: Minute::new(end),
    });
}

/// The least objective of any valid schedule, or `None` if there is none.
pub(super) fn optimum(problem: &Problem) -> Option<f64> {
    let mut search = Exhaustive { problem, best: None, placed: Vec::new() };
    search.job(0, 0.0);
    search.best
}

struct Exhaustive<'a> {
    problem: &'a Problem,
    best: Option<f64>,
    placed: Vec<Placement>,
}

impl Exhaustive<'_> {
    fn job(&mut self, job: usize, spent: f64) {
        if job == self.problem.jobs.len() {
            return self.judge();
        }
        for route in 0..self.problem.jobs[job].routes.len() {
            self.operation(OptionIdx { job: JobIdx::new(job), route, operation: 0, option: 0 }, spent);
        }
    }

    fn operation(&mut self, at: OptionIdx, spent: f64) {
        let job = self.problem.job(at.job);
        if at.operation == job.routes[at.route].operations.len() {
            let end = self.placed.last().map_or(0, |last| last.end.get());
            return self.job(at.job.get() + 1, self.with_end(spent, at.job, end));
        }
        let ready = match at.operation {
            0 => job.release,
            k => {
                let lag = job.routes[at.route].operations[k - 1].lag_after;
                self.placed.last().map_or(job.release, |last| last.end + lag)
            }
        };
        let pinned = self.problem.pinned.iter().find(|pin| pin.option.job == at.job);
        if pinned.is_some_and(|pin| pin.option.route != at.route) {
            return;
        }
        if let Some(pin) = pinned.filter(|pin| pin.option.operation == at.operation) {
            let placement = Placement {
                option: pin.option,
                setup_start: pin.setup_start,
                run_start: pin.run_start,
                end: pin.end,
            };
            return self.place(placement, spent);
        }
        for option in 0..self.problem.operation(at).options.len() {
            self.option(OptionIdx { option, ..at }, ready.get(), spent);
        }
    }

    /// Every minute for the run and, on a cell, every minute for the setup.
    fn option(&mut self, at: OptionIdx, ready: i64, spent: f64) {
        let work = self.problem.option(at);
        for run_start in ready..self.problem.horizon.get() {
            let place = |setup_start: i64, end: i64| Placement {
                option: at,
                setup_start: Minute::new(setup_start),
                run_start: Minute::new(run_start),
                end: Minute::new(end),
            };
            let Some(on_cell) = work.on_cell() else {
                self.place(place(run_start, run_start + work.run.count()), spent);
                continue;
            };
            let windows = &self.problem.cell(on_cell.cell).windows;
            let works = |minute: i64| windows.iter().any(|w| w.start.get() <= minute && minute < w.end.get());
            let mut minutes = (run_start..self.problem.horizon.get()).filter(|minute| works(*minute));
            let last = minutes.nth(work.run.count() as usize - 1);
            let (true, Some(last)) = (works(run_start), last) else { continue };
            for setup_start in (0..=run_start).rev().filter(|minute| works(*minute)) {
                self.place(place(setup_start, last + 1), spent);
            }
        }
    }

    fn place(&mut self, placement: Placement, spent: f64) {
        let work = self.problem.option(placement.option);
        let cell = work.on_cell().map(|on| on.cell);
        let overlaps = self.placed.iter().any(|other| {
            cell.is_some()
                && self.problem.option(other.option).on_cell().map(|on| on.cell) == cell
                && placement.setup_start < other.end
                && other.setup_start < placement.end
        });
        let money = if self.problem.objective == Objective::Cost { work.cost.amount() } else { 0.0 };
        let spent = self.with_end(spent, placement.option.job, placement.end.get());
        let hopeless = self.best.is_some_and(|best| spent + money >= best);
        if overlaps || hopeless || placement.end > self.problem.horizon {
            return;
        }
        self.placed.push(placement);
        let next = OptionIdx { operation: placement.option.operation + 1, option: 0, ..placement.option };
        self.operation(next, self.without_lateness(spent, placement) + money);
        self.placed.pop();
    }

    /// What is spent if a job ends at `end`; for a makespan, the latest end.
    fn with_end(&self, spent: f64, job: JobIdx, end: i64) -> f64 {
        let job = self.problem.job(job);
        let late = (end - job.due.get()).max(0) as f64 * job.late_cost_per_day.amount();
        match self.problem.objective {
            Objective::Cost => spent + late / 1440.0,
            Objective::Tardiness => spent + late,
            Objective::Makespan => spent.max(end as f64),
        }
    }

    /// Takes back what [`Exhaustive::with_end`] added for an operation; the job's end adds it again.
    fn without_lateness(&self, spent: f64, placement: Placement) -> f64 {
        match self.problem.objective {
            Objective::Makespan => spent,
            _ => spent - self.with_end(0.0, placement.option.job, placement.end.get()),
        }
    }

    fn judge(&mut self) {
        let used = self.placed.iter().filter(|placement| {
            !self.problem.pinned.iter().any(|pin| {
                pin.option.job == placement.option.job && pin.option.operation == placement.option.operation
            })
        });
        let tools = used.filter_map(|placement| self.problem.option(placement.option).on_cell());
        let tools: BTreeSet<ToolIdx> = tools.flat_map(|on| on.tools.iter().copied()).collect();
        let on_offer = |tool: &ToolIdx| {
            matches!(self.problem.tool(*tool).availability, Availability::Offer { .. })
                && !self.problem.committed_purchases.contains(tool)
        };
        let mut schedule = Schedule {
            objective: 0.0,
            lower_bound: None,
            purchases: tools.into_iter().filter(on_offer).collect(),
            operations: self.placed.clone(),
        };
        schedule.objective = recompute(self.problem, &schedule).objective;
        let objective = schedule.objective;
        if self.best.is_none_or(|best| objective < best) && verify(self.problem, schedule).is_ok() {
            self.best = Some(objective);
        }
    }
}
