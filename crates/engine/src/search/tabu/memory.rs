//! What must not be undone for a while.

use super::graph::Graph;
use super::insertion::Insertion;
use crate::dice::Dice;

/// Pairs of operations share entries beyond so many; a pair may then be forbidden by chance.
const MOST_PAIRS: usize = 1 << 22;

/// For each pair of operations until which step the first must not be put before the second, and
/// for each way of doing an operation until when it must not be taken again.
pub(super) struct Memory {
    operations: usize,
    pairs: Vec<u64>,
    choices: Vec<u64>,
    base: u32,
    now: u64,
}

impl Memory {
    pub(super) fn new(graph: &Graph) -> Self {
        let operations = graph.nodes.len();
        let cells = graph.sequences.iter().filter(|sequence| !sequence.is_empty()).count().max(1);
        Self {
            operations,
            pairs: vec![0; (operations * operations).min(MOST_PAIRS)],
            choices: vec![0; graph.machines.choices.len()],
            base: 10 + (operations / (cells * cells)) as u32,
            now: 0,
        }
    }

    /// One step on.
    pub(super) fn tick(&mut self) {
        self.now += 1;
    }

    #[inline]
    fn pair(&self, first: u32, second: u32) -> usize {
        (first as usize * self.operations + second as usize) % self.pairs.len()
    }

    /// Whether `first` may be put before `second`.
    #[inline]
    pub(super) fn allows(&self, first: u32, second: u32) -> bool {
        self.pairs[self.pair(first, second)] <= self.now
    }

    /// Whether an operation may be done in this way again.
    #[inline]
    pub(super) fn allows_choice(&self, choice: u32) -> bool {
        self.choices[choice as usize] <= self.now
    }

    /// Forbids to undo an insertion that is about to be made.
    pub(super) fn note(&mut self, graph: &Graph, insertion: Insertion, dice: &mut Dice) {
        let until = self.now + u64::from(self.base + dice.below(self.base));
        let Insertion { operation, choice, place } = insertion;
        let node = &graph.nodes[operation as usize];
        if choice != node.choice {
            self.choices[node.choice as usize] = until;
        }
        if graph.machines.choices[choice as usize].cell != node.cell {
            return;
        }
        let sequence = &graph.sequences[node.cell as usize];
        let (from, to) = (node.place as usize, place as usize);
        for &u in sequence.get(to..from).unwrap_or_default() {
            let pair = self.pair(u, operation);
            self.pairs[pair] = until;
        }
        for &u in sequence.get(from + 1..=to).unwrap_or_default() {
            let pair = self.pair(operation, u);
            self.pairs[pair] = until;
        }
    }

    /// Allows everything again.
    pub(super) fn forget(&mut self) {
        self.pairs.fill(0);
        self.choices.fill(0);
    }
}
