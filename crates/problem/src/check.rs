//! Whether the parts of a problem fit together.

use crate::index::{CellIdx, CrewIdx, OptionIdx, ToolIdx};
use crate::model::{Availability, Cell, CellWork, Job, Objective, Operation, Parts, Place, Work};
use elbowroom_units::{Minute, Minutes};
use std::collections::HashSet;
use std::fmt;

/// The latest moment and the longest time that a problem may name: some 2,000 years. Sums of as
/// many of them as memory can hold stay inside 64 bits.
pub const MAX_MINUTE: i64 = 1 << 30;

/// One thing that is wrong with a problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where, as in the file: `jobs[3].routes[0]`.
    pub place: String,
    /// What is wrong, with the value found and what was expected.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.what)
    }
}

/// Whether a length of time is within what a problem may name.
fn is_length(time: Minutes, least: i64) -> bool {
    (least..=MAX_MINUTE).contains(&time.count())
}

/// Every fault of the parts, in the order of the contract.
pub(crate) fn faults(parts: &Parts) -> Vec<Fault> {
    let mut check = Check { parts, found: Vec::new() };
    check.whole();
    check.found
}

struct Check<'a> {
    parts: &'a Parts,
    found: Vec<Fault>,
}

impl<'a> Check<'a> {
    fn add(&mut self, place: impl Into<String>, what: impl Into<String>) {
        self.found.push(Fault { place: place.into(), what: what.into() });
    }

    fn whole(&mut self) {
        let parts = self.parts;
        let horizon = parts.horizon.get();
        if !(1..=MAX_MINUTE).contains(&horizon) {
            self.add("horizon", format!("is {horizon}, must be from 1 to {MAX_MINUTE}"));
        }
        if parts.jobs.is_empty() {
            self.add("jobs", "is empty; a problem has at least one job");
        }
        self.unique("cells", parts.cells.iter().map(|c| c.id.as_str()));
        self.unique("tools", parts.tools.iter().map(|t| t.id.as_str()));
        self.unique("crews", parts.crews.iter().map(|c| c.id.as_str()));
        self.unique("jobs", parts.jobs.iter().map(|j| j.id.as_str()));
        for (i, cell) in parts.cells.iter().enumerate() {
            self.cell(&format!("cells[{i}]"), cell);
        }
        self.tools();
        self.crews();
        for (i, job) in parts.jobs.iter().enumerate() {
            self.job(&format!("jobs[{i}]"), job);
        }
        self.commitments();
        if self.found.is_empty() {
            self.pins();
        }
    }

    fn unique<'s>(&mut self, place: &str, ids: impl Iterator<Item = &'s str>) {
        let mut seen = HashSet::new();
        for id in ids {
            if id.is_empty() {
                self.add(place, "an id is empty");
            } else if !seen.insert(id) {
                self.add(place, format!("`{id}` appears twice"));
            }
        }
    }

    fn moment(&mut self, place: &str, name: &str, minute: Minute) {
        if !(0..=MAX_MINUTE).contains(&minute.get()) {
            self.add(place, format!("{name} is {}, must be from 0 to {MAX_MINUTE}", minute.get()));
        }
    }

    fn length(&mut self, place: &str, name: &str, time: Minutes, least: i64) {
        if !is_length(time, least) {
            self.add(place, format!("{name} is {}, must be from {least} to {MAX_MINUTE}", time.count()));
        }
    }

    fn money(&mut self, place: &str, name: &str, amount: f64) {
        if !(0.0..=1e15).contains(&amount) {
            self.add(place, format!("{name} is {amount}, must be from 0 to 1e15"));
        }
    }

    fn cell(&mut self, place: &str, cell: &Cell) {
        let mut before = None;
        for (i, window) in cell.windows.iter().enumerate() {
            let here = format!("{place}.windows[{i}]");
            self.interval(&here, window.start, window.end);
            if before.is_some_and(|end| window.start <= end) {
                self.add(here, "must come after the interval before it, not touching it");
            }
            before = Some(window.end);
        }
        self.money(place, "run_rate", cell.run_rate.amount_per_minute());
        self.money(place, "setup_rate", cell.setup_rate.amount_per_minute());
        if cell.initial_setup.as_deref() == Some("") {
            self.add(place, "initial_setup is empty; leave it out where nothing is mounted");
        }
        if let Some(changeover) = &cell.changeover {
            let here = format!("{place}.changeover");
            self.length(&here, "default", changeover.default, 0);
            self.length(&here, "same", changeover.same, 0);
            for (i, (_, _, minutes)) in changeover.pairs.iter().enumerate() {
                // Thousands of places would be spelt out for nothing.
                if !is_length(*minutes, 0) {
                    self.length(&format!("{here}.pairs[{i}]"), "minutes", *minutes, 0);
                }
            }
        }
    }

    fn interval(&mut self, place: &str, start: Minute, end: Minute) {
        if start.get() < 0 || end <= start || end.get() > MAX_MINUTE {
            self.add(
                place,
                format!("is [{}, {}], must satisfy 0 <= start < end <= {MAX_MINUTE}", start.get(), end.get()),
            );
        }
    }

    fn tools(&mut self) {
        let parts = self.parts;
        for (i, tool) in parts.tools.iter().enumerate() {
            let place = format!("tools[{i}]");
            if tool.count == 0 {
                self.add(&place, "count is 0, must be at least 1");
            }
            match tool.availability {
                Availability::From(minute) => self.moment(&place, "available_from", minute),
                Availability::Offer { price, lead } => {
                    self.money(&place, "offer.price", price.amount());
                    self.moment(&place, "offer.lead", lead);
                }
            }
        }
    }

    fn crews(&mut self) {
        let parts = self.parts;
        for (i, crew) in parts.crews.iter().enumerate() {
            let mut before = None;
            for (k, part) in crew.capacity.iter().enumerate() {
                let here = format!("crews[{i}].capacity[{k}]");
                self.interval(&here, part.window.start, part.window.end);
                if before.is_some_and(|end| part.window.start < end) {
                    self.add(here, "must come after the interval before it");
                }
                before = Some(part.window.end);
            }
        }
    }

    fn job(&mut self, place: &str, job: &Job) {
        self.moment(place, "release", job.release);
        if job.due.get().abs() > MAX_MINUTE {
            self.add(place, format!("due is {}, must be within {MAX_MINUTE} of 0", job.due.get()));
        }
        let weight = job.late_cost_per_day.amount();
        self.money(place, "late_cost_per_day", weight);
        if self.parts.objective == Objective::Tardiness && weight.fract() != 0.0 {
            self.add(place, format!("late_cost_per_day is {weight}, must be an integer weight"));
        }
        if job.routes.is_empty() {
            self.add(place, "routes is empty; a job has at least one");
        }
        self.unique(&format!("{place}.routes"), job.routes.iter().map(|r| r.id.as_str()));
        for (i, route) in job.routes.iter().enumerate() {
            let here = format!("{place}.routes[{i}]");
            self.money(&here, "cost", route.cost.amount());
            if route.operations.is_empty() {
                self.add(&here, "operations is empty; a route has at least one");
            }
            self.unique(&format!("{here}.operations"), route.operations.iter().map(|o| o.id.as_str()));
            for (k, operation) in route.operations.iter().enumerate() {
                self.operation(&format!("{here}.operations[{k}]"), operation);
            }
        }
    }

    fn operation(&mut self, place: &str, operation: &Operation) {
        self.length(place, "lag_after", operation.lag_after, 0);
        if operation.options.is_empty() {
            self.add(place, "options is empty; an operation has at least one");
        }
        for (i, option) in operation.options.iter().enumerate() {
            self.option(&format!("{place}.options[{i}]"), option);
        }
    }

    fn option(&mut self, place: &str, option: &Work) {
        self.money(place, "cost", option.cost.amount());
        match &option.place {
            Place::Outside => self.length(place, "run", option.run, 0),
            Place::Cell(work) => {
                self.length(place, "run", option.run, 1);
                self.cell_work(place, work);
            }
        }
    }

    fn cell_work(&mut self, place: &str, work: &CellWork) {
        let CellWork { cell, setup_key, tools, setup_crew, run_crew } = work;
        if !self.known_cell(*cell) {
            self.add(place, format!("cell {} does not exist", cell.get()));
        }
        if setup_key.is_empty() {
            self.add(place, "setup_key is empty; an option on a cell has one");
        }
        let mut seen = HashSet::new();
        for tool in tools {
            if !self.known_tool(*tool) {
                self.add(place, format!("tool {} does not exist", tool.get()));
            } else if !seen.insert(*tool) {
                self.add(place, format!("tool `{}` appears twice", self.parts.tools[tool.get()].id));
            }
        }
        for crew in [setup_crew, run_crew].into_iter().flatten() {
            if !self.known_crew(*crew) {
                self.add(place, format!("crew {} does not exist", crew.get()));
            }
        }
    }

    fn known_cell(&self, cell: CellIdx) -> bool {
        cell.get() < self.parts.cells.len()
    }

    fn known_tool(&self, tool: ToolIdx) -> bool {
        tool.get() < self.parts.tools.len()
    }

    fn known_crew(&self, crew: CrewIdx) -> bool {
        crew.get() < self.parts.crews.len()
    }

    fn commitments(&mut self) {
        let parts = self.parts;
        let mut seen = HashSet::new();
        for tool in &parts.committed_purchases {
            let place = "committed_purchases";
            if !self.known_tool(*tool) {
                self.add(place, format!("tool {} does not exist", tool.get()));
                continue;
            }
            let found = &parts.tools[tool.get()];
            if matches!(found.availability, Availability::From(_)) {
                self.add(place, format!("tool `{}` has no offer", found.id));
            }
            if !seen.insert(*tool) {
                self.add(place, format!("`{}` appears twice", found.id));
            }
        }
    }

    /// Pinned work names real work, once, on one route of its job.
    fn pins(&mut self) {
        let parts = self.parts;
        let mut route_of = vec![None; parts.jobs.len()];
        let mut seen = HashSet::new();
        for (i, pin) in parts.pinned.iter().enumerate() {
            let place = format!("pinned[{i}]");
            let Some(id) = self.pinned_job(pin.option) else {
                self.add(place, "names an option that does not exist");
                continue;
            };
            for (name, minute) in
                [("setup_start", pin.setup_start), ("run_start", pin.run_start), ("end", pin.end)]
            {
                self.moment(&place, name, minute);
            }
            if !(pin.setup_start <= pin.run_start && pin.run_start <= pin.end) {
                self.add(&place, "must satisfy setup_start <= run_start <= end");
            }
            let at = pin.option;
            if *route_of[at.job.get()].get_or_insert(at.route) != at.route {
                self.add(&place, format!("job `{id}` is pinned on two routes"));
            }
            if !seen.insert((at.job, at.operation)) {
                self.add(&place, format!("an operation of job `{id}` is pinned twice"));
            }
        }
    }

    fn pinned_job(&self, at: OptionIdx) -> Option<&'a str> {
        let job = self.parts.jobs.get(at.job.get())?;
        let operation = job.routes.get(at.route)?.operations.get(at.operation)?;
        operation.options.get(at.option)?;
        Some(&job.id)
    }
}
