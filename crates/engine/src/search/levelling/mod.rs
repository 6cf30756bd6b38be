//! Levelling the load of cells: annealing for makespans of jobs of one operation each.
//!
//! Where only cells bind, every job is one operation and nothing is released later, a cell is busy without a
//! gap from the beginning, and the makespan is the largest load of a cell: its runs and the changeovers between
//! them (unrelated machines with sequence-dependent setups, in the words of the literature). What a change does
//! to two loads is known from a few neighbours, so millions of changes a second can be tried, some ten times what
//! a plan allows. Critical paths tell little here, where every path is one cell's sequence.
//!
//! The makespan alone guides badly: most changes leave it as it is. What is annealed is by how much all loads
//! exceed a makespan one minute below the best, plus the mean load ([`Levelling::height`]): time saved on any
//! cell counts, as it makes room, and once nothing is exceeded there is a new best.
//!
//! * [`loads`]: the sequences, their loads, and what a change does to them.
//!
//! Measured over 13 published instances of 50 and 100 jobs (Vallada and Ruiz, European Journal of Operational
//! Research 211, 2011) with 20 million turns, some 3 s of one thread: 2.5 % above the best known makespans in the
//! mean; the tabu search 4.8 %. Two things make the most of it. Putting a job where it fits best in another
//! sequence is worth several times the turns of putting it anywhere. And with the makespan and the mean load
//! alone 20 cells with two or three jobs each were never levelled out. A beginning eight times colder saves another
//! 0.3 %, but is caught in hollows where changeovers are long and runs short.

mod loads;

use super::island::OnMachines;
use super::machines::Machines;
use super::sketch::Sketch;
use crate::compiled::Time;
use crate::dice::Dice;
use crate::plan::Plan;
use loads::Loads;
use std::sync::Arc;

/// First and last temperature, by the mean minutes that a job takes of a load.
const FIRST: f64 = 1.0;
const LAST: f64 = 0.012;
/// Share of the turns that change two jobs over; the others put one job elsewhere.
const EXCHANGES: f64 = 0.2;
/// Turns for each pair of jobs after which another annealing begins, where there is time for more than one.
const AMPLE: f64 = 4e4;
const MOST_CYCLES: f64 = 8.0;
/// Turns between two looks at the clock.
const STRETCH: u64 = 64;

/// An annealing under way.
pub(super) struct Levelling {
    loads: Loads,
    best: Loads,
    /// What a minute of a load adds to what is annealed: one over the cells.
    guide: f64,
    first_temperature: f64,
    cycles: f64,
    dice: Dice,
}

impl Levelling {
    /// A search that begins from a plan, if every job is of one operation and there from the beginning.
    pub(super) fn begin(machines: Arc<Machines>, plan: &Plan<'_>, dice: Dice) -> Option<Self> {
        let loads = Loads::of(machines, plan)?;
        Some(Self {
            guide: 1.0 / loads.cells() as f64,
            first_temperature: FIRST * loads.sum() as f64 / loads.jobs() as f64,
            cycles: 1.0,
            dice,
            best: loads.clone(),
            loads,
        })
    }

    /// Falls geometrically in each annealing.
    fn temperature(&self, done: f64) -> f64 {
        let at = (done * self.cycles).fract();
        self.first_temperature * (LAST / FIRST).powf(at)
    }

    fn turn(&mut self, temperature: f64) {
        let before = self.height();
        let allowed = before - temperature * self.dice.unit().max(1e-12).ln();
        let tried = if self.dice.chance(EXCHANGES) {
            self.loads.exchange(&mut self.dice)
        } else {
            self.loads.put_elsewhere(&mut self.dice)
        };
        let Some(change) = tried else { return };
        if self.height() > allowed {
            self.loads.take_back(change);
        } else if self.loads.over() == 0 && self.loads.makespan() < self.best.makespan() {
            self.best.clone_from(&self.loads);
            self.loads.aim_below(self.best.makespan());
        }
    }

    /// What is annealed.
    fn height(&self) -> f64 {
        self.loads.over() as f64 + self.guide * self.loads.sum() as f64
    }
}

impl OnMachines for Levelling {
    fn makespan(&self) -> Time {
        self.best.makespan()
    }

    fn sketch(&self, plan: &Plan<'_>) -> Sketch {
        self.best.sketch(plan)
    }

    /// Goes its own way: at a high temperature nothing would be left of another plan.
    fn hear_of(&mut self, _: &Plan<'_>) {}

    fn expect(&mut self, turns: f64) {
        let pairs = (self.loads.jobs() as f64).powi(2);
        self.cycles = (turns / (AMPLE * pairs)).floor().clamp(1.0, MOST_CYCLES);
    }

    fn run(&mut self, turns: &mut u64, progress: &mut dyn FnMut(u64) -> Option<f64>) {
        while let Some(done) = progress(*turns) {
            let temperature = self.temperature(done.clamp(0.0, 1.0));
            for _ in 0..STRETCH {
                self.turn(temperature);
            }
            *turns += STRETCH;
        }
    }
}

#[cfg(test)]
mod tests;
