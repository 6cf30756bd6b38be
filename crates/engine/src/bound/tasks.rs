//! The problem as the relaxation needs it: per job the steps of its routes, per cell the working
//! time, the pinned blocks and the setup families.

use super::axis::WorkTime;
use super::changeover::{Keys, Level};
use elbowroom_problem::{
    Availability, CellWork, Job, Objective, Operation, Parts, Pinned, Place, Problem, Work,
};
use std::collections::{BTreeMap, BTreeSet};

/// The whole problem, made ready.
#[derive(Clone, Debug)]
pub(crate) struct Shop {
    /// No work ends after this minute.
    pub(crate) horizon: i64,
    /// As in the problem.
    pub(crate) cells: Vec<CellData>,
    /// As in the problem.
    pub(crate) tasks: Vec<Task>,
    /// One for each operation, cell and family level where two operations can share a setup.
    pub(crate) links: Vec<Link>,
    /// Offers that nobody has ordered yet.
    pub(crate) offers: Vec<Offer>,
    /// The offer of each [`Choice::offers`] entry.
    pub(crate) offer_links: Vec<usize>,
    /// Prices of the offers that are taken whatever happens.
    pub(crate) sunk: f64,
}

/// One cell.
#[derive(Clone, Debug)]
pub(crate) struct CellData {
    pub(crate) time: WorkTime,
    /// Positions `[a, b)` of working time that pinned work holds; not empty, sorted.
    pub(crate) blocks: Vec<(i64, i64)>,
    /// Money for a minute of changing over, zero where the objective is not money.
    pub(crate) setup_rate: f64,
    /// Setup families by level; levels without families to share are left out.
    pub(crate) levels: Vec<FamilyLevel>,
}

/// Families of setup keys at one level, those that several operations can share.
#[derive(Clone, Debug)]
pub(crate) struct FamilyLevel {
    /// Minutes that entering each family costs beyond the levels below and the least entries.
    pub(crate) extra: Vec<i64>,
    /// Setups that end with a run at position `w` lie within this many minutes before it.
    pub(crate) reach: i64,
    /// The family mounted at minute 0, if it is one of these.
    pub(crate) initial: Option<usize>,
    /// Families that pinned work mounts for nothing: family, first and last position.
    pub(crate) pinned: Vec<(usize, i64, i64)>,
}

/// Says that an operation running on a cell needs its family mounted.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub(crate) cell: usize,
    pub(crate) level: usize,
    pub(crate) family: usize,
}

/// A tool that can be bought.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offer {
    pub(crate) tool: usize,
    pub(crate) price: f64,
}

/// One job.
#[derive(Clone, Debug, Default)]
pub(crate) struct Task {
    pub(crate) due: i64,
    /// Objective per minute of lateness.
    pub(crate) late: f64,
    pub(crate) steps: Vec<Step>,
    /// The routes that can be finished at all.
    pub(crate) routes: Vec<RoutePlan>,
    /// No way of making the job costs less, lateness and prices left out.
    pub(crate) floor: f64,
    /// It ends no earlier in any schedule.
    pub(crate) earliest_end: i64,
}

/// One route of a job.
#[derive(Clone, Debug)]
pub(crate) struct RoutePlan {
    /// Position in the job's routes.
    pub(crate) index: usize,
    pub(crate) cost: f64,
    /// Positions in [`Task::steps`].
    pub(crate) steps: Vec<usize>,
    /// So many first steps are the very ones of the plan before.
    pub(crate) shared: usize,
}

/// One operation of one or several routes.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    pub(crate) choices: Vec<Choice>,
    pub(crate) lag: i64,
    /// Run start and end of pinned work.
    pub(crate) pinned: Option<(i64, i64)>,
    pub(crate) last: bool,
    /// From its run's start to the job's end it takes at least this, in minutes of the clock.
    pub(crate) tail: i64,
}

/// One option of an operation.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    /// Position in the operation's options.
    pub(crate) index: usize,
    /// `None` outside.
    pub(crate) cell: Option<usize>,
    pub(crate) run: i64,
    /// Least setup minutes, whatever comes before.
    pub(crate) setup: i64,
    /// The run starts no earlier: a position on the cell, a minute outside.
    pub(crate) first: i64,
    /// The run starts no later, in the same measure; before `first` if the choice is ruled out.
    pub(crate) last: i64,
    /// Route costs left out.
    pub(crate) money: f64,
    /// Positions in [`Shop::links`].
    pub(crate) links: Vec<usize>,
    /// Positions in [`Shop::offer_links`].
    pub(crate) offers: Vec<usize>,
}

impl CellData {
    /// The least position at or after `position` at which a run of `run` minutes with `setup`
    /// minutes just before it does not meet pinned work; it may lie beyond the working time.
    pub(crate) fn clear(&self, position: i64, setup: i64, run: i64) -> i64 {
        let mut at = position.max(setup);
        for (a, b) in &self.blocks {
            if at - setup < *b && at + run > *a {
                at = b + setup;
            }
        }
        at
    }
}

impl Shop {
    /// Makes `problem` ready. With a `deadline`, all work has to end by then and nothing costs
    /// anything: what remains is whether it can be done.
    pub(crate) fn new(problem: &Problem, deadline: Option<i64>) -> Self {
        Builder::new(problem, deadline).build()
    }
}

struct Builder<'a> {
    problem: &'a Parts,
    /// 1 where money counts, else 0.
    money: f64,
    deadline: Option<i64>,
    shop: Shop,
    keys: Vec<Keys>,
    /// Setup keys that two operations of a schedule can bring to a cell.
    repeated: Vec<BTreeSet<&'a str>>,
    /// The pins of each job by operation.
    pins: Vec<BTreeMap<usize, Pinned>>,
}

impl<'a> Builder<'a> {
    fn new(problem: &'a Problem, deadline: Option<i64>) -> Self {
        let horizon = deadline.map_or(problem.horizon.get(), |d| d.min(problem.horizon.get()));
        let money = if problem.objective == Objective::Cost && deadline.is_none() { 1.0 } else { 0.0 };
        let mut pins = vec![BTreeMap::new(); problem.jobs.len()];
        for pin in &problem.pinned {
            pins[pin.option.job.get()].insert(pin.option.operation, *pin);
        }
        let cells = problem.cells.iter().map(|cell| CellData {
            time: WorkTime::new(&cell.windows, horizon),
            blocks: Vec::new(),
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
        };
        Self { problem, money, deadline, shop, keys: Vec::new(), repeated: Vec::new(), pins }
    }

    fn build(mut self) -> Shop {
        self.count_keys();
        self.block_pinned_time();
        for job in 0..self.problem.jobs.len() {
            let task = self.task(job);
            self.shop.tasks.push(task);
        }
        self.link_families();
        self.link_offers();
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
                if a < b {
                    cell.blocks.push((a, b));
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
        let mut cell = None;
        if let Place::Cell(work) = &option.place {
            let data = &self.problem.cells[work.cell.get()];
            // Pinned work may lie beyond the horizon's clipped windows.
            let time = WorkTime::new(&data.windows, i64::MAX);
            let at = [pin.setup_start, pin.run_start, pin.end].map(|minute| time.before(minute.get()));
            money += data.run_rate.amount_per_minute() * (at[2] - at[1]) as f64;
            money += data.setup_rate.amount_per_minute() * (at[1] - at[0]) as f64;
            cell = Some(work.cell.get());
        }
        Choice {
            index: pin.option.option,
            cell,
            run: option.run.count(),
            setup: 0,
            first: pin.run_start.get(),
            last: pin.run_start.get(),
            money: self.money * money,
            links: Vec::new(),
            offers: Vec::new(),
        }
    }

    /// The option at `index` of an operation, and the earliest end of its run.
    fn choice(&self, index: usize, option: &Work, ready: i64) -> Option<(Choice, i64)> {
        let run = option.run.count();
        let mut choice = Choice {
            index,
            cell: None,
            run,
            setup: 0,
            first: ready,
            last: self.shop.horizon - run,
            money: self.money * option.cost.amount(),
            links: Vec::new(),
            offers: Vec::new(),
        };
        let Place::Cell(work) = &option.place else {
            return (ready + run <= self.shop.horizon).then_some((choice, ready + run));
        };
        let data = &self.shop.cells[work.cell.get()];
        choice.cell = Some(work.cell.get());
        choice.setup = self.least_setup(work);
        let usable = work.tools.iter().map(|tool| usable(self.problem, tool.get())).max().unwrap_or(0);
        let earliest = data.time.before(ready).max(data.time.before(usable) + choice.setup);
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

    /// Links each operation to the setup families that it shares with others.
    fn link_families(&mut self) {
        let levels: Vec<Vec<Level>> = self.keys.iter().map(Keys::levels).collect();
        for (cell, levels) in levels.iter().enumerate() {
            for level in levels {
                self.link_level(cell, level, levels);
            }
        }
    }

    fn link_level(&mut self, cell: usize, level: &Level, all: &[Level]) {
        let uses = self.uses(cell, level);
        // What the least entries charge already must not be charged again.
        let mut charged: BTreeMap<usize, (i64, BTreeSet<(usize, usize)>)> = BTreeMap::new();
        for used in &uses {
            let entry = charged.entry(used.family).or_insert((level.below, BTreeSet::new()));
            entry.0 = entry.0.max(used.setup);
            entry.1.insert((used.job, used.turn));
        }
        charged.retain(|_, (below, members)| *below < level.minutes && members.len() > 1);
        if charged.is_empty() {
            return;
        }
        let number: BTreeMap<usize, usize> = charged.keys().enumerate().map(|(i, f)| (*f, i)).collect();
        let longest = all.iter().map(|level| level.minutes).chain(uses.iter().map(|used| used.setup)).max();
        let family = FamilyLevel {
            extra: charged.values().map(|(below, _)| level.minutes - below).collect(),
            reach: longest.unwrap_or(0),
            initial: level.family.last().and_then(|family| number.get(family)).copied(),
            pinned: self.pinned_families(cell, level, &number),
        };
        let at = self.shop.cells[cell].levels.len();
        self.shop.cells[cell].levels.push(family);
        let mut known: BTreeMap<(usize, usize, usize), usize> = BTreeMap::new();
        for used in uses {
            let Some(family) = number.get(&used.family).copied() else { continue };
            let links = &mut self.shop.links;
            let link = *known.entry((used.job, used.turn, family)).or_insert_with(|| {
                links.push(Link { cell, level: at, family });
                links.len() - 1
            });
            self.shop.tasks[used.job].steps[used.step].choices[used.choice].links.push(link);
        }
    }

    /// Every choice on `cell` that is not pinned, with its family at `level`.
    fn uses(&self, cell: usize, level: &Level) -> Vec<Use> {
        let mut out = Vec::new();
        for (j, task) in self.shop.tasks.iter().enumerate() {
            let mut seen = BTreeSet::new();
            for plan in &task.routes {
                let mut turns: BTreeMap<usize, usize> = BTreeMap::new();
                for (k, step) in plan.steps.iter().enumerate() {
                    let families = self.families_of(j, plan.index, k, *step, cell, level);
                    let distinct: BTreeSet<usize> = families.iter().map(|(_, family)| *family).collect();
                    for (choice, family) in families {
                        let turn = turns.get(&family).copied().unwrap_or(0);
                        let setup = task.steps[*step].choices[choice].setup;
                        if seen.insert((*step, choice)) {
                            out.push(Use { job: j, turn, step: *step, choice, family, setup });
                        }
                    }
                    for family in distinct {
                        *turns.entry(family).or_insert(0) += 1;
                    }
                }
            }
        }
        out
    }

    fn families_of(
        &self,
        j: usize,
        route: usize,
        k: usize,
        step: usize,
        cell: usize,
        level: &Level,
    ) -> Vec<(usize, usize)> {
        let step = &self.shop.tasks[j].steps[step];
        if step.pinned.is_some() {
            return Vec::new();
        }
        let options = &self.problem.jobs[j].routes[route].operations[k].options;
        let here = step.choices.iter().enumerate().filter(|(_, choice)| choice.cell == Some(cell));
        here.filter_map(|(at, choice)| {
            let key = &options[choice.index].on_cell()?.setup_key;
            Some((at, level.family[self.keys[cell].number(key)?]))
        })
        .collect()
    }

    fn pinned_families(
        &self,
        cell: usize,
        level: &Level,
        number: &BTreeMap<usize, usize>,
    ) -> Vec<(usize, i64, i64)> {
        let time = &self.shop.cells[cell].time;
        let pins = self.problem.pinned.iter().filter_map(|pin| {
            let work = option_of(self.problem, pin).on_cell().filter(|work| work.cell.get() == cell)?;
            let family = number.get(&level.family[self.keys[cell].number(&work.setup_key)?])?;
            Some((*family, time.before(pin.setup_start.get()), time.before(pin.end.get())))
        });
        pins.collect()
    }

    /// Links each choice to the offers that it needs bought.
    fn link_offers(&mut self) {
        let committed: BTreeSet<usize> = self.problem.committed_purchases.iter().map(|t| t.get()).collect();
        for (tool, data) in self.problem.tools.iter().enumerate() {
            let Availability::Offer { price, .. } = data.availability else { continue };
            if !committed.contains(&tool) {
                let offer = self.shop.offers.len();
                self.shop.offers.push(Offer { tool, price: self.money * price.amount() });
                self.link_offer(offer, tool);
            }
        }
    }

    fn link_offer(&mut self, offer: usize, tool: usize) {
        for (j, job) in self.problem.jobs.iter().enumerate() {
            let mut links: Vec<usize> = Vec::new();
            let mut seen = BTreeSet::new();
            for at in 0..self.shop.tasks[j].routes.len() {
                let plan = self.shop.tasks[j].routes[at].clone();
                let mut turn = 0;
                for (k, step) in plan.steps.iter().enumerate() {
                    let options = &job.routes[plan.index].operations[k].options;
                    let step_data = &mut self.shop.tasks[j].steps[*step];
                    if step_data.pinned.is_some() || !options.iter().any(|option| needs(option, tool)) {
                        continue;
                    }
                    if turn == links.len() {
                        links.push(self.shop.offer_links.len());
                        self.shop.offer_links.push(offer);
                    }
                    for choice in &mut step_data.choices {
                        if needs(&options[choice.index], tool) && seen.insert((*step, choice.index)) {
                            choice.offers.push(links[turn]);
                        }
                    }
                    turn += 1;
                }
            }
        }
    }
}

/// One choice and the family that its key belongs to. Choices of one `job` with the same `turn`
/// are never in one schedule together, so that they may share a link.
struct Use {
    job: usize,
    turn: usize,
    step: usize,
    choice: usize,
    family: usize,
    setup: i64,
}

fn option_of<'a>(problem: &'a Parts, pin: &Pinned) -> &'a Work {
    let at = pin.option;
    &problem.jobs[at.job.get()].routes[at.route].operations[at.operation].options[at.option]
}

fn needs(option: &Work, tool: usize) -> bool {
    option.on_cell().is_some_and(|work| work.tools.iter().any(|t| t.get() == tool))
}

/// First minute at which a tool can be used, bought or not.
fn usable(problem: &Parts, tool: usize) -> i64 {
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
