//! What a schedule costs, from the schedule alone.

use crate::layout::Layout;
use crate::rule_4_changeover;
use crate::verdict::{Rule, Violation};
use elbowroom_problem::{Availability, Objective, Problem, Schedule};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money, RELATIVE_TOLERANCE};

/// The sums of a schedule.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// What the problem's objective makes of it: money, minutes or weighted minutes.
    pub objective: f64,
    /// The money, whatever the objective.
    pub cost: CostParts,
    /// Jobs that end after their due minute.
    pub late_jobs: usize,
    /// Sum of [`Figures::setups`].
    pub setup_minutes: Minutes,
    /// Working minutes of changeover of each operation, in the order of the schedule's list;
    /// zero outside, and for pinned work what was given.
    pub setups: Vec<Minutes>,
    /// The end of each job's last operation, in the order of the problem's jobs; `None` where
    /// the schedule has none.
    pub completions: Vec<Option<Minute>>,
}

/// The cost of a schedule in parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CostParts {
    /// `late_cost_per_day` / 1440 for each minute that a job ends after its due minute.
    pub lateness: Money,
    /// Fixed sums of the chosen routes.
    pub routes: Money,
    /// Fixed sums of the chosen options.
    pub options: Money,
    /// Running on cells.
    pub running: Money,
    /// Changing over on cells.
    pub changing_over: Money,
    /// Prices of the offers taken, the committed ones not among them.
    pub purchases: Money,
}

impl CostParts {
    /// The sum of all parts.
    #[must_use]
    pub fn total(&self) -> Money {
        self.lateness + self.routes + self.options + self.running + self.changing_over + self.purchases
    }
}

/// The figures of a schedule.
///
/// They mean something where the schedule is complete. Where it is not, what stands in it is
/// added up: operations and purchases that the problem does not have are passed over, and a job
/// without its last operation is not late.
#[must_use]
pub fn recompute(problem: &Problem, schedule: &Schedule) -> Figures {
    let layout = Layout::new(problem, schedule);
    let setups = rule_4_changeover::setups(&layout);
    figures(&layout, &setups)
}

/// `setups` is in the order of [`Layout::placed`].
pub(crate) fn figures(layout: &Layout, setups: &[Minutes]) -> Figures {
    let completions: Vec<Option<Minute>> =
        (0..layout.by_job.len()).map(|job| completion(layout, job)).collect();
    let cost = cost(layout, setups, &completions);
    let mut by_position = vec![Minutes::ZERO; layout.schedule.operations.len()];
    for (placed, setup) in layout.placed.iter().zip(setups) {
        by_position[placed.position] = *setup;
    }
    Figures {
        objective: objective(layout, &cost, &completions),
        cost,
        late_jobs: lateness(layout, &completions).filter(|late| *late > Minutes::ZERO).count(),
        setup_minutes: setups.iter().copied().sum(),
        setups: by_position,
        completions,
    }
}

/// The end of the last operation of a job's one route.
fn completion(layout: &Layout, job: usize) -> Option<Minute> {
    layout.by_job[job].steps.last()?.iter().map(|&index| layout.placed[index].end).max()
}

/// By how much each job is late, zero where it is not.
fn lateness(layout: &Layout, completions: &[Option<Minute>]) -> impl Iterator<Item = Minutes> {
    let jobs = layout.problem.jobs.iter().zip(completions);
    jobs.map(|(job, end)| end.map_or(Minutes::ZERO, |end| job.due.until(end)))
}

fn objective(layout: &Layout, cost: &CostParts, completions: &[Option<Minute>]) -> f64 {
    match layout.problem.objective {
        Objective::Cost => cost.total().amount(),
        Objective::Makespan => {
            let latest = layout.placed.iter().map(|placed| placed.end).max();
            latest.unwrap_or_default().get() as f64
        }
        Objective::Tardiness => {
            let jobs = layout.problem.jobs.iter().zip(lateness(layout, completions));
            jobs.map(|(job, late)| job.late_cost_per_day.amount() * late.count() as f64).sum()
        }
    }
}

fn cost(layout: &Layout, setups: &[Minutes], completions: &[Option<Minute>]) -> CostParts {
    let mut cost = CostParts::default();
    let jobs = layout.problem.jobs.iter().zip(&layout.by_job);
    for ((job, laid_out), late) in jobs.zip(lateness(layout, completions)) {
        let per_minute = job.late_cost_per_day.amount() / MINUTES_PER_DAY as f64;
        cost.lateness += Money::new(per_minute * late.count() as f64);
        for route in &laid_out.routes {
            cost.routes += job.routes[*route].cost;
        }
    }
    for (placed, setup) in layout.placed.iter().zip(setups) {
        cost.options += placed.work.cost;
        if let Some(work) = placed.on_cell {
            let cell = layout.problem.cell(work.cell);
            let calendar = layout.calendar(work.cell);
            let left = |_| calendar.between(placed.run_start, placed.end);
            let run = placed.pin.map_or(placed.work.run, left);
            cost.running += cell.run_rate * run;
            cost.changing_over += cell.setup_rate * *setup;
        }
    }
    cost.purchases = purchases(layout);
    cost
}

fn purchases(layout: &Layout) -> Money {
    let mut sum = Money::ZERO;
    for purchase in &layout.schedule.purchases {
        if let Some(Availability::Offer { price, .. }) =
            layout.problem.tools.get(purchase.get()).map(|tool| tool.availability)
        {
            sum += price;
        }
    }
    sum
}

/// The schedule's own claims.
pub(crate) fn check(schedule: &Schedule, figures: &Figures, found: &mut Vec<Violation>) {
    let truth = figures.objective;
    let slack = RELATIVE_TOLERANCE * truth.abs().max(1.0);
    let claimed = schedule.objective;
    let agrees = (claimed - truth).abs() <= slack; // false where the claim is not a number
    if !agrees {
        let what = format!("the objective is claimed as {claimed}, and is {truth}");
        found.push(Violation { rule: Rule::ObjectiveClaim, place: "objective".to_owned(), what });
    }
    if let Some(bound) = schedule.lower_bound.filter(|bound| bound.is_nan() || *bound > truth + slack) {
        let what = format!("the lower bound {bound} is above the objective {truth}");
        found.push(Violation { rule: Rule::BoundClaim, place: "lower_bound".to_owned(), what });
    }
}
