//! What the relaxation's prices say of a part of the schedules: see `relaxation`.
//!
//! At fixed prices every schedule costs at least a constant and, for each job, the cheapest way that it could be
//! made in. With the starts and choices that are left that is more, job by job.

use super::super::prices::Prices;
use super::super::tasks::{Choice, Shop, Task};
use super::super::way::{Pricing, Scratch};
use super::model::JobVars;
use super::trail::{Atom, Trail};

/// Calls of which all but one are left out, at most.
const MOST_LEFT_OUT: u32 = 100;

/// The cheapest ways of all jobs at fixed prices.
pub(super) struct Priced<'a> {
    shop: &'a Shop,
    prices: &'a Prices<'a>,
    /// What all costs at least, and how much of that is for each job.
    total: f64,
    costs: Vec<f64>,
    /// The jobs as they were looked at last, and what each cost then.
    tasks: Vec<Task>,
    now: Vec<f64>,
    scratch: Scratch,
    /// Calls to leave out, and how many are left out before the next one.
    leaves_out: u32,
    left_out: u32,
}

impl<'a> Priced<'a> {
    pub(super) fn new(shop: &'a Shop, prices: &'a Prices<'a>, total: f64, costs: &[f64]) -> Self {
        let (tasks, scratch) = (shop.tasks.clone(), Scratch::default());
        let (costs, now) = (costs.to_vec(), costs.to_vec());
        Self { shop, prices, total, costs, tasks, now, scratch, leaves_out: 0, left_out: 0 }
    }

    /// Statements that cannot all hold, if what is left costs `target` or more. The more often that was not so,
    /// the more calls are left out: it takes as long as everything else together.
    pub(super) fn follow(&mut self, target: f64, jobs: &[JobVars], trail: &Trail) -> Option<Vec<Atom>> {
        self.left_out += 1;
        if self.left_out <= self.leaves_out {
            return None;
        }
        self.left_out = 0;
        self.leaves_out = (self.leaves_out + 1).min(MOST_LEFT_OUT);
        let pricing = Pricing { shop: self.shop, prices: self.prices };
        let mut sum = self.total;
        for (job, vars) in jobs.iter().enumerate() {
            if narrow(&mut self.tasks[job], &self.shop.tasks[job], vars, self.shop, trail) {
                let least = pricing.least(&self.tasks[job], f64::INFINITY, &mut self.scratch);
                self.now[job] = least.unwrap_or(f64::INFINITY);
            }
            sum += self.now[job] - self.costs[job];
        }
        if sum < target {
            return None;
        }
        self.leaves_out /= 4;
        let mut slack = sum - target - 1e-7 * (1.0 + target.abs());
        let mut gains: Vec<(f64, usize)> =
            (0..jobs.len()).map(|job| (self.now[job] - self.costs[job], job)).collect();
        gains.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut atoms = Vec::new();
        for (gain, job) in gains {
            if gain <= slack {
                slack -= gain.max(0.0);
            } else {
                explain(&jobs[job], trail, &mut atoms);
            }
        }
        Some(atoms)
    }
}

/// Leaves a job what is left of it; says whether anything changed.
fn narrow(task: &mut Task, base: &Task, vars: &JobVars, shop: &Shop, trail: &Trail) -> bool {
    let mut changed = false;
    for ((step, base), vars) in task.steps.iter_mut().zip(&base.steps).zip(&vars.steps) {
        let Some(vars) = vars.as_ref().filter(|_| base.pinned.is_none()) else { continue };
        let (least, most) = (trail.least(vars.start), trail.most(vars.start));
        for ((choice, base), take) in step.choices.iter_mut().zip(&base.choices).zip(&vars.takes) {
            let ruled_out = take.is_none_or(|take| take.is_some_and(|atom| trail.fails(atom)));
            let new = if ruled_out { (base.first, base.first - 1) } else { span(base, shop, least, most) };
            changed |= (choice.first, choice.last) != new;
            (choice.first, choice.last) = new;
        }
    }
    changed
}

/// The starts of a choice between two minutes.
fn span(base: &Choice, shop: &Shop, least: i64, most: i64) -> (i64, i64) {
    let (first, last) = match base.cell {
        None => (least, most),
        Some(cell) => (shop.cells[cell].time.before(least), shop.cells[cell].time.before(most + 1) - 1),
    };
    (base.first.max(first), base.last.min(last))
}

fn explain(vars: &JobVars, trail: &Trail, atoms: &mut Vec<Atom>) {
    for vars in vars.steps.iter().flatten() {
        let out =
            vars.takes.iter().flatten().flatten().filter(|atom| trail.fails(**atom)).map(|atom| atom.not());
        let before = atoms.len();
        atoms.extend(out);
        let open = vars.takes.iter().flatten().count();
        if atoms.len() - before < open {
            let (least, most) = (trail.least(vars.start), trail.most(vars.start));
            atoms.extend([Atom::at_least(vars.start, least), Atom::at_most(vars.start, most)]);
        }
    }
}
