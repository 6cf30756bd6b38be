//! What moves know of a plan besides the plan: where work queues.

use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;

/// Mean length of a near hop.
const NEAR: f64 = 4.0;
/// Share of far hops.
const FAR_SHARE: f64 = 0.25;

/// Facts that are renewed whenever the list is sorted.
#[derive(Clone, Debug)]
pub(crate) struct Scene {
    /// How likely an operation of a cell is looked at, by how long work queues there; at most 1.
    interest: Vec<f64>,
    /// Whether some operation has a choice of options.
    pub(super) flexible: bool,
    /// Mean length of a far hop.
    far: f64,
}

impl Scene {
    pub(crate) fn new(c: &Compiled) -> Self {
        let flexible = c.routes.iter().any(|route| {
            c.ops[route.ops.start as usize..route.ops.end as usize].iter().any(|op| op.options.len() > 1)
        });
        Self { interest: vec![1.0; c.cells.len()], flexible, far: 1.0 }
    }

    pub(crate) fn look(&mut self, plan: &Plan<'_>) {
        let mut waits = vec![0.0; self.interest.len()];
        for x in plan.in_order() {
            let slot = plan.slot(x);
            if slot.cell != NONE {
                let wait = slot.times.run_start.saturating_sub(plan.ready(x));
                waits[slot.cell as usize] += f64::from(wait) + f64::from(slot.times.setup);
            }
        }
        self.far = (0.2 * plan.length() as f64 / self.interest.len().max(1) as f64).max(NEAR);
        let most = waits.iter().copied().fold(1.0, f64::max);
        for (interest, wait) in self.interest.iter_mut().zip(waits) {
            *interest = 0.1 + 0.9 * wait / most;
        }
    }

    /// How many places to go on a cell: mostly near, sometimes far.
    #[inline]
    pub(super) fn hops(&self, dice: &mut Dice) -> u32 {
        let mean = if dice.chance(FAR_SHARE) { self.far } else { NEAR };
        dice.hops(mean)
    }

    /// An operation on a cell, sooner from where work queues.
    pub(crate) fn operation(&self, plan: &Plan<'_>, dice: &mut Dice) -> Option<u32> {
        for _ in 0..40 {
            let x = plan.at(dice.below(plan.positions()));
            if x == NONE {
                continue;
            }
            let cell = plan.slot(x).cell;
            if cell != NONE && dice.chance(self.interest[cell as usize]) {
                return Some(x);
            }
        }
        None
    }
}

/// The operation some places along the cell's chain, to the right if `right`; at most as far as
/// there are any.
pub(crate) fn neighbour(plan: &Plan<'_>, x: u32, hops: u32, right: bool) -> Option<u32> {
    let mut found = x;
    for _ in 0..hops {
        let next = if right { plan.slot(found).cell_next() } else { plan.slot(found).cell_prev() };
        if next == NONE {
            break;
        }
        found = next;
    }
    (found != x).then_some(found)
}
