//! A job takes another of its routes.

use super::{Move, Scene};
use crate::compiled::{Compiled, NONE, Time};
use crate::dice::Dice;
use crate::plan::Plan;

pub(super) struct AnotherRoute;

impl Move for AnotherRoute {
    fn name(&self) -> &'static str {
        "another route"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.jobs.iter().any(|job| job.routes.len() > 1)
    }

    fn propose(&mut self, plan: &mut Plan<'_>, _: &Scene, dice: &mut Dice) -> bool {
        let c = plan.compiled();
        for _ in 0..20 {
            let job = dice.below(c.jobs.len() as u32);
            let routes = &c.jobs[job as usize].routes;
            let count = routes.end - routes.start;
            if count < 2 {
                continue;
            }
            let pick = routes.start + dice.below(count - 1);
            let route = if pick >= plan.route(job) { pick + 1 } else { pick };
            reroute(plan, job, route, dice);
            return true;
        }
        false
    }
}

/// Gives a job another route. Operations that both routes begin with keep option and place; the
/// others go where their time seems to be.
pub(super) fn reroute(plan: &mut Plan<'_>, job: u32, route: u32, dice: &mut Dice) {
    let c = plan.compiled();
    let old: Vec<(u32, u32, Time)> = plan
        .slots_of(job)
        .map(|x| (plan.slot(x).option, plan.slot(x).pos, plan.slot(x).times.start))
        .collect();
    for x in plan.slots_of(job) {
        if plan.slot(x).pos > 0 {
            plan.lift(x);
        }
    }
    plan.reroute(job, route);
    let mut time = c.jobs[job as usize].release;
    let mut pos = 1;
    let mut alike = true;
    for (k, x) in plan.slots_of(job).enumerate() {
        let op = c.op(route, k as u32);
        let was = old.get(k).copied();
        let same = was.and_then(|(option, ..)| op.options.clone().find(|&o| c.same_work(o, option)));
        alike &= same.is_some();
        let option = match same {
            Some(option) => option,
            None => op.options.start + dice.below(op.options.end - op.options.start),
        };
        let choice = &c.options[option as usize];
        plan.choose(x, option);
        if let (true, Some((_, was_pos, start))) = (alike, was) {
            pos = pos.max(was_pos);
            time = time.max(start);
        } else if let Some((_, was_pos, start)) = was {
            // About when the operation was before, or as soon as its part is there.
            let begin = if dice.chance(0.5) { start.max(time) } else { time };
            pos = if begin >= start {
                plan.seek_right(pos.max(was_pos), begin)
            } else {
                plan.seek_right(pos, begin)
            };
            time = begin;
        } else {
            pos = plan.seek_right(pos, time);
        }
        plan.drop_before(x, pos);
        pos = plan.slot(x).pos + 1;
        let end = if choice.cell == NONE {
            time + choice.run
        } else {
            let calendar = c.calendar(choice.cell);
            calendar.clock_end(calendar.work(time.max(choice.usable)) + choice.run)
        };
        time = end.saturating_add(op.lag).min(crate::compiled::LATEST);
    }
}
