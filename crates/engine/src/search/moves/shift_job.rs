//! A whole job happens earlier or later.

use super::{Move, Scene};
use crate::compiled::{Compiled, Time};
use crate::dice::Dice;
use crate::plan::Plan;

pub(super) struct ShiftJob;

impl Move for ShiftJob {
    fn name(&self) -> &'static str {
        "shift job"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.jobs.len() > 1
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(x) = scene.operation(plan, dice) else { return false };
        let job = plan.job_of(x);
        let Some(y) = super::scene::neighbour(plan, x, dice.hops(4.0), dice.chance(0.5)) else {
            return false;
        };
        let (from, to) = (plan.slot(x).times.start, plan.slot(y).times.start);
        if from == to {
            return false;
        }
        shift(plan, job, i64::from(to) - i64::from(from));
        true
    }
}

/// Moves all operations of a job in the list by so many minutes.
pub(super) fn shift(plan: &mut Plan<'_>, job: u32, by: i64) {
    let begin = |plan: &Plan<'_>, x: u32| (i64::from(plan.slot(x).times.start) + by).max(0) as Time;
    if by < 0 {
        let mut floor = 1;
        for x in plan.slots_of(job) {
            if plan.slot(x).pos > 0 {
                let at = plan.seek_left(plan.slot(x).pos, begin(plan, x)).max(floor);
                plan.relocate(x, at);
                floor = plan.slot(x).pos + 1;
            }
        }
    } else {
        for x in plan.slots_of(job).rev() {
            if plan.slot(x).pos > 0 {
                let mut at = plan.seek_right(plan.slot(x).pos + 1, begin(plan, x));
                if x + 1 < plan.slots_of(job).end && plan.slot(x + 1).pos > 0 {
                    at = at.min(plan.slot(x + 1).pos);
                }
                plan.relocate(x, at);
            }
        }
    }
}
