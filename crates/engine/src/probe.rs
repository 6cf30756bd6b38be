//! "What if this job went another way?": one job is taken out of a plan and put back.
//!
//! Only that job's operations move in the list, so that all other work keeps its sequence (its times
//! may change). Each allowed route is tried; along a route the operations start where their time
//! seems to be and then, one after the other and again, take the best place and option, until none
//! finds a better one.

use crate::compiled::{Compiled, NONE, compile};
use crate::plan::Plan;
use crate::{Aim, Reinsertion};
use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};
use elbowroom_units::Minute;

/// Most places on a cell that an operation tries.
const MOST_PLACES: usize = 120;
/// Most times that all operations of the job look for a better place.
const MOST_PASSES: usize = 8;

/// A route, and what its operations may do.
struct Way {
    route: u32,
    /// Allowed options of each operation; none for a pinned one.
    options: Vec<Vec<u32>>,
}

/// See [`crate::probe`].
pub(crate) fn probe(
    problem: &Problem,
    schedule: &Schedule,
    job: JobIdx,
    aim: Aim,
    only: &dyn Fn(OptionIdx) -> bool,
) -> Option<Reinsertion> {
    let compiled = compile(problem).ok()?;
    let base = Plan::of_schedule(&compiled, schedule)?;
    let number = job.get() as u32;
    let ways: Vec<Way> = compiled
        .jobs
        .get(job.get())?
        .routes
        .clone()
        .filter_map(|r| way(&compiled, number, r, only))
        .collect();
    // Looking for the cheapest place sometimes ends at an earlier one than looking for the earliest.
    let looking: &[Aim] = match aim {
        Aim::Cheapest => &[Aim::Cheapest],
        Aim::Earliest => &[Aim::Earliest, Aim::Cheapest],
    };
    let tried = ways
        .iter()
        .flat_map(|way| looking.iter().filter_map(|&looking| put_back(&base, number, way, looking)));
    let best = tried.min_by(|a, b| score(a, number, aim).total_cmp(&score(b, number, aim)))?;
    Some(reinsertion(&best, number))
}

/// A route with its allowed options, if every operation has one.
fn way(c: &Compiled, job: u32, route: u32, only: &dyn Fn(OptionIdx) -> bool) -> Option<Way> {
    let ops = c.routes[route as usize].ops.clone();
    let first = c.jobs[job as usize].first_slot;
    let mut options = Vec::new();
    for k in 0..ops.end - ops.start {
        let op = c.op(route, k);
        let allowed: Vec<u32> = op
            .options
            .clone()
            .filter(|&option| only(crate::plan::name(c, job, route, first + k, option)))
            .collect();
        if op.pinned.is_some() {
            options.push(Vec::new());
        } else if allowed.is_empty() {
            return None;
        } else {
            options.push(allowed);
        }
    }
    Some(Way { route, options })
}

/// The plan with the job put back along a way; `None` if that is not valid.
fn put_back<'a>(base: &Plan<'a>, job: u32, way: &Way, aim: Aim) -> Option<Plan<'a>> {
    let mut plan = base.clone();
    let moving: Vec<u32> = plan.slots_of(job).filter(|&x| plan.slot(x).pos > 0).collect();
    for &x in &moving {
        plan.lift(x);
        plan.choose(x, NONE);
    }
    if plan.route(job) != way.route {
        plan.reroute(job, way.route);
    }
    let first = plan.slots_of(job).start;
    let mut time = plan.compiled().jobs[job as usize].release;
    let mut pos = 1;
    for (k, options) in (0..).zip(&way.options) {
        let Some(&option) = options.first() else { continue };
        plan.choose(first + k, option);
        pos = plan.seek_right(pos, time);
        plan.drop_before(first + k, pos);
        pos = plan.slot(first + k).pos + 1;
        plan.redo(f64::INFINITY);
        time = plan.slot(first + k).times.end;
    }
    plan.keep();
    for _ in 0..MOST_PASSES {
        let mut better = false;
        for (k, options) in (0..).zip(&way.options) {
            better |= !options.is_empty() && improve(&mut plan, job, first + k, options, aim);
        }
        if !better {
            break;
        }
    }
    (plan.excess() == 0).then_some(plan)
}

/// Moves one operation to its best place and option; whether that was any better.
fn improve(plan: &mut Plan<'_>, job: u32, x: u32, options: &[u32], aim: Aim) -> bool {
    let mut best = (score(plan, job, aim) - 1e-9, None);
    for &option in options {
        for place in places(plan, job, x, option) {
            shift(plan, x, option, place);
            plan.redo(f64::INFINITY);
            let found = score(plan, job, aim);
            plan.take_back();
            if found < best.0 {
                best = (found, Some((option, place)));
            }
        }
    }
    let Some((option, place)) = best.1 else { return false };
    shift(plan, x, option, place);
    plan.redo(f64::INFINITY);
    plan.keep();
    true
}

/// Positions in the list, each with the time to expect there: one between any two operations of the
/// option's cell that end after the job's release, thinned out where there are many.
fn places(plan: &Plan<'_>, job: u32, x: u32, option: u32) -> Vec<(u32, u32)> {
    let c = plan.compiled();
    let cell = c.options[option as usize].cell;
    if cell == NONE {
        return vec![(plan.slot(x).pos, plan.slot(x).times.start)];
    }
    let release = c.jobs[job as usize].release;
    let mut all = Vec::new();
    for other in plan.in_order().filter(|&y| y != x && plan.slot(y).cell == cell) {
        let slot = plan.slot(other);
        if slot.times.end > release {
            if all.is_empty() {
                all.push((slot.pos, slot.times.start));
            }
            all.push((slot.pos + 1, slot.times.end));
        }
    }
    if all.is_empty() {
        all.push((plan.positions(), release));
    }
    let step = all.len().div_ceil(MOST_PLACES);
    all.into_iter().step_by(step).collect()
}

fn shift(plan: &mut Plan<'_>, x: u32, option: u32, (pos, time): (u32, u32)) {
    if plan.slot(x).option != option {
        let at = plan.slot(x).pos;
        plan.lift(x);
        plan.choose(x, option);
        plan.drop_before(x, at);
    }
    plan.carry(x, pos, time);
}

/// What is to be small; work that is too late counts first.
fn score(plan: &Plan<'_>, job: u32, aim: Aim) -> f64 {
    let invalid = plan.excess() as f64 * 1e6;
    match aim {
        Aim::Cheapest => invalid + plan.cost(),
        // Among equal ends the cheaper plan: the objective as a fraction of a minute.
        Aim::Earliest => invalid + f64::from(plan.job_end(job)) + plan.cost() / (1.0 + plan.cost().abs()),
    }
}

fn reinsertion(plan: &Plan<'_>, job: u32) -> Reinsertion {
    let schedule = plan.schedule();
    Reinsertion {
        finish: Minute::new(i64::from(plan.job_end(job))),
        objective: schedule.objective,
        purchases: schedule.purchases.clone(),
        schedule,
    }
}
