//! What searches on one thread: annealing, or a search of its own kind where only cells bind.

use super::anneal::Annealing;
use super::levelling::Levelling;
use super::machines::Machines;
use super::sketch::Sketch;
use super::tabu::Tabu;
use crate::compiled::Time;
use crate::dice::Dice;
use crate::plan::Plan;
use std::sync::Arc;

/// A search for problems in which only cells and the order of jobs bind.
pub(super) trait OnMachines: Send {
    /// Makespan of the best schedule so far.
    fn makespan(&self) -> Time;

    /// The best schedule as a sketch of the problem that `plan` is about.
    fn sketch(&self, plan: &Plan<'_>) -> Sketch;

    /// Takes note of a plan that somebody else has found.
    fn hear_of(&mut self, plan: &Plan<'_>);

    /// Prepares for about so many turns in all.
    fn expect(&mut self, _turns: f64) {}

    /// Searches until `progress` says so; it is told how many turns have been done, and returns how much of
    /// the whole search is over, or `None` to stop.
    fn run(&mut self, turns: &mut u64, progress: &mut dyn FnMut(u64) -> Option<f64>);
}

/// The search for a problem of that kind.
fn on_machines(plan: &Plan<'_>, dice: &Dice) -> Option<Box<dyn OnMachines>> {
    let machines = Arc::new(Machines::of(plan.compiled())?);
    Some(match Levelling::begin(Arc::clone(&machines), plan, dice.clone()) {
        Some(levelling) => Box::new(levelling),
        None => Box::new(Tabu::begin(machines, plan, dice.clone())),
    })
}

/// A search under way on one thread.
pub(crate) struct Island<'a> {
    annealing: Annealing<'a>,
    /// Does all the work where there is one.
    special: Option<Box<dyn OnMachines>>,
}

impl<'a> Island<'a> {
    pub(crate) fn new(plan: Plan<'a>, dice: Dice) -> Self {
        let special = on_machines(&plan, &dice);
        Self { annealing: Annealing::new(plan, dice), special }
    }

    /// The best plan so far.
    pub(crate) fn best(&self) -> &Sketch {
        &self.annealing.best
    }

    /// A plan that the search is at.
    pub(crate) fn plan(&self) -> &Plan<'a> {
        &self.annealing.plan
    }

    /// How many schedules were looked at.
    pub(crate) fn turns(&self) -> u64 {
        self.annealing.turns
    }

    /// Prepares for about so many turns in all.
    pub(crate) fn expect(&mut self, turns: f64) {
        match &mut self.special {
            None => self.annealing.expect(turns),
            Some(special) => special.expect(turns),
        }
    }

    /// Hears of a plan that is better than its own best.
    pub(crate) fn hear_of(&mut self, sketch: &Sketch) {
        match &mut self.special {
            None => self.annealing.hear_of(sketch),
            Some(special) => {
                self.annealing.adopt(sketch);
                special.hear_of(&self.annealing.plan);
            }
        }
    }

    /// Searches until `progress` says so; it is told how many turns have been done, and returns
    /// how much of the whole search is over, or `None` to stop.
    pub(crate) fn run(&mut self, mut progress: impl FnMut(u64) -> Option<f64>) {
        let Some(special) = &mut self.special else {
            self.annealing.run(progress);
            return;
        };
        special.run(&mut self.annealing.turns, &mut progress);
        if f64::from(special.makespan()) < self.annealing.best.cost {
            let best = special.sketch(&self.annealing.plan);
            self.annealing.adopt(&best);
        }
    }
}
