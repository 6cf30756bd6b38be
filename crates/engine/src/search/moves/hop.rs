//! An operation goes some places ahead or back on its cell.

use super::scene::neighbour;
use super::{Move, Scene};
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;

pub(super) struct Hop;

impl Move for Hop {
    fn name(&self) -> &'static str {
        "hop"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.slots() > 1
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(x) = scene.operation(plan, dice) else { return false };
        let right = dice.chance(0.5);
        let Some(y) = neighbour(plan, x, scene.hops(dice), right) else { return false };
        beside(plan, x, y, right);
        true
    }
}

/// Moves `x` right behind or right before `y`.
pub(super) fn beside(plan: &mut Plan<'_>, x: u32, y: u32, behind: bool) {
    let there = *plan.slot(y);
    if behind {
        plan.carry(x, there.pos + 1, there.times.end);
    } else {
        plan.carry(x, there.pos, there.times.start);
    }
}
