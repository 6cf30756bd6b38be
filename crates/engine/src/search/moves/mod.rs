//! The neighbourhoods, one per file.
//!
//! A move changes the list of a plan by [`Plan::relocate`], [`Plan::lift`], [`Plan::choose`],
//! [`Plan::reroute`] and [`Plan::drop_before`], keeping every operation behind its predecessor;
//! the annealing then finds the times and decides. To add one: write its file, name it below, add it
//! to [`moves_for`]; the module [`super`] says what there is to edit with, DEVELOPERS.md how to measure.

mod another_option;
mod another_route;
mod block;
mod critical;
mod fit;
mod gather;
mod hop;
mod purchase;
mod scene;
mod shift_job;
mod swap;
mod trade;
mod unblock;

pub(crate) use scene::Scene;

use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;

/// A neighbourhood.
pub(crate) trait Move: Send {
    /// For messages.
    fn name(&self) -> &'static str;

    /// Whether it can ever change a plan of this problem.
    fn applies_to(&self, c: &Compiled) -> bool;

    /// Changes the plan's list; `false` if nothing sensible was found, and then the change so far
    /// is taken back.
    fn propose(&mut self, plan: &mut Plan<'_>, scene: &Scene, dice: &mut Dice) -> bool;
}

/// The moves that make sense for a problem.
pub(crate) fn moves_for(c: &Compiled) -> Vec<Box<dyn Move>> {
    let all: Vec<Box<dyn Move>> = vec![
        Box::new(hop::Hop),
        Box::new(swap::Swap),
        Box::new(unblock::Unblock),
        Box::new(gather::Gather),
        Box::new(block::Block),
        Box::new(critical::Critical::new()),
        Box::new(another_option::AnotherOption),
        Box::new(trade::Trade),
        Box::new(another_route::AnotherRoute),
        Box::new(shift_job::ShiftJob),
        Box::new(purchase::Purchase::new(c)),
    ];
    all.into_iter().filter(|m| m.applies_to(c)).collect()
}
