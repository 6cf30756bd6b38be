//! Some neighbours on a cell go ahead or back together.

use super::scene::neighbour;
use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;

/// Mean number of operations that go together.
const LENGTH: f64 = 3.0;

pub(super) struct Block;

impl Move for Block {
    fn name(&self) -> &'static str {
        "block"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.slots() > 3
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(first) = scene.operation(plan, dice) else { return false };
        let mut block = vec![first];
        let mut last = first;
        for _ in 0..dice.hops(LENGTH) {
            last = plan.slot(last).cell_next();
            if last == NONE {
                return false;
            }
            block.push(last);
        }
        let right = dice.chance(0.5);
        let edge = if right { last } else { first };
        let Some(y) = neighbour(plan, edge, scene.hops(dice), right) else { return false };
        if right {
            // The last one goes first, so that each lands right behind `y` and before the others.
            for &x in block.iter().rev() {
                let there = *plan.slot(y);
                plan.carry(x, there.pos + 1, there.times.end);
            }
        } else {
            for &x in &block {
                let there = *plan.slot(y);
                plan.carry(x, there.pos, there.times.start);
            }
        }
        true
    }
}
