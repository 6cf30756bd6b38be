//! Other courses for one order, tried out on the solved schedule.

use crate::compile::StepKind;
use crate::plan::Course;
use crate::readback::{Source, money};
use elbowroom_engine::{Aim, Reinsertion, probe};
use elbowroom_problem::{JobIdx, OptionIdx};
use elbowroom_units::Money;

/// A course with the tools it would buy or wait for.
pub(crate) struct Tried {
    pub(crate) course: Course,
    /// The options it takes, in the order of its route.
    pub(crate) way: Vec<OptionIdx>,
}

/// The cheapest way of making an order with only the bend options that `allowed` accepts, all
/// other work keeping its sequence; `None` if there is none or it is not bent in this plan.
pub(crate) fn cheapest(
    source: &Source<'_>,
    job: JobIdx,
    allowed: &dyn Fn(OptionIdx) -> bool,
) -> Option<Tried> {
    let only = |at: OptionIdx| !is_bend(source, at) || allowed(at);
    let found = probe(source.line.problem, source.line.schedule, job, Aim::Cheapest, &only)?;
    tried(source, job, &found)
}

/// Whether an option is one of bending.
pub(crate) fn is_bend(source: &Source<'_>, at: OptionIdx) -> bool {
    source.key.step(at).kind == StepKind::Bend
}

fn tried(source: &Source<'_>, job: JobIdx, found: &Reinsertion) -> Option<Tried> {
    let placed = found.schedule.operations.iter().map(|placed| placed.option);
    let mut way: Vec<OptionIdx> = placed.filter(|option| option.job == job).collect();
    way.sort_unstable();
    let bend = *way.iter().find(|at| is_bend(source, **at))?;
    let course = Course {
        process: source.key.route(bend).process?,
        cell: source.key.place(bend).to_owned(),
        finish: found.finish,
        cost: cost(source, job, found.objective),
    };
    Some(Tried { course, way })
}

/// What the order costs in this plan, its own purchases included, and what another course changes
/// in the whole plan: so the difference between two courses is what the shop gains or loses.
fn cost(source: &Source<'_>, job: JobIdx, objective: f64) -> Money {
    let line = source.line;
    let now = money::of_job(line, job).total + money::own_purchases(line, job);
    now + (Money::new(objective) - Money::new(line.schedule.objective))
}
