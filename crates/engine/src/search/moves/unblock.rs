//! A late job's hindrance gives way: the operation that it waits for on a cell is overtaken.

use super::hop::beside;
use super::scene::neighbour;
use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;
use elbowroom_problem::Objective;

pub(super) struct Unblock;

impl Move for Unblock {
    fn name(&self) -> &'static str {
        "unblock"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.jobs.len() > 1
    }

    fn propose(&mut self, plan: &mut Plan<'_>, _: &Scene, dice: &mut Dice) -> bool {
        let c = plan.compiled();
        let Some(job) = pick_late(plan, c, dice) else { return false };
        let mut x = plan.slots_of(job).end - 1;
        // Back from the end to where the job waited for a cell instead of for its part; where it
        // waited more than once, any of these places.
        let mut waits = [0; 16];
        let mut count = 0;
        loop {
            let slot = plan.slot(x);
            if slot.pos > 0 && slot.cell_prev() != NONE && slot.times.run_start > plan.ready(x) && count < 16
            {
                waits[count] = x;
                count += 1;
            }
            if x == c.jobs[job as usize].first_slot {
                break;
            }
            x -= 1;
        }
        if count == 0 {
            return false;
        }
        let x = waits[dice.below(count as u32) as usize];
        let Some(y) = neighbour(plan, x, dice.hops(3.0), false) else { return false };
        beside(plan, x, y, false);
        true
    }
}

/// A job that is late, sooner one that is late at great cost; for the makespan one that ends last
/// or nearly.
fn pick_late(plan: &Plan<'_>, c: &Compiled, dice: &mut Dice) -> Option<u32> {
    let mut best = None;
    let mut most = 0.0;
    for _ in 0..12 {
        let job = dice.below(c.jobs.len() as u32);
        let end = plan.job_end(job);
        let cost =
            if c.objective == Objective::Makespan { f64::from(end) } else { c.lateness_cost(job, end) };
        if cost > most {
            (best, most) = (Some(job), cost);
            if dice.chance(0.5) {
                break;
            }
        }
    }
    best
}
