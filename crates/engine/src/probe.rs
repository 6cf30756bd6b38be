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
use elbowroom_units::{Minute, Money};

/// Most places on a cell that an operation tries.
const MOST_PLACES: usize = 120;
/// Most times that all operations of the job look for a better place.
const MOST_PASSES: usize = 8;

/// What being late means for a job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// Lateness counts from here.
    pub due: Minute,
    /// Money for 1,440 minutes of lateness.
    pub late_cost_per_day: Money,
}

/// A problem made ready for many questions of the kind "what if this job went another way?".
#[derive(Clone, Debug)]
pub struct Prober {
    compiled: Compiled,
}

impl Prober {
    /// `None` for a problem that is proved to have no schedule.
    #[must_use]
    pub fn new(problem: &Problem) -> Option<Self> {
        compile(problem).ok().map(|compiled| Self { compiled })
    }

    /// The same problem with other terms for some jobs; `None` leaves a job its own.
    #[must_use]
    pub fn with_terms(&self, terms: &dyn Fn(JobIdx) -> Option<Terms>) -> Self {
        let mut compiled = self.compiled.clone();
        for job in 0..compiled.jobs.len() {
            if let Some(Terms { due, late_cost_per_day }) = terms(JobIdx::new(job)) {
                compiled.set_terms(job, due, late_cost_per_day);
            }
        }
        compiled.weigh_overrun();
        Self { compiled }
    }

    /// Takes one job out of a valid schedule and puts it back where it is best, using only the
    /// options that `only` allows; all other work keeps its sequence. `None` if that cannot be.
    #[must_use]
    pub fn probe(
        &self,
        schedule: &Schedule,
        job: JobIdx,
        aim: Aim,
        only: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Reinsertion> {
        let (compiled, number) = (&self.compiled, job.get() as u32);
        let base = Plan::of_schedule(compiled, schedule)?;
        let routes = compiled.jobs.get(job.get())?.routes.clone();
        let ways: Vec<Way> = routes.filter_map(|route| way(compiled, number, route, only)).collect();
        let tried = ways.iter().filter_map(|way| put_back(&base, number, way, aim));
        let best = tried.min_by(|a, b| score(a, number, aim).total_cmp(&score(b, number, aim)))?;
        Some(reinsertion(&best, number))
    }
}

/// See [`crate::probe`].
pub(crate) fn probe(
    problem: &Problem,
    schedule: &Schedule,
    job: JobIdx,
    aim: Aim,
    only: &dyn Fn(OptionIdx) -> bool,
) -> Option<Reinsertion> {
    let prober = Prober::new(problem)?;
    let found = |aim| prober.probe(schedule, job, aim, only);
    match aim {
        Aim::Cheapest => found(aim),
        // Looking for the cheapest place sometimes ends at an earlier one than looking for the earliest.
        Aim::Earliest => {
            let both = [found(Aim::Earliest), found(Aim::Cheapest)].into_iter().flatten();
            both.min_by(|a, b| {
                (a.finish, a.objective).partial_cmp(&(b.finish, b.objective)).expect("numbers")
            })
        }
    }
}

/// A route, and what its operations may do.
struct Way {
    route: u32,
    /// Allowed options of each operation; none for a pinned one.
    options: Vec<Vec<u32>>,
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
    let won_back = won_back(plan, job, aim);
    for &option in options {
        for place in places(plan, job, x, option) {
            shift(plan, x, option, place);
            let found = if plan.redo(best.0 + won_back) { score(plan, job, aim) } else { f64::INFINITY };
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
