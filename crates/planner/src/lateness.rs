//! Why an order is late: the cause that binds, computed from the schedule.
//!
//! First the order is taken alone through an otherwise empty shop. If it would be late even so,
//! no rival is to blame, and setting its material date and the tools' arrivals aside, one at a
//! time, shows which of them binds. Otherwise its way through the real schedule is walked back
//! step by step, and every minute it waited is put down to what held it. A long wait need not be
//! what binds: without it the order may only have waited longer for the next thing. So what was
//! waited for is set free for this order alone, all other work staying where it is, and the least
//! that would make it in time is the reason.

mod alone;
mod blocks;
mod chain;
mod relief;
mod text;

pub(crate) use alone::on_cell;
pub(crate) use blocks::usable_from;

use crate::compile::{JobRole, ReleaseReason, StepKind};
use crate::insertion::{Fit, Fitter, Relaxed as Without, Resource};
use crate::plan::{Cause, Late};
use crate::readback::{Source, money};
use alone::{Alone, Relaxed, alone};
use blocks::Holder;
use chain::{Wait, waits};
use elbowroom_problem::{JobIdx, OptionIdx, ToolIdx};
use elbowroom_units::{Minute, Minutes, Money};
use relief::relief;

/// Why a job is late; `None` if it is not.
pub(crate) fn reason(source: &Source<'_>, job: JobIdx) -> Option<Late> {
    let line = source.line;
    let due = line.problem.job(job).due;
    if money::finish(line, job) <= due || source.key.job(job).role == JobRole::Running {
        return None;
    }
    match alone(line, job, Relaxed::default(), None) {
        Some(alone) if alone.finish > due => Some(late_even_alone(source, job, &alone)),
        _ => Some(held_up(source, job)),
    }
}

/// The order would be late without any rival.
fn late_even_alone(source: &Source<'_>, job: JobIdx, plain: &Alone) -> Late {
    let relax = |material, arrivals| alone(source.line, job, Relaxed { material, arrivals }, None);
    let by_material = source.key.job(job).release == ReleaseReason::Material;
    let material = relax(true, false).filter(|_| by_material);
    let arrivals = relax(false, true);
    let due = source.line.problem.job(job).due;
    let gain = |way: &Option<Alone>| way.as_ref().map_or(Minutes::ZERO, |way| plain.finish - way.finish);
    // Setting one of them aside must at least halve the delay, or it is not what binds.
    let binds = |way: &Option<Alone>| gain(way) > Minutes::ZERO && gain(way) * 2 >= plain.finish - due;
    let dies = arrivals.as_ref().filter(|_| binds(&arrivals) && gain(&arrivals) >= gain(&material));
    if let Some(die) = dies.and_then(|way| last_to_arrive(source, way)) {
        return text::die_arrival(source, job, plain, die, gain(&arrivals));
    }
    if binds(&material) {
        return text::material(source, job, plain, gain(&material));
    }
    text::days_left(source, job, plain)
}

/// The tool of a way that is last in the house.
fn last_to_arrive(source: &Source<'_>, way: &Alone) -> Option<ToolIdx> {
    let problem = source.line.problem;
    let tools = way.way.iter().filter_map(|at| problem.option(*at).on_cell()).flat_map(|work| &work.tools);
    tools
        .copied()
        .max_by_key(|tool| blocks::usable_from(problem, *tool))
        .filter(|tool| blocks::usable_from(problem, *tool) > Minute::ZERO)
}

/// Alone it would be in time, so something held it up, or the plan chose so.
fn held_up(source: &Source<'_>, job: JobIdx) -> Late {
    let line = source.line;
    let list = waits(line, job);
    let groups = grouped(&list);
    let fitter = Fitter::new(line, job);
    let fit = fitter.earliest(Without::default(), &|_| true);
    let as_it_is = fit.as_ref().map_or(money::finish(line, job), Fit::finish);
    if as_it_is <= line.problem.job(job).due {
        return text::choice(source, job, longest(&groups), sooner(source, &fitter, fit));
    }
    if let Some(relief) = relief(source, &fitter, &groups) {
        return text::relieved(source, job, &relief);
    }
    let forced: Vec<Group<'_>> = groups.into_iter().filter(|group| group.cause != Cause::Choice).collect();
    match longest(&forced) {
        Some(group) => text::waited(source, group),
        None => text::choice(source, job, None, sooner(source, &fitter, fit)),
    }
}

/// The step and cause with the most waiting, the earlier one in doubt.
fn longest<'g, 'w>(groups: &'g [Group<'w>]) -> Option<&'g Group<'w>> {
    groups.iter().rev().max_by_key(|group| group.minutes())
}

/// A way that would be finished sooner than planned with all other work where it is.
pub(crate) struct Sooner {
    finish: Minute,
    /// Where it would be bent.
    bend: Option<OptionIdx>,
    /// What the whole plan would cost more.
    extra_cost: Money,
}

fn sooner(source: &Source<'_>, fitter: &Fitter<'_>, fit: Option<Fit>) -> Option<Sooner> {
    let fit = fit.filter(|fit| fit.finish() < money::finish(source.line, fitter.job()))?;
    let moved = fitter.schedule(&fit)?;
    let options = fit.steps.iter().map(|step| step.placement.option);
    Some(Sooner {
        finish: fit.finish(),
        bend: options.into_iter().find(|at| source.key.step(*at).kind == StepKind::Bend),
        extra_cost: Money::new(moved.schedule().objective - source.line.schedule.objective),
    })
}

/// What held a job up most, whether it is late or not; `None` if nothing did that has a name.
pub(crate) fn held_most(source: &Source<'_>, job: JobIdx) -> Option<Late> {
    let list = waits(source.line, job);
    let mut groups = grouped(&list);
    groups.retain(|group| group.cause != Cause::Choice);
    longest(&groups).map(|group| text::waited(source, group))
}

/// All waiting of one step for one cause.
pub(crate) struct Group<'a> {
    cause: Cause,
    waits: Vec<&'a Wait>,
}

impl Group<'_> {
    fn minutes(&self) -> Minutes {
        self.waits.iter().map(|wait| wait.minutes()).sum()
    }

    /// What was waited for; `None` where nothing held the step.
    fn resource(&self, source: &Source<'_>) -> Option<Resource> {
        let wait = self.waits[0];
        Some(match wait.holder.as_ref()? {
            Holder::Cell { .. } => Resource::Cell(source.line.work_on_cell(wait.at).cell),
            Holder::Tool { tool, .. } | Holder::Arrival { tool } => Resource::Tool(*tool),
            Holder::Setter { crew, .. } | Holder::Operator { crew, .. } => Resource::Crew(*crew),
        })
    }
}

/// The waiting by step and cause, in the order of the way.
fn grouped(list: &[Wait]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for wait in list {
        let cause = cause_of(wait);
        match groups.iter_mut().find(|group| group.cause == cause && group.waits[0].at == wait.at) {
            Some(group) => group.waits.push(wait),
            None => groups.push(Group { cause, waits: vec![wait] }),
        }
    }
    groups
}

fn cause_of(wait: &Wait) -> Cause {
    match wait.holder {
        Some(Holder::Cell { .. }) => Cause::Cell,
        Some(Holder::Tool { .. }) => Cause::DieInUse,
        Some(Holder::Arrival { .. }) => Cause::DieArrival,
        Some(Holder::Setter { .. }) => Cause::Setter,
        Some(Holder::Operator { .. }) => Cause::Operator,
        None => Cause::Choice,
    }
}
