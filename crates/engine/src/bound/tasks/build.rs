//! From the problem to the relaxation's [`Shop`]: earliest starts and ends, least setups, pinned work.

use super::super::axis::WorkTime;
use super::super::changeover::Keys;
use super::{CellData, Choice, Needs, RoutePlan, Shop, Step, Task};
use elbowroom_problem::{
    Availability, CellWork, Job, Objective, Operation, Parts, Pinned, Place, Problem, Work,
};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

pub(super) struct Builder<'a> {
    pub(super) problem: &'a Parts,
    /// 1 where money counts, else 0.
    pub(super) money: f64,
    deadline: Option<i64>,
    pub(super) shop: Shop,
    pub(super) keys: Vec<Keys>,
    /// Setup keys that two operations of a schedule can bring to a cell.
    repeated: Vec<BTreeSet<&'a str>>,
    /// The pins of each job by operation.
    pins: Vec<BTreeMap<usize, Pinned>>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(problem: &'a Problem, deadline: Option<i64>) -> Self {
        let horizon = deadline.map_or(problem.horizon.get(), |d| d.min(problem.horizon.get()));
        let money = if problem.objective == Objective::Cost && deadline.is_none() { 1.0 } else { 0.0 };
        let mut pins = vec![BTreeMap::new(); problem.jobs.len()];
        for pin in &problem.pinned {
            pins[pin.option.job.get()].insert(pin.option.operation, *pin);
        }
        let cells = problem.cells.iter().map(|cell| CellData {
            time: WorkTime::new(&cell.windows, horizon),
            blocks: Vec::new(),
            has_momentary: false,
            setup_rate: money * cell.setup_rate.amount_per_minute(),
            levels: Vec::new(),
        });
        let shop = Shop {
            horizon,
            cells: cells.collect(),
            tasks: Vec::new(),
            links: Vec::new(),
            offers: Vec::new(),
            offer_links: Vec::new(),
            sunk: 0.0,
            keys: Rc::default(),
            hours: Rc::default(),
        };
        Self { problem, money, deadline, shop, keys: Vec::new(), repeated: Vec::new(), pins }
    }

    pub(super) fn build(mut self) -> Shop {
        self.count_keys();
        self.block_pinned_time();
        for job in 0..self.problem.jobs.len() {
            let task = self.task(job);
            self.shop.tasks.push(task);
        }
        self.link_families();
        self.link_offers();
        self.shop.hours = Rc::new(self.hours());
        self.shop.keys = Rc::new(self.keys);
        self.shop
    }

    /// The works that a schedule may contain: `(job, route, operation, option)`, pins respected.
    fn works(&self) -> impl Iterator<Item = (usize, usize, &'a CellWork)> + '_ {
        let jobs = self.problem.jobs.iter().enumerate();
        jobs.flat_map(move |(j, job)| self.open_routes(j, job).map(move |r| (j, r, &job.routes[r]))).flat_map(
            move |(j, r, route)| {
                let operations = route.operations.iter().enumerate();
                operations.flat_map(move |(k, operation)| {
                    let open = self.open_options(j, k, operation);
                    open.filter_map(move |o| operation.options[o].on_cell().map(|work| (j, r, work)))
                })
            },
        )
    }

    /// The job's routes, only the pinned one if there is one.
    fn open_routes(&self, j: usize, job: &'a Job) -> std::ops::Range<usize> {
        match self.pins[j].values().next() {
            Some(pin) => pin.option.route..pin.option.route + 1,
            None => 0..job.routes.len(),
        }
    }

    fn open_options(&self, j: usize, k: usize, operation: &Operation) -> std::ops::Range<usize> {
        match self.pins[j].get(&k) {
            Some(pin) => pin.option.option..pin.option.option + 1,
            None => 0..operation.options.len(),
        }
    }

    fn count_keys(&mut self) {
        let cells = self.problem.cells.len();
        let mut used: Vec<BTreeMap<&'a str, (usize, usize)>> = vec![BTreeMap::new(); cells];
        let mut repeated = vec![BTreeSet::new(); cells];
        // Two options of one operation count as a repetition too, which only weakens the bound.
        for (j, r, work) in self.works() {
            let (cell, key) = (work.cell.get(), work.setup_key.as_str());
            let seen = used[cell].insert(key, (j, r));
            if seen.is_some_and(|(job, route)| job != j || route == r) {
                repeated[cell].insert(key);
            }
        }
        self.repeated = repeated;
        let names = used.iter().map(|keys| keys.keys().copied().collect::<Vec<_>>());
        self.keys =
            self.problem.cells.iter().zip(names).map(|(cell, names)| Keys::new(cell, &names)).collect();
    }

    fn block_pinned_time(&mut self) {
        for pin in &self.problem.pinned {
            if let Some(work) = option_of(self.problem, pin).on_cell() {
                let cell = &mut self.shop.cells[work.cell.get()];
                let (a, b) = (cell.time.before(pin.setup_start.get()), cell.time.before(pin.end.get()));
                if pin.setup_start < pin.end {
                    // A block outside the cell's hours has no length, but nothing goes on across it.
                    cell.blocks.push((a, b));
                } else {
                    cell.has_momentary = true;
                }
            }
        }
        for cell in &mut self.shop.cells {
            cell.blocks.sort_unstable();
        }
    }

    fn task(&self, j: usize) -> Task {
        let job = &self.problem.jobs[j];
        let late = match self.problem.objective {
            _ if self.deadline.is_some() => 0.0,
            Objective::Cost => job.late_cost_per_day.amount() / 1440.0,
            Objective::Tardiness => job.late_cost_per_day.amount(),
            Objective::Makespan => 0.0,
        };
        let mut task = Task {
            due: job.due.get(),
            late,
            floor: f64::INFINITY,
            earliest_end: i64::MAX,
            ..Task::default()
        };
        for route in self.open_routes(j, job) {
            self.add_route(&mut task, j, route);
        }
        task
    }

    /// Adds a route unless it cannot be finished by the horizon.
    fn add_route(&self, task: &mut Task, j: usize, index: usize) {
        let job = &self.problem.jobs[j];
        let route = &job.routes[index];
        let shared = task.routes.last().map_or(0, |plan| shared_steps(job, plan.index, index));
        let mut steps: Vec<usize> =
            task.routes.last().map_or(Vec::new(), |plan| plan.steps[..shared].to_vec());
        let known = task.steps.len();
        let (mut ready, mut end) = (job.release.get(), None);
        for (k, operation) in route.operations.iter().enumerate() {
            let (mut step, step_end) = self.step(j, k, operation, ready);
            step.last = k + 1 == route.operations.len();
            end = step_end;
            let Some(done) = step_end else { break };
            ready = done + step.lag;
            if k >= shared {
                steps.push(task.steps.len());
                task.steps.push(step);
            }
        }
        let Some(end) = end else {
            task.steps.truncate(known);
            return;
        };
        task.earliest_end = task.earliest_end.min(end);
        let cost = self.money * route.cost.amount();
        let mut floor = cost;
        let mut tail = 0;
        for at in steps.iter().rev() {
            let step = &mut task.steps[*at];
            let shortest = step.choices.iter().map(|choice| choice.run).min().unwrap_or(0);
            let shortest = step.pinned.map_or(shortest, |(start, end)| end - start);
            tail += shortest + if step.last { 0 } else { step.lag };
            step.tail = step.tail.min(tail);
            floor += step.choices.iter().map(|choice| choice.money).fold(f64::INFINITY, f64::min);
        }
        task.floor = task.floor.min(floor);
        task.routes.push(RoutePlan { index, cost, steps, shared });
    }

    /// The step of an operation whose part is there at `ready`, and its earliest end, if it can
    /// end by the horizon at all.
    fn step(&self, j: usize, k: usize, operation: &Operation, ready: i64) -> (Step, Option<i64>) {
        let lag = operation.lag_after.count();
        let mut step = Step { choices: Vec::new(), lag, pinned: None, last: false, tail: i64::MAX };
        if let Some(pin) = self.pins[j].get(&k) {
            step.pinned = Some((pin.run_start.get(), pin.end.get()));
            step.choices.push(self.pinned_choice(pin));
            let in_time = ready <= pin.run_start.get() && pin.end.get() <= self.shop.horizon;
            return (step, in_time.then_some(pin.end.get()));
        }
        let mut earliest = None;
        for (index, option) in operation.options.iter().enumerate() {
            let Some((choice, end)) = self.choice(index, option, ready) else { continue };
            earliest = Some(earliest.map_or(end, |other: i64| other.min(end)));
            step.choices.push(choice);
        }
        (step, earliest)
    }

    fn pinned_choice(&self, pin: &Pinned) -> Choice {
        let option = option_of(self.problem, pin);
        let mut money = option.cost.amount();
        let (mut cell, mut key, mut needs) = (None, 0, Rc::<Needs>::default());
        if let Place::Cell(work) = &option.place {
            let data = &self.problem.cells[work.cell.get()];
            // Pinned work may lie beyond the horizon's clipped windows.
            let time = WorkTime::new(&data.windows, i64::MAX);
            let at = [pin.setup_start, pin.run_start, pin.end].map(|minute| time.before(minute.get()));
            money += data.run_rate.amount_per_minute() * (at[2] - at[1]) as f64;
            money += data.setup_rate.amount_per_minute() * (at[1] - at[0]) as f64;
            cell = Some(work.cell.get());
            key = self.keys[work.cell.get()].number(&work.setup_key).unwrap_or(0);
            let time = &self.shop.cells[work.cell.get()].time;
            let block = (time.before(pin.setup_start.get()), time.before(pin.end.get()));
            needs = self.needs(work, (pin.setup_start < pin.end).then_some(block));
        }
        Choice {
            index: pin.option.option,
            cell,
            key,
            run: option.run.count(),
            setup: 0,
            first: pin.run_start.get(),
            last: pin.run_start.get(),
            money: self.money * money,
            links: Vec::new(),
            offers: Vec::new(),
            needs,
        }
    }

    /// The option at `index` of an operation, and the earliest end of its run.
    fn choice(&self, index: usize, option: &Work, ready: i64) -> Option<(Choice, i64)> {
        let run = option.run.count();
        let mut choice = Choice {
            index,
            cell: None,
            key: 0,
            run,
            setup: 0,
            first: ready,
            last: self.shop.horizon - run,
            money: self.money * option.cost.amount(),
            links: Vec::new(),
            offers: Vec::new(),
            needs: Rc::default(),
        };
        let Place::Cell(work) = &option.place else {
            return (ready + run <= self.shop.horizon).then_some((choice, ready + run));
        };
        let data = &self.shop.cells[work.cell.get()];
        choice.cell = Some(work.cell.get());
        choice.needs = self.needs(work, None);
        choice.key = self.keys[work.cell.get()].number(&work.setup_key).unwrap_or(0);
        choice.setup = self.least_setup(work);
        let usable = data.time.before(choice.needs.usable);
        let earliest = data.time.before(ready).max(usable + choice.setup);
        choice.first = data.clear(earliest, choice.setup, run);
        choice.last = data.time.total() - run;
        if choice.first > choice.last {
            return None;
        }
        let rates = &self.problem.cells[work.cell.get()];
        choice.money += self.money * rates.run_rate.amount_per_minute() * run as f64;
        choice.money += data.setup_rate * choice.setup as f64;
        let end = data.time.over(choice.first + run);
        Some((choice, end))
    }

    fn least_setup(&self, work: &CellWork) -> i64 {
        let keys = &self.keys[work.cell.get()];
        let repeated = self.repeated[work.cell.get()].contains(work.setup_key.as_str());
        keys.number(&work.setup_key).map_or(0, |key| keys.least_entry(key, repeated))
    }
}

pub(super) fn option_of<'a>(problem: &'a Parts, pin: &Pinned) -> &'a Work {
    let at = pin.option;
    &problem.jobs[at.job.get()].routes[at.route].operations[at.operation].options[at.option]
}
/// First minute at which a tool can be used, bought or not.
pub(super) fn usable(problem: &Parts, tool: usize) -> i64 {
    match problem.tools[tool].availability {
        Availability::From(minute) => minute.get(),
        Availability::Offer { lead, .. } => lead.get(),
    }
}

/// How many first operations two routes have in common, where both go on after them or both end.
fn shared_steps(job: &Job, a: usize, b: usize) -> usize {
    let (a, b) = (&job.routes[a].operations, &job.routes[b].operations);
    let same = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    if same == a.len().min(b.len()) && a.len() != b.len() { same.saturating_sub(1) } else { same }
}
