//! What searches on one thread: annealing, and tabu search where the problem is of its kind.

use super::anneal::Annealing;
use super::sketch::Sketch;
use super::tabu::Tabu;
use crate::dice::Dice;
use crate::plan::Plan;

/// A search under way on one thread.
pub(crate) struct Island<'a> {
    annealing: Annealing<'a>,
    /// Does all the work where there is one.
    tabu: Option<Tabu>,
}

impl<'a> Island<'a> {
    pub(crate) fn new(plan: Plan<'a>, dice: Dice) -> Self {
        let tabu = Tabu::begin(&plan, dice.clone());
        Self { annealing: Annealing::new(plan, dice), tabu }
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
        self.annealing.expect(turns);
    }

    /// Hears of a plan that is better than its own best.
    pub(crate) fn hear_of(&mut self, sketch: &Sketch) {
        match &mut self.tabu {
            None => self.annealing.hear_of(sketch),
            Some(tabu) => {
                self.annealing.adopt(sketch);
                tabu.hear_of(&self.annealing.plan);
            }
        }
    }

    /// Searches until `progress` says so; it is told how many turns have been done, and returns
    /// how much of the whole search is over, or `None` to stop.
    pub(crate) fn run(&mut self, progress: impl FnMut(u64) -> Option<f64>) {
        let Some(tabu) = &mut self.tabu else {
            self.annealing.run(progress);
            return;
        };
        tabu.run(&mut self.annealing.turns, progress);
        if f64::from(tabu.makespan()) < self.annealing.best.cost {
            let best = tabu.sketch(&self.annealing.plan);
            self.annealing.adopt(&best);
        }
    }
}
