//! Tabu search for the makespan of job shops and flexible job shops, with or without changeovers.
//!
//! Where nothing but cells and the order of jobs binds (no crews, no tools, no closed hours, no
//! pinned work) a schedule is the longest path through a graph: from each operation to the next
//! one of its job and to the next one of its cell. Heads and tails of that graph say what a change
//! would do before it is made, far better than random changes find out by trying:
//!
//! * [`machines`](super::machines): whether a problem is of that kind, and the problem without what it then
//!   lacks;
//! * [`graph`]: cell sequences with the heads and tails that follow from them;
//! * [`insertion`]: taking a critical operation out and putting it elsewhere, with an estimate;
//! * [`memory`]: what must not be undone for a while.
//!
//! One step: of all insertions of the operations of one critical path the one of least estimate
//! is made, better or worse, unless the memory forbids it. After so many steps without a better
//! schedule the search goes back to one of the best few, shakes it and goes on from there.
//!
//! Sources: Taillard, ORSA Journal on Computing 6 (1994); Mastrolilli and Gambardella, Journal of
//! Scheduling 3 (2000); Zhang et al., Computers and Operations Research 34 (2007), from memory.

mod graph;
mod insertion;
mod memory;

use super::island::OnMachines;
use super::machines::Machines;
use super::sketch::Sketch;
use crate::compiled::Time;
use crate::dice::Dice;
use crate::plan::Plan;
use graph::Graph;
use insertion::{Insertion, Insertions};
use memory::Memory;
use std::sync::Arc;

/// Steps without a better schedule before the search goes on from another one.
const PATIENCE: u64 = 6_000;
/// So many good schedules are kept to go back to.
const ELITES: usize = 6;
/// Steps between two looks at the clock.
const STRETCH: u64 = 16;
/// A step takes about as long as so many turns of the annealing.
const TURNS_PER_STEP: u64 = 8;

/// A search under way.
pub(crate) struct Tabu {
    graph: Graph,
    insertions: Insertions,
    memory: Memory,
    dice: Dice,
    /// The best schedules that the search went through, the best one first.
    elites: Vec<Graph>,
    /// The best one since the search last went on from another one, and the steps since then.
    local: Graph,
    since: u64,
}

impl Tabu {
    /// A search that begins from a plan.
    pub(crate) fn begin(machines: Arc<Machines>, plan: &Plan<'_>, dice: Dice) -> Self {
        let graph = Graph::of(machines, plan);
        Self {
            insertions: Insertions::default(),
            memory: Memory::new(&graph),
            dice,
            elites: vec![graph.clone()],
            local: graph.clone(),
            graph,
            since: 0,
        }
    }

    fn step(&mut self) {
        self.memory.tick();
        let aspired = self.local.makespan();
        let found = self.insertions.best(&self.graph, &self.memory, aspired, &mut self.dice);
        let Some(insertion) = found else {
            self.go_on_elsewhere();
            return;
        };
        self.make(insertion);
        self.since += 1;
        if self.graph.makespan() < aspired {
            self.local.clone_from(&self.graph);
            self.since = 0;
        } else if self.since > PATIENCE {
            self.go_on_elsewhere();
        }
    }

    fn make(&mut self, insertion: Insertion) {
        self.memory.note(&self.graph, insertion, &mut self.dice);
        self.graph.insert(insertion);
    }

    /// From one of the best schedules, after some random changes.
    fn go_on_elsewhere(&mut self) {
        self.keep(self.local.clone());
        let chosen = self.dice.below(self.elites.len() as u32) as usize;
        self.graph.clone_from(&self.elites[chosen]);
        self.memory.forget();
        let shakes = 2 + self.dice.below(4 + self.graph.nodes.len() as u32 / 25);
        for _ in 0..shakes {
            if let Some(insertion) = self.insertions.any(&self.graph, &self.memory, &mut self.dice) {
                self.make(insertion);
            }
        }
        self.local.clone_from(&self.graph);
        self.since = 0;
    }

    /// Keeps a schedule if it is among the best.
    fn keep(&mut self, graph: Graph) {
        if self.elites.iter().any(|elite| elite.is_like(&graph)) {
            return;
        }
        let at = self.elites.partition_point(|elite| elite.makespan() < graph.makespan());
        self.elites.insert(at, graph);
        self.elites.truncate(ELITES);
    }
}

impl OnMachines for Tabu {
    fn makespan(&self) -> Time {
        self.elites[0].makespan()
    }

    fn sketch(&self, plan: &Plan<'_>) -> Sketch {
        self.elites[0].sketch(plan)
    }

    fn hear_of(&mut self, plan: &Plan<'_>) {
        let graph = Graph::of(Arc::clone(&self.graph.machines), plan);
        self.keep(graph);
    }

    fn run(&mut self, turns: &mut u64, progress: &mut dyn FnMut(u64) -> Option<f64>) {
        while progress(*turns).is_some() {
            for _ in 0..STRETCH {
                self.step();
            }
            *turns += STRETCH * TURNS_PER_STEP;
        }
        self.keep(self.local.clone());
    }
}

#[cfg(test)]
mod tests;
