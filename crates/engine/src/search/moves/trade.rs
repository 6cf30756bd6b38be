//! Two operations of different cells change cells.
//!
//! Where all cells are full to the brim, neither can go to the other's cell alone.

use super::another_option::move_to;
use super::scene::neighbour;
use super::{Move, Scene};
use crate::compiled::{Compiled, NONE};
use crate::dice::Dice;
use crate::plan::Plan;

/// How many places from its new neighbour the partner may stand.
const NEAR: f64 = 3.0;

pub(super) struct Trade;

impl Move for Trade {
    fn name(&self) -> &'static str {
        "trade"
    }

    fn applies_to(&self, c: &Compiled) -> bool {
        c.slots() > 1 && Scene::new(c).flexible
    }

    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool {
        for _ in 0..10 {
            let Some(x) = scene.operation(plan, dice) else { return false };
            let was = *plan.slot(x);
            let Some(option) = elsewhere(plan, x, was.cell, dice) else { continue };
            move_to(plan, x, option, dice);
            let right = dice.chance(0.5);
            let Some(y) = neighbour(plan, x, dice.hops(NEAR), right) else { return false };
            let Some(option) = option_on(plan, y, was.cell) else { return false };
            if plan.job_of(x) == plan.job_of(y) {
                return false;
            }
            let at = plan.slot(y).pos;
            plan.lift(y);
            plan.choose(y, option);
            plan.drop_before(y, at);
            plan.carry(y, was.pos, was.times.start);
            return true;
        }
        false
    }
}

/// The options of an operation's step.
fn options(plan: &Plan<'_>, x: u32) -> std::ops::Range<u32> {
    let (c, job) = (plan.compiled(), plan.job_of(x));
    c.op(plan.route(job), x - c.jobs[job as usize].first_slot).options.clone()
}

/// An option of the operation on another cell.
fn elsewhere(plan: &Plan<'_>, x: u32, cell: u32, dice: &mut Dice) -> Option<u32> {
    let options = options(plan, x);
    let pick = options.start + dice.below(options.end - options.start);
    let there = plan.compiled().options[pick as usize].cell;
    (there != cell && there != NONE).then_some(pick)
}

/// An option of the operation on a cell.
fn option_on(plan: &Plan<'_>, x: u32, cell: u32) -> Option<u32> {
    options(plan, x).find(|&option| plan.compiled().options[option as usize].cell == cell)
}
