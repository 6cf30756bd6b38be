//! From the problem to its flat form.

use super::alone;
use super::calendar::minute;
use super::{
    Calendar, Cell, Changeovers, Choice, Compiled, Crew, Heads, Job, NONE, Op, Pin, Route, Time, Tool,
};
use crate::Failure;
use elbowroom_problem::{
    Availability, CellWork, JobIdx, Objective, Operation, OptionIdx, Place, Problem, Work,
};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Money};
use std::collections::{BTreeMap, BTreeSet};

/// The problem, flat, or the proof that it cannot be solved.
pub(crate) fn compile(problem: &Problem) -> Result<Compiled, Failure> {
    let mut builder = Builder::new(problem);
    for job in 0..problem.jobs.len() {
        builder.job(JobIdx::new(job));
    }
    let mut compiled = builder.finish();
    alone::check_pins(problem, &compiled)?;
    alone::prune(problem, &mut compiled)?;
    Ok(compiled)
}

/// Where a pinned operation stands, by job, route and operation.
type Pins = BTreeMap<(usize, usize, usize), (usize, Pin)>;

struct Builder<'a> {
    problem: &'a Problem,
    pins: Pins,
    bought: BTreeSet<usize>,
    out: Compiled,
}

impl<'a> Builder<'a> {
    fn new(problem: &'a Problem) -> Self {
        let horizon = minute(problem.horizon.get());
        let mut out = Compiled {
            objective: problem.objective,
            horizon,
            calendars: Vec::new(),
            cells: Vec::new(),
            tools: Vec::new(),
            crews: Vec::new(),
            jobs: Vec::new(),
            routes: Vec::new(),
            ops: Vec::new(),
            options: Vec::new(),
            held: Vec::new(),
            slot_job: Vec::new(),
            most_tools: 1,
            overrun_rate: 1.0,
        };
        cells(problem, &mut out);
        let bought: BTreeSet<usize> = problem.committed_purchases.iter().map(|t| t.get()).collect();
        out.tools = (0..problem.tools.len()).map(|t| tool(problem, t, &bought)).collect();
        let slice_shift = slice_shift(problem);
        for crew in &problem.crews {
            let slices = (horizon >> slice_shift) as usize + 1;
            out.crews.push(Crew { heads: Heads::new(crew, horizon), slice_shift, slices });
        }
        Self { problem, pins: pins(problem), bought, out }
    }

    /// Money counts only where the objective is money.
    fn money(&self, amount: f64) -> f64 {
        if self.problem.objective == Objective::Cost { amount } else { 0.0 }
    }

    fn job(&mut self, at: JobIdx) {
        let job = self.problem.job(at);
        let weight = weight(self.problem.objective, job.late_cost_per_day);
        let pinned_route = self.pins.range((at.get(), 0, 0)..(at.get() + 1, 0, 0)).next().map(|(k, _)| k.1);
        let first_route = self.out.routes.len() as u32;
        let mut slots = 0;
        for number in 0..job.routes.len() {
            if pinned_route.is_none_or(|pinned| pinned == number) {
                slots = slots.max(job.routes[number].operations.len() as u32);
                self.route(at, number);
            }
        }
        let first_slot = self.out.slot_job.len() as u32;
        self.out.slot_job.extend((0..slots).map(|_| at.get() as u32));
        self.out.jobs.push(Job {
            release: minute(job.release.get()),
            due: job.due.get(),
            weight,
            routes: first_route..self.out.routes.len() as u32,
            first_slot,
        });
    }

    fn route(&mut self, job: JobIdx, number: usize) {
        let route = &self.problem.job(job).routes[number];
        let first = self.out.ops.len() as u32;
        for (k, operation) in route.operations.iter().enumerate() {
            let at = OptionIdx { job, route: number, operation: k, option: 0 };
            let op = self.operation(at, operation);
            self.out.ops.push(op);
        }
        let ops = first..self.out.ops.len() as u32;
        self.deadlines(ops.start as usize..ops.end as usize);
        let cost = self.money(route.cost.amount());
        self.out.routes.push(Route { cost, ops, number: number as u32 });
    }

    /// Work before pinned work must be over in time for it.
    fn deadlines(&mut self, ops: std::ops::Range<usize>) {
        for k in ops.start + 1..ops.end {
            if let Some(pin) = self.out.ops[k].pinned {
                let before = &mut self.out.ops[k - 1];
                before.deadline = before.deadline.min(pin.run_start.saturating_sub(before.lag));
            }
        }
    }

    fn operation(&mut self, at: OptionIdx, operation: &Operation) -> Op {
        let pin = self.pins.get(&(at.job.get(), at.route, at.operation)).copied();
        let first = self.out.options.len() as u32;
        for (number, work) in operation.options.iter().enumerate() {
            match pin {
                Some((chosen, _)) if chosen != number => {}
                _ => self.choice(number, work, pin.map(|(_, pin)| pin)),
            }
        }
        Op {
            lag: minute(operation.lag_after.count()),
            options: first..self.out.options.len() as u32,
            pinned: pin.map(|(_, pin)| pin),
            deadline: self.out.horizon,
        }
    }

    fn choice(&mut self, number: usize, work: &Work, pin: Option<Pin>) {
        let mut choice = Choice {
            cell: NONE,
            key: 0,
            run: minute(work.run.count()),
            cost: self.money(work.cost.amount()),
            tools: 0..0,
            usable: 0,
            setup_crew: NONE,
            run_crew: NONE,
            number: number as u32,
        };
        if let Place::Cell(on) = &work.place {
            self.on_cell(&mut choice, on, pin);
        }
        self.out.options.push(choice);
    }

    fn on_cell(&mut self, choice: &mut Choice, on: &CellWork, pin: Option<Pin>) {
        let cell = self.problem.cell(on.cell);
        choice.cell = on.cell.get() as u32;
        choice.key = self.out.cells[on.cell.get()].change.number(&on.setup_key);
        if let Some(pin) = pin {
            let calendar = self.out.calendar(choice.cell);
            choice.run = calendar.work(pin.end) - calendar.work(pin.run_start);
            let setup = calendar.work(pin.run_start) - calendar.work(pin.start);
            choice.cost += self.money(cell.setup_rate.amount_per_minute() * f64::from(setup));
        }
        choice.cost += self.money(cell.run_rate.amount_per_minute() * f64::from(choice.run));
        let first = self.out.held.len() as u32;
        self.out.held.extend(on.tools.iter().map(|t| t.get() as u32));
        choice.tools = first..self.out.held.len() as u32;
        self.out.most_tools = self.out.most_tools.max(on.tools.len());
        choice.usable = on.tools.iter().map(|t| usable(self.problem, t.get())).max().unwrap_or(0);
        choice.setup_crew = on.setup_crew.map_or(NONE, |c| c.get() as u32);
        choice.run_crew = on.run_crew.map_or(NONE, |c| c.get() as u32);
    }

    fn finish(mut self) -> Compiled {
        debug_assert!(self.bought.iter().all(|&t| !self.out.tools[t].to_buy));
        for (&(job, route, operation), &(_, pin)) in &self.pins {
            let flat = &self.out.jobs[job];
            let slot = flat.first_slot + operation as u32;
            let only = flat.routes.start;
            debug_assert_eq!(self.out.routes[only as usize].number as usize, route);
            let option = self.out.op(only, operation as u32).options.start as usize;
            let cell = self.out.options[option].cell;
            if cell == NONE {
                continue;
            }
            let cell = &mut self.out.cells[cell as usize];
            cell.pins.push(slot);
            cell.pinned_until = cell.pinned_until.max(pin.end);
            let tools = self.out.options[option].tools.clone();
            for held in tools {
                let tool = &mut self.out.tools[self.out.held[held as usize] as usize];
                tool.pins.push(slot);
                tool.pinned_until = tool.pinned_until.max(pin.end);
            }
        }
        self.sort_pins();
        self.out.weigh_overrun();
        self.out
    }

    fn sort_pins(&mut self) {
        let times: BTreeMap<u32, (Time, Time)> = self
            .pins
            .iter()
            .map(|(&(job, _, k), (_, pin))| (self.out.jobs[job].first_slot + k as u32, (pin.start, pin.end)))
            .collect();
        for cell in &mut self.out.cells {
            cell.pins.sort_by_key(|slot| (times[slot], *slot));
        }
        for tool in &mut self.out.tools {
            tool.pins.sort_by_key(|slot| (times[slot], *slot));
        }
    }
}

fn cells(problem: &Problem, out: &mut Compiled) {
    let mut wanted: Vec<BTreeSet<String>> = vec![BTreeSet::new(); problem.cells.len()];
    let works =
        problem.jobs.iter().flat_map(|j| &j.routes).flat_map(|r| &r.operations).flat_map(|o| &o.options);
    for on in works.filter_map(Work::on_cell) {
        if !wanted[on.cell.get()].contains(&on.setup_key) {
            wanted[on.cell.get()].insert(on.setup_key.clone());
        }
    }
    let mut known: BTreeMap<Vec<(Minute, Minute)>, u32> = BTreeMap::new();
    for (cell, keys) in problem.cells.iter().zip(wanted) {
        let shape = cell.windows.iter().map(|w| (w.start, w.end)).collect();
        let calendar = *known.entry(shape).or_insert_with(|| {
            out.calendars.push(Calendar::new(&cell.windows, out.horizon));
            out.calendars.len() as u32 - 1
        });
        let change = Changeovers::new(cell, keys.into_iter());
        let initial =
            cell.initial_setup.as_ref().map_or(super::changeover::NOTHING, |key| change.number(key));
        let rate = cell.setup_rate.amount_per_minute();
        let setup_rate = if problem.objective == Objective::Cost { rate } else { 0.0 };
        out.cells.push(Cell { calendar, change, initial, setup_rate, pins: Vec::new(), pinned_until: 0 });
    }
}

fn usable(problem: &Problem, tool: usize) -> Time {
    match problem.tools[tool].availability {
        Availability::From(at) | Availability::Offer { lead: at, .. } => minute(at.get()),
    }
}

fn tool(problem: &Problem, number: usize, committed: &BTreeSet<usize>) -> Tool {
    let tool = &problem.tools[number];
    let price = match tool.availability {
        Availability::Offer { price, .. } if !committed.contains(&number) => Some(price.amount()),
        _ => None,
    };
    let counts = problem.objective == Objective::Cost;
    Tool {
        count: tool.count,
        price: price.filter(|_| counts).unwrap_or(0.0),
        to_buy: price.is_some(),
        pins: Vec::new(),
        pinned_until: 0,
    }
}

fn pins(problem: &Problem) -> Pins {
    problem
        .pinned
        .iter()
        .map(|p| {
            let pin = Pin {
                start: minute(p.setup_start.get()),
                run_start: minute(p.run_start.get()),
                end: minute(p.end.get()),
            };
            let at = p.option;
            ((at.job.get(), at.route, at.operation), (at.option, pin))
        })
        .collect()
}

/// A crew's book has slices about as long as four uses of the crew, and at most 4,096 of them.
fn slice_shift(problem: &Problem) -> u32 {
    let horizon = minute(problem.horizon.get());
    let works =
        problem.jobs.iter().flat_map(|j| &j.routes).flat_map(|r| &r.operations).flat_map(|o| &o.options);
    let (mut minutes, mut uses) = (0, 0);
    for work in works {
        if work.on_cell().is_some_and(|on| on.run_crew.is_some()) {
            minutes += work.run.count();
            uses += 1;
        }
    }
    let usual = if uses == 0 { 256 } else { minutes / uses };
    let wanted = (4 * usual).clamp(16, 1024) as Time;
    (0..31).find(|&s| 1 << s >= wanted && horizon >> s <= 4096).unwrap_or(31)
}

/// Objective for each minute of lateness.
fn weight(objective: Objective, late_cost_per_day: Money) -> f64 {
    let per_day = late_cost_per_day.amount();
    match objective {
        Objective::Cost => per_day / MINUTES_PER_DAY as f64,
        Objective::Makespan => 0.0,
        Objective::Tardiness => per_day,
    }
}

impl Compiled {
    /// Other terms for a job; [`Self::weigh_overrun`] when all are set.
    pub(crate) fn set_terms(&mut self, job: usize, due: Minute, late_cost_per_day: Money) {
        self.jobs[job].due = due.get();
        self.jobs[job].weight = weight(self.objective, late_cost_per_day);
    }

    /// Makes overrun dearer than any lateness that a minute of it could save.
    pub(crate) fn weigh_overrun(&mut self) {
        let weights: f64 = self.jobs.iter().map(|j| j.weight).fold(0.0, f64::max);
        let rates: f64 = self.cells.iter().map(|c| c.setup_rate).fold(0.0, f64::max);
        self.overrun_rate = 20.0 * (weights + rates) + 10.0;
    }
}
