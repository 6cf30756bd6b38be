//! Time to spare: of plans that cost nearly the same, one that finishes well inside its dates.
//!
//! In the scheduling problem time before a due date is worth nothing, so the cheapest plan ends many orders
//! minutes before they are due, and the first delay makes them late. Where the shop says how much time to
//! spare it wants ([`elbowroom_shop::Terms::spare`]), the last part of a search moves on from the cheapest
//! plan with all due dates of orders in time so much sooner: a minute that is missing counts like a minute
//! late. The plan is kept if what it costs and what is missing are less together. What is told, the cost,
//! the lateness and the bound, is that of the true dates.

use crate::week::Solved;
use elbowroom_engine::{Settings, Watch, improve};
use elbowroom_problem::{JobIdx, Problem, Schedule};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money};
use elbowroom_verify::{VerifiedSchedule, recompute, verify};
use std::time::Duration;

/// Share of the search that looks for the cheapest plan; the rest is for time to spare.
const CHEAPEST_SHARE: f64 = 0.5;

/// The two parts of a search.
pub(crate) struct Parts {
    pub(crate) cheapest: Settings,
    pub(crate) spare: Settings,
}

impl Parts {
    pub(crate) fn of(settings: &Settings) -> Self {
        let share = |share: f64| {
            let iterations = settings.iterations.map(|all| ((all as f64 * share) as u64).max(1));
            Settings { iterations, ..*settings }
        };
        Self { cheapest: share(CHEAPEST_SHARE), spare: share(1.0 - CHEAPEST_SHARE) }
    }
}

/// A watch that leaves time for the second part.
pub(crate) struct FirstPart<'w>(pub(crate) &'w dyn Watch);

impl Watch for FirstPart<'_> {
    fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }

    fn limit(&self) -> Duration {
        self.0.limit().mul_f64(CHEAPEST_SHARE)
    }

    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }

    fn progress(&self, progress: &elbowroom_engine::Progress) {
        self.0.progress(progress);
    }
}

/// Nobody is told of costs with what is missing in them.
struct Untold<'w>(&'w dyn Watch);

impl Watch for Untold<'_> {
    fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }

    fn limit(&self) -> Duration {
        self.0.limit()
    }

    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
}

/// The solution moved on for time to spare, if that is worth what it costs.
pub(crate) fn with_spare(
    problem: &Problem,
    spare: Minutes,
    solved: Solved,
    settings: &Settings,
    watch: &dyn Watch,
) -> Solved {
    let (cheapest, mut figures) = solved;
    let Some(sooner) = due_sooner(problem, cheapest.schedule(), spare) else { return (cheapest, figures) };
    let mut start = cheapest.schedule().clone();
    start.objective = recompute(&sooner, &start).objective;
    start.lower_bound = None;
    let Ok(answer) = improve(&sooner, &start, settings, &Untold(watch)) else { return (cheapest, figures) };
    figures.evaluations += answer.figures.evaluations;
    match in_true_dates(problem, answer.schedule, cheapest.schedule().lower_bound) {
        Some(moved) if weight(problem, &moved, spare) < weight(problem, &cheapest, spare) => (moved, figures),
        _ => (cheapest, figures),
    }
}

/// The problem with the orders that are in time due sooner; late ones stay due when they are.
fn due_sooner(problem: &Problem, schedule: &Schedule, spare: Minutes) -> Option<Problem> {
    let ends = recompute(problem, schedule).completions;
    let mut parts = problem.clone().into_parts();
    for (job, end) in parts.jobs.iter_mut().zip(ends) {
        if end.is_some_and(|end| end <= job.due) {
            job.due = job.due - spare;
        }
    }
    Problem::new(parts).ok()
}

fn in_true_dates(problem: &Problem, mut moved: Schedule, bound: Option<f64>) -> Option<VerifiedSchedule> {
    moved.objective = recompute(problem, &moved).objective;
    moved.lower_bound = bound;
    verify(problem, moved).ok()
}

/// What a schedule costs, and what is missing to the time to spare.
fn weight(problem: &Problem, schedule: &VerifiedSchedule, spare: Minutes) -> Money {
    let missing = recompute(problem, schedule.schedule()).completions.into_iter().enumerate();
    let missing: Money = missing
        .map(|(at, end)| end.map_or(Money::ZERO, |end| missing_of(problem, JobIdx::new(at), end, spare)))
        .sum();
    Money::new(schedule.figures().objective) + missing
}

fn missing_of(problem: &Problem, job: JobIdx, end: Minute, spare: Minutes) -> Money {
    let job = problem.job(job);
    let missing = (job.due - spare).until(end).min(spare);
    job.late_cost_per_day * (missing.count() as f64 / MINUTES_PER_DAY as f64)
}
