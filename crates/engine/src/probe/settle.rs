//! Where the operations of one job go in a list of all others.

use crate::Aim;
use crate::compiled::{Compiled, Job, LATEST, NONE, Time};
use crate::plan::{Limit, Plan};
use elbowroom_problem::{Objective, OptionIdx};

/// Most places on a cell that an operation tries.
const MOST_PLACES: usize = 120;
/// Most times that all operations of the job look for a better place.
const MOST_PASSES: usize = 8;

/// What is looked for.
#[derive(Clone, Copy)]
pub(super) struct Search {
    pub(super) aim: Aim,
    /// The job must end before this minute.
    pub(super) before: Time,
}

/// A route, and what its operations may do.
pub(super) struct Way {
    route: u32,
    /// Allowed options of each operation; none for a pinned one.
    options: Vec<Vec<u32>>,
}
/// A route with its allowed options, if every operation has one.
pub(super) fn way(c: &Compiled, job: u32, route: u32, only: &dyn Fn(OptionIdx) -> bool) -> Option<Way> {
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
pub(super) fn put_back<'a>(base: &Plan<'a>, job: u32, way: &Way, search: Search) -> Option<Plan<'a>> {
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
    settled(plan, job, way, search)
}

/// The plan with a job's operations moved, one by one and again, to their best places; `None` if it is not
/// valid then.
pub(super) fn settled<'a>(mut plan: Plan<'a>, job: u32, way: &Way, search: Search) -> Option<Plan<'a>> {
    let first = plan.slots_of(job).start;
    for _ in 0..MOST_PASSES {
        let mut better = false;
        for (k, options) in (0..).zip(&way.options) {
            better |= !options.is_empty() && improve(&mut plan, job, first + k, options, search);
        }
        if !better {
            break;
        }
    }
    (plan.excess() == 0).then_some(plan)
}

/// Moves one operation to its best place and option; whether that was any better.
fn improve(plan: &mut Plan<'_>, job: u32, x: u32, options: &[u32], search: Search) -> bool {
    let aim = search.aim;
    let mut best = (score(plan, job, aim) - 1e-9, None);
    let won_back = won_back(plan, job, aim);
    let (variable, own) = (plan.variable_cost(), plan.variable_cost_of(x));
    for &option in options {
        let variable = if plan.slot(x).option == option { variable } else { variable - own };
        let mut fixed = None;
        for (number, place) in places(plan, job, x, option).into_iter().enumerate() {
            // What an option costs, however the times fall, is known once it has been taken.
            let known = fixed.map(|fixed| limit(plan, job, search, best.0, fixed));
            if number > 0 && known.is_some_and(|limit| is_behind(plan, x, option, place.1, limit)) {
                break;
            }
            shift(plan, x, option, place);
            let fixed = *fixed.get_or_insert(plan.cost() - variable);
            let done = plan.redo_within(best.0 + won_back, Some(limit(plan, job, search, best.0, fixed)));
            let found = if done { score(plan, job, aim) } else { f64::INFINITY };
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

/// By when the job must end for a change to be better than `best`. `fixed`: what the changed plan costs
/// at least, however its times fall.
fn limit(plan: &Plan<'_>, job: u32, search: Search, best: f64, fixed: f64) -> Limit {
    let c = plan.compiled();
    let Job { due, weight, .. } = c.jobs[job as usize];
    let latest = match search.aim {
        Aim::Earliest => best.ceil() - 1.0,
        Aim::Cheapest if c.objective == Objective::Makespan || weight <= 0.0 => f64::INFINITY,
        Aim::Cheapest => due as f64 + (best - fixed) / weight + 1.0,
    };
    let latest = latest.clamp(0.0, f64::from(LATEST)) as Time;
    let slots = plan.slots_of(job);
    Limit { slots: (slots.start, slots.end), latest: latest.min(search.before.saturating_sub(1)) }
}

/// Whether an operation that begins no sooner than at a place's time ends too late. What stands before that
/// place may move forward by what the operation now takes of its cell.
fn is_behind(plan: &Plan<'_>, x: u32, option: u32, time: Time, limit: Limit) -> bool {
    let c = plan.compiled();
    let choice = &c.options[option as usize];
    if choice.cell == NONE {
        return false;
    }
    let (calendar, slot) = (c.calendar(choice.cell), plan.slot(x));
    let taken = if slot.cell == choice.cell {
        calendar.work(slot.times.end) - calendar.work(slot.times.start)
    } else {
        0
    };
    let end = calendar.clock_end(calendar.work(time).saturating_sub(taken) + choice.run);
    plan.end_at_best(x, end, limit.slots.1) > limit.latest
}

/// What a change that has made the plan dearer so far can still win back, as far as is known: the
/// job's own lateness, since the job is placed anew after what it pushes aside. Where the plan's
/// cost is not the aim no change is given up.
fn won_back(plan: &Plan<'_>, job: u32, aim: Aim) -> f64 {
    match aim {
        Aim::Cheapest => plan.compiled().lateness_cost(job, plan.job_end(job)),
        Aim::Earliest => f64::INFINITY,
    }
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
    let mut other = plan.last_on(cell);
    let mut first = None;
    while other != NONE && plan.slot(other).times.end > release {
        let slot = plan.slot(other);
        if other != x {
            all.push((slot.pos + 1, slot.times.end));
            first = Some((slot.pos, slot.times.start));
        }
        other = slot.cell_prev();
    }
    all.extend(first);
    all.reverse();
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
pub(super) fn score(plan: &Plan<'_>, job: u32, aim: Aim) -> f64 {
    let invalid = plan.excess() as f64 * 1e6;
    match aim {
        Aim::Cheapest => invalid + plan.cost(),
        // Among equal ends the cheaper plan: the objective as a fraction of a minute.
        Aim::Earliest => invalid + f64::from(plan.job_end(job)) + plan.cost() / (1.0 + plan.cost().abs()),
    }
}
