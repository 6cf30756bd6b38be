//! Two operations of a cell change places.

use super::scene::neighbour;
use super::{Move, Scene};
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;

pub(super) struct Swap;

impl Move for Swap {
    fn name(&self) -> &'static str {
        "swap"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.slots() > 1
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(x) = scene.operation(plan, dice) else { return false };
        let Some(y) = neighbour(plan, x, scene.hops(dice), true) else { return false };
        if plan.job_of(x) == plan.job_of(y) {
            return false;
        }
        let (first, second) = (*plan.slot(x), *plan.slot(y));
        // The later one goes first: its place is then right before the other's.
        plan.carry(y, first.pos, first.times.start);
        plan.carry(x, second.pos.max(plan.slot(y).pos) + 1, second.times.start);
        true
    }
}
