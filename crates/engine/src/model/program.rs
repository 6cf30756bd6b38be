//! The program itself: one column for each job, shared time, heads and purchases.

use super::pool::{Pool, legs};
use crate::bound::tasks::{CellData, Shop, Task};
use crate::bound::way::Way;
use crate::watch::{Watch, over};
use elbowroom_problem::{CellWork, Problem};
use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, variable, variables,
};
use std::collections::BTreeMap;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

/// Width of a time bucket: working minutes of a cell, minutes of the clock for crews.
const BUCKET: i64 = 1_440;
/// A horizon of years has wider buckets: more of them than this take the solver too long to get ready for.
const MOST_BUCKETS: i64 = 1_000;
/// The program stops at this gap; its columns are not finer.
const GAP: f64 = 0.01;
/// Share of the remaining time that the solver is told; it overruns what it is told.
const SOLVER_SHARE: f64 = 0.7;
/// Nodes of the search tree, so that the answer seldom depends on the clock.
const NODES: i32 = 200;
/// How often to look whether somebody wants to stop.
const LOOK: Duration = Duration::from_millis(20);

/// A shared resource in one bucket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Shared {
    Cell(usize, i64),
    Crew(usize, i64),
}

/// The program in plain numbers: columns by job, rows by resource.
struct Program {
    /// Cost of each column, by job.
    cost: Vec<Vec<f64>>,
    /// Minutes that a column takes: resource, job, column, minutes.
    load: BTreeMap<Shared, Vec<(usize, usize, f64)>>,
    capacity: BTreeMap<Shared, f64>,
    price: Vec<f64>,
    /// Columns that use each offer, by job.
    users: Vec<BTreeMap<usize, Vec<usize>>>,
    /// Money for a minute of overload.
    overload: f64,
    /// Width of a time bucket.
    bucket: i64,
}

/// The chosen column of each job; `None` if there is no answer in time.
///
/// The solver cannot be interrupted from outside, so it works in a thread of its own that ends by
/// its time limit even where nobody waits for it any more.
pub(super) fn choose(
    problem: &Problem,
    shop: &Shop,
    pool: &Pool,
    watch: &dyn Watch,
    until: Duration,
) -> Option<Vec<usize>> {
    let program = Program::new(problem, shop, pool);
    let limit = until.saturating_sub(watch.elapsed()).mul_f64(SOLVER_SHARE);
    let (send, receive) = channel();
    std::thread::spawn(move || {
        // Nobody listens any more if the solve was cancelled.
        let _ = send.send(program.solve(limit));
    });
    loop {
        match receive.recv_timeout(LOOK) {
            Ok(answer) => return answer,
            Err(RecvTimeoutError::Disconnected) => return None,
            Err(RecvTimeoutError::Timeout) if over(watch) || watch.elapsed() > until => return None,
            Err(RecvTimeoutError::Timeout) => {}
        }
    }
}

impl Program {
    fn new(problem: &Problem, shop: &Shop, pool: &Pool) -> Self {
        let dearest = shop.tasks.iter().map(|task| task.late).fold(0.0, f64::max);
        let mut program = Self {
            cost: Vec::new(),
            load: BTreeMap::new(),
            capacity: BTreeMap::new(),
            price: shop.offers.iter().map(|offer| offer.price).collect(),
            users: vec![BTreeMap::new(); shop.offers.len()],
            overload: 2.0 * dearest.max(0.1),
            bucket: BUCKET.max(shop.horizon / MOST_BUCKETS),
        };
        for (job, task) in shop.tasks.iter().enumerate() {
            program.cost.push(Vec::new());
            for (column, way) in pool.ways[job].iter().enumerate() {
                program.add_column(problem, shop, task, (job, column), way, &pool.starts[job][column]);
            }
        }
        let rows: Vec<Shared> = program.load.keys().copied().collect();
        program.capacity =
            rows.into_iter().map(|row| (row, capacity(problem, shop, row, program.bucket))).collect();
        program
    }

    fn add_column(
        &mut self,
        problem: &Problem,
        shop: &Shop,
        task: &Task,
        at: (usize, usize),
        way: &Way,
        starts: &[i64],
    ) {
        let plan = &task.routes[way.plan];
        let mut cost = plan.cost;
        let mut end = 0;
        for (k, ((step, leg), start)) in legs(task, way).zip(starts).enumerate() {
            let choice = &step.choices[leg.choice];
            cost += choice.money;
            end = step.pinned.map_or(start + choice.run, |(_, end)| end);
            for link in &choice.offers {
                let columns = self.users[shop.offer_links[*link]].entry(at.0).or_default();
                if columns.last() != Some(&at.1) {
                    columns.push(at.1);
                }
            }
            let (Some(cell), None) = (choice.cell, step.pinned) else { continue };
            let data = &shop.cells[cell];
            let position = data.time.before(*start);
            end = data.time.over((position + choice.run).min(data.time.total()));
            let operation = &problem.jobs[at.0].routes[plan.index].operations[k];
            let Some(work) = operation.options[choice.index].on_cell() else { continue };
            let setup = expected_setup(problem, work, choice.setup);
            let from = (position - setup).max(0);
            self.add_load(data, at, cell, (from, position, position + choice.run), work);
        }
        self.cost[at.0].push(cost + task.late * (end - task.due).max(0) as f64);
    }

    /// Loads the cell from `interval.0` to `interval.2`; the run begins at `interval.1`.
    fn add_load(
        &mut self,
        data: &CellData,
        at: (usize, usize),
        cell: usize,
        interval: (i64, i64, i64),
        work: &CellWork,
    ) {
        let (setup, run, end) = interval;
        let end = end.min(data.time.total());
        for (bucket, minutes) in spread(setup, end, self.bucket) {
            self.load.entry(Shared::Cell(cell, bucket)).or_default().push((at.0, at.1, minutes));
        }
        for (crew, from, to) in [(work.setup_crew, setup, run), (work.run_crew, run, end)] {
            if let (Some(crew), true) = (crew, from < to) {
                let bucket = data.time.worked(from) / self.bucket;
                let row = Shared::Crew(crew.get(), bucket);
                self.load.entry(row).or_default().push((at.0, at.1, (to - from) as f64));
            }
        }
    }

    /// Solves the program; `None` without an answer that chooses one column for each job.
    fn solve(&self, limit: Duration) -> Option<Vec<usize>> {
        let mut vars = variables!();
        let chosen: Vec<Vec<Variable>> =
            self.cost.iter().map(|columns| vars.add_vector(variable().binary(), columns.len())).collect();
        let bought = vars.add_vector(variable().binary(), self.price.len());
        let over: BTreeMap<Shared, Variable> =
            self.capacity.keys().map(|row| (*row, vars.add(variable().min(0.0)))).collect();
        let mut objective = Expression::from(0.0);
        for (costs, columns) in self.cost.iter().zip(&chosen) {
            for (cost, column) in costs.iter().zip(columns) {
                objective += *cost * *column;
            }
        }
        for (price, tool) in self.price.iter().zip(&bought) {
            objective += *price * *tool;
        }
        for minutes in over.values() {
            objective += self.overload * *minutes;
        }
        self.run(vars, objective, &chosen, &bought, &over, limit)
    }

    fn run(
        &self,
        vars: ProblemVariables,
        objective: Expression,
        chosen: &[Vec<Variable>],
        bought: &[Variable],
        over: &BTreeMap<Shared, Variable>,
        limit: Duration,
    ) -> Option<Vec<usize>> {
        let mut model = vars
            .minimise(objective)
            .using(good_lp::highs)
            .set_threads(1)
            .set_time_limit(limit.as_secs_f64())
            .set_option("random_seed", 1)
            .set_option("mip_rel_gap", GAP)
            .set_option("mip_max_nodes", NODES);
        for columns in chosen {
            let sum: Expression = columns.iter().sum();
            model.add_constraint(constraint!(sum == 1.0));
        }
        for (row, users) in &self.load {
            let mut used = Expression::from(0.0);
            for (job, column, minutes) in users {
                used += *minutes * chosen[*job][*column];
            }
            model.add_constraint(constraint!(used - over[row] <= self.capacity[row]));
        }
        for (users, tool) in self.users.iter().zip(bought) {
            for (job, columns) in users {
                let used: Expression = columns.iter().map(|column| chosen[*job][*column]).sum();
                model.add_constraint(constraint!(used <= *tool));
            }
        }
        let solution = model.solve().ok()?;
        // The largest value is the chosen column, whatever tolerance the solver worked with.
        let best = |columns: &Vec<Variable>| {
            let values = columns.iter().map(|column| solution.value(*column));
            values.enumerate().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
        };
        chosen.iter().map(best).collect()
    }
}

/// The minutes of `[from, to)` in each bucket of a width.
fn spread(from: i64, to: i64, width: i64) -> impl Iterator<Item = (i64, f64)> {
    (from / width..=(to - 1).max(from) / width).map(move |bucket| {
        let (a, b) = (bucket * width, (bucket + 1) * width);
        (bucket, (to.min(b) - from.max(a)) as f64)
    })
}

/// Setup minutes to reckon with: half way from the least to an ordinary changeover.
fn expected_setup(problem: &Problem, work: &CellWork, least: i64) -> i64 {
    let changeover = problem.cell(work.cell).changeover.as_ref();
    changeover.map_or(0, |c| (least + c.default.count().max(least)) / 2)
}

fn capacity(problem: &Problem, shop: &Shop, row: Shared, width: i64) -> f64 {
    match row {
        Shared::Cell(cell, bucket) => {
            let data = &shop.cells[cell];
            let (a, b) = (bucket * width, ((bucket + 1) * width).min(data.time.total()));
            let held: i64 = data.blocks.iter().map(|(x, y)| (y.min(&b) - x.max(&a)).max(0)).sum();
            (b - a - held).max(0) as f64
        }
        Shared::Crew(crew, bucket) => {
            let (a, b) = (bucket * width, (bucket + 1) * width);
            let parts = problem.crews[crew].capacity.iter().map(|part| {
                let (x, y) = (part.window.start.get(), part.window.end.get());
                i64::from(part.heads) * (y.min(b) - x.max(a)).max(0)
            });
            parts.sum::<i64>() as f64
        }
    }
}
