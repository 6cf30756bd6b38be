//! An operation goes to another cell, or takes another option on its own.

use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;

/// How many places to either side of its old time an operation may go on its new cell.
const NEAR: f64 = 3.0;

pub(super) struct AnotherOption;

impl Move for AnotherOption {
    fn name(&self) -> &'static str {
        "another option"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        Scene::new(c).flexible
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let c = plan.compiled();
        for _ in 0..10 {
            let Some(x) = scene.operation(plan, dice) else { return false };
            let job = plan.job_of(x);
            let options = &c.op(plan.route(job), x - c.jobs[job as usize].first_slot).options;
            let count = options.end - options.start;
            if count < 2 {
                continue;
            }
            let now = plan.slot(x).option;
            let pick = options.start + dice.below(count - 1);
            let option = if pick >= now { pick + 1 } else { pick };
            move_to(plan, x, option, dice);
            return true;
        }
        false
    }
}

/// Gives an operation another option, some places from its old time on the new cell.
pub(super) fn move_to(plan: &mut Plan<'_>, x: u32, option: u32, dice: &mut Dice) {
    let was = *plan.slot(x);
    plan.lift(x);
    plan.choose(x, option);
    plan.drop_before(x, was.pos);
    if plan.slot(x).cell == NONE || dice.chance(0.4) {
        return;
    }
    let right = dice.chance(0.5);
    if let Some(y) = super::scene::neighbour(plan, x, dice.hops(NEAR), right) {
        super::hop::beside(plan, x, y, right);
    }
}
