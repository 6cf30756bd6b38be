//! An operation joins another one with the same setup key on a cell that can do it.

use super::hop::beside;
use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;

/// How many neighbours are looked at.
const REACH: u32 = 40;

pub(super) struct Gather;

impl Move for Gather {
    fn name(&self) -> &'static str {
        "gather"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.cells.iter().any(|cell| cell.change.exist)
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(x) = scene.operation(plan, dice) else { return false };
        let right = dice.chance(0.5);
        let key = plan.slot(x).key;
        let skip = dice.below(2);
        let mut y = x;
        let mut seen = 0;
        for _ in 0..REACH {
            y = if right { plan.slot(y).cell_next() } else { plan.slot(y).cell_prev() };
            if y == NONE {
                return false;
            }
            if plan.slot(y).key == key {
                seen += 1;
                let adjacent = seen == 1 && (plan.slot(x).cell_next() == y || plan.slot(x).cell_prev() == y);
                if seen > skip && !adjacent {
                    beside(plan, x, y, dice.chance(0.5));
                    return true;
                }
            }
        }
        false
    }
}
