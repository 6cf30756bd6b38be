//! On the chain of operations that decides when the last job ends, two operations of a cell change
//! their order, or one goes where it fits best.
//!
//! Only such changes can lower a makespan: within a block of the chain on one cell the first or the
//! last operation must be another one, or an operation must leave the block. The order of all other
//! work is kept.

use super::fit::{best_place, go};
use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;
use elbowroom_problem::Objective;

/// See the module's documentation.
pub(super) struct Critical {
    /// The chain, last operation first; consecutive ones of a cell form a block.
    chain: Vec<u32>,
    /// First and last place in `chain` of each block of at least two.
    blocks: Vec<(usize, usize)>,
}

impl Critical {
    pub(super) fn new() -> Self {
        Self { chain: Vec::new(), blocks: Vec::new() }
    }

    /// Follows the chain back from the end of a job.
    fn trace(&mut self, plan: &Plan<'_>, job: u32) {
        self.chain.clear();
        self.blocks.clear();
        let mut x = plan.slots_of(job).end - 1;
        let mut block = 0;
        loop {
            self.chain.push(x);
            let slot = plan.slot(x);
            let waits_for_part = slot.times.run_start <= plan.ready(x);
            let by_cell = slot.pos > 0 && slot.cell_prev() != NONE && !waits_for_part;
            let next = if by_cell { Some(slot.cell_prev()) } else { plan.pred(x) };
            if !by_cell {
                if self.chain.len() - block > 1 {
                    self.blocks.push((block, self.chain.len() - 1));
                }
                block = self.chain.len();
            }
            match next {
                Some(next) if plan.slot(next).pos > 0 => x = next,
                _ => return,
            }
        }
    }

    /// Another order at the beginning or the end of a block.
    fn reorder(&self, plan: &mut Plan<'_>, dice: &mut Dice) -> bool {
        let (last, first) = self.blocks[dice.below(self.blocks.len() as u32) as usize];
        let (front, back) = (self.chain[first], self.chain[last]);
        let inner = (first - last) as u32;
        // Neighbours at the edge of the block change places half the time.
        let hops = if dice.chance(0.5) { 1 } else { 1 + dice.below(inner) } as usize;
        match dice.below(4) {
            0 => plan.overtake(self.chain[first - hops], front),
            1 => plan.fall_behind(front, self.chain[first - hops]),
            2 => plan.fall_behind(self.chain[last + hops], back),
            _ => plan.overtake(back, self.chain[last + hops]),
        }
    }

    /// The best place, by estimate, for an operation of the chain: on any of its cells or on one.
    fn refit(&self, plan: &mut Plan<'_>, dice: &mut Dice) -> bool {
        let c = plan.compiled();
        for _ in 0..8 {
            let x = self.chain[dice.below(self.chain.len() as u32) as usize];
            if plan.slot(x).pos == 0 {
                continue;
            }
            let job = plan.job_of(x);
            let options = c.op(plan.route(job), x - c.jobs[job as usize].first_slot).options.clone();
            let pick = options.start + dice.below(options.end - options.start);
            let options = if dice.chance(0.5) { options } else { pick..pick + 1 };
            if let Some(place) = best_place(plan, x, options, dice) {
                go(plan, x, place);
                return true;
            }
        }
        false
    }
}

impl Move for Critical {
    fn name(&self) -> &'static str {
        "critical"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.objective == Objective::Makespan
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        let Some(job) = plan.last_job(dice.below(plan.compiled().jobs.len() as u32)) else { return false };
        self.trace(plan, job);
        let flexible = scene.flexible;
        if self.blocks.is_empty() || dice.chance(if flexible { 0.5 } else { 0.1 }) {
            return self.refit(plan, dice);
        }
        self.reorder(plan, dice)
    }
}
