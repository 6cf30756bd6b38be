//! Cell sequences, and the heads and tails that follow from them.

use super::insertion::Insertion;
use crate::compiled::{NONE, Time};
use crate::plan::Plan;
use crate::search::machines::Machines;
use crate::search::sketch::Sketch;
use std::ops::Range;
use std::sync::Arc;

/// An operation in the graph.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    /// Its way, in [`Machines::choices`].
    pub(super) choice: u32,
    pub(super) cell: u32,
    pub(super) key: u32,
    pub(super) run: Time,
    /// Place in the sequence of its cell, and what stands before and behind it there, or [`NONE`].
    pub(super) place: u32,
    pub(super) before: u32,
    pub(super) behind: u32,
    /// Place in an order in which everything stands behind what it follows.
    pub(super) rank: u32,
    /// Begin of its run at the earliest.
    pub(super) head: Time,
    /// What must follow its end at least.
    pub(super) tail: Time,
}

impl Node {
    /// End of its run at the earliest.
    #[inline]
    pub(super) fn end(&self) -> Time {
        self.head + self.run
    }

    /// What must follow its begin at least.
    #[inline]
    pub(super) fn rest(&self) -> Time {
        self.run + self.tail
    }
}

/// A schedule as a graph.
#[derive(Clone, Debug)]
pub(super) struct Graph {
    pub(super) machines: Arc<Machines>,
    pub(super) nodes: Vec<Node>,
    /// The operations of each cell, in order.
    pub(super) sequences: Vec<Vec<u32>>,
    /// The last operation of each job.
    pub(super) lasts: Vec<u32>,
    /// All operations by rank.
    order: Vec<u32>,
    /// Operations that a pass over the order has to look at.
    marked: Vec<bool>,
    spare: Vec<u32>,
    makespan: Time,
}

impl Graph {
    /// The graph of a plan of the same problem.
    pub(super) fn of(machines: Arc<Machines>, plan: &Plan<'_>) -> Self {
        let empty = Node {
            choice: 0,
            cell: 0,
            key: 0,
            run: 0,
            place: 0,
            before: NONE,
            behind: NONE,
            rank: 0,
            head: 0,
            tail: 0,
        };
        let operations = machines.operations.len();
        let mut graph = Self {
            nodes: vec![empty; operations],
            sequences: vec![Vec::new(); machines.change.len()],
            lasts: (0..operations as u32).filter(|&x| machines.operations[x as usize].is_last).collect(),
            order: plan.in_order().collect(),
            marked: vec![true; operations],
            spare: Vec::new(),
            makespan: 0,
            machines,
        };
        for x in plan.in_order() {
            let option = plan.slot(x).option;
            let mut choices = graph.machines.operations[x as usize].choices.clone();
            let choice = choices.find(|&at| graph.machines.choices[at as usize].option == option);
            graph.choose(x, choice.expect("a plan takes options of its problem"));
            graph.sequences[graph.nodes[x as usize].cell as usize].push(x);
        }
        for cell in 0..graph.sequences.len() {
            graph.number(cell as u32, 0);
        }
        // The list of a plan has everything behind what it follows.
        graph.rank(0..operations);
        graph.find_heads(0);
        graph.marked.fill(true);
        graph.find_tails(operations);
        graph
    }

    /// Makespan of the schedule.
    pub(super) fn makespan(&self) -> Time {
        self.makespan
    }

    /// Whether another schedule does the same in the same order.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        self.makespan == other.makespan
            && self.sequences == other.sequences
            && self.nodes.iter().zip(&other.nodes).all(|(a, b)| a.choice == b.choice)
    }

    /// The schedule as options and a list of the problem that `plan` is about.
    pub(super) fn sketch(&self, plan: &Plan<'_>) -> Sketch {
        let mut again = Plan::empty(plan.compiled());
        for &x in &self.order {
            let choice = self.nodes[x as usize].choice;
            again.append(x, self.machines.choices[choice as usize].option);
        }
        again.arrange();
        Sketch::of(&again)
    }

    /// Takes an operation out and puts it in elsewhere.
    pub(super) fn insert(&mut self, insertion: Insertion) {
        let Insertion { operation, choice, place } = insertion;
        let Node { cell, place: from, before, behind, .. } = self.nodes[operation as usize];
        self.sequences[cell as usize].remove(from as usize);
        self.choose(operation, choice);
        let to = self.nodes[operation as usize].cell;
        self.sequences[to as usize].insert(place as usize, operation);
        if to == cell {
            self.number(cell, from.min(place));
        } else {
            self.number(cell, from);
            self.number(to, place);
        }
        self.reorder(operation);
        self.find_times(operation, before, behind);
    }

    /// Heads and tails after a change at an operation that stood between two others.
    fn find_times(&mut self, x: u32, before: u32, behind: u32) {
        let node = self.nodes[x as usize];
        let operation = &self.machines.operations[x as usize];
        let next = if operation.is_last { NONE } else { x + 1 };
        let last = if operation.is_first { NONE } else { x - 1 };
        let from = self.mark([x, next, behind, node.behind]).start;
        self.find_heads(from);
        let to = self.mark([x, last, before, node.before]).end;
        self.find_tails(to);
    }

    /// Marks operations and answers the ranks that they stand at.
    fn mark(&mut self, some: [u32; 4]) -> Range<usize> {
        let (mut first, mut end) = (self.order.len(), 0);
        for x in some.into_iter().filter(|&x| x != NONE) {
            self.marked[x as usize] = true;
            let rank = self.nodes[x as usize].rank as usize;
            (first, end) = (first.min(rank), end.max(rank + 1));
        }
        first..end
    }

    fn choose(&mut self, operation: u32, choice: u32) {
        let chosen = &self.machines.choices[choice as usize];
        let node = &mut self.nodes[operation as usize];
        (node.choice, node.cell, node.key, node.run) = (choice, chosen.cell, chosen.key, chosen.run);
    }

    /// Numbers and links a sequence from a place on.
    fn number(&mut self, cell: u32, from: u32) {
        let sequence = &self.sequences[cell as usize];
        let mut before = match from {
            0 => NONE,
            from => sequence[from as usize - 1],
        };
        for (place, &x) in sequence.iter().enumerate().skip(from as usize) {
            let node = &mut self.nodes[x as usize];
            (node.place, node.before) = (place as u32, before);
            if before != NONE {
                self.nodes[before as usize].behind = x;
            }
            before = x;
        }
        if before != NONE {
            self.nodes[before as usize].behind = NONE;
        }
    }

    /// Changeover minutes on a cell between two keys.
    #[inline]
    pub(super) fn setup(&self, cell: u32, from: u32, to: u32) -> Time {
        if self.machines.has_setups { self.machines.change[cell as usize].minutes(from, to) } else { 0 }
    }

    /// When the part of an operation is there.
    #[inline]
    pub(super) fn ready(&self, x: u32) -> Time {
        let operation = &self.machines.operations[x as usize];
        if operation.is_first {
            operation.before
        } else {
            self.nodes[x as usize - 1].end() + operation.before
        }
    }

    /// What must follow an operation's end in its own job.
    #[inline]
    pub(super) fn job_tail(&self, x: u32) -> Time {
        if self.machines.operations[x as usize].is_last {
            0
        } else {
            self.machines.operations[x as usize + 1].before + self.nodes[x as usize + 1].rest()
        }
    }

    /// Minute at which a run with a key can begin behind `x` ([`NONE`]: first on the cell), which
    /// ends at `end`.
    #[inline]
    pub(super) fn after(&self, cell: u32, x: u32, end: Time, key: u32) -> Time {
        match x {
            NONE => self.setup(cell, self.machines.initial[cell as usize], key),
            x => end + self.setup(cell, self.nodes[x as usize].key, key),
        }
    }

    /// Heads of what is marked, from a rank on, and of what follows from them; the makespan.
    fn find_heads(&mut self, from: usize) {
        for at in from..self.order.len() {
            let x = self.order[at];
            if !std::mem::take(&mut self.marked[x as usize]) {
                continue;
            }
            let node = self.nodes[x as usize];
            let end = if node.before == NONE { 0 } else { self.nodes[node.before as usize].end() };
            let head = self.ready(x).max(self.after(node.cell, node.before, end, node.key));
            if head == node.head {
                continue;
            }
            self.nodes[x as usize].head = head;
            if node.behind != NONE {
                self.marked[node.behind as usize] = true;
            }
            if !self.machines.operations[x as usize].is_last {
                self.marked[x as usize + 1] = true;
            }
        }
        self.makespan = self.lasts.iter().map(|&x| self.nodes[x as usize].end()).max().unwrap_or(0);
    }

    /// Tails of what is marked, down from a rank, and of what they lead to.
    fn find_tails(&mut self, to: usize) {
        for at in (0..to).rev() {
            let x = self.order[at];
            if !std::mem::take(&mut self.marked[x as usize]) {
                continue;
            }
            let node = self.nodes[x as usize];
            let mut tail = self.job_tail(x);
            if node.behind != NONE {
                let next = &self.nodes[node.behind as usize];
                tail = tail.max(self.setup(node.cell, node.key, next.key) + next.rest());
            }
            if tail == node.tail {
                continue;
            }
            self.nodes[x as usize].tail = tail;
            if node.before != NONE {
                self.marked[node.before as usize] = true;
            }
            if !self.machines.operations[x as usize].is_first {
                self.marked[x as usize - 1] = true;
            }
        }
    }

    /// Brings an operation that has a new place on its cell into the order again: what must follow
    /// it and stands too early goes behind it (after Pearce and Kelly, Journal of Experimental
    /// Algorithmics 11, 2007, from memory).
    fn reorder(&mut self, x: u32) {
        let (low, high) = (self.first_behind(x), self.last_before(x));
        let old = self.nodes[x as usize].rank as usize;
        let slice = low.min(old)..high.max(old + 1);
        if high <= low {
            self.shift(old, if old < high { high - 1 } else { old.min(low) });
            return;
        }
        self.mark_followers(x, low..high);
        let mut spare = std::mem::take(&mut self.spare);
        spare.clear();
        let others = |range: Range<usize>| self.order[range].iter().copied().filter(|&y| y != x);
        spare.extend(others(slice.start..low));
        spare.extend(others(low..high).filter(|&y| !self.marked[y as usize]));
        spare.push(x);
        spare.extend(others(low..high).filter(|&y| self.marked[y as usize]));
        spare.extend(others(high..slice.end));
        self.order[slice.clone()].copy_from_slice(&spare);
        self.spare = spare;
        for &y in &self.order[slice.clone()] {
            self.marked[y as usize] = false;
        }
        self.rank(slice);
    }

    /// Rank of the first operation that must stand behind `x`, or the end of the order.
    fn first_behind(&self, x: u32) -> usize {
        let rank = |x: u32| self.nodes[x as usize].rank as usize;
        let behind = self.nodes[x as usize].behind;
        let by_cell = if behind == NONE { self.order.len() } else { rank(behind) };
        if self.machines.operations[x as usize].is_last { by_cell } else { by_cell.min(rank(x + 1)) }
    }

    /// One more than the rank of the last operation that must stand before `x`.
    fn last_before(&self, x: u32) -> usize {
        let rank = |x: u32| self.nodes[x as usize].rank as usize + 1;
        let before = self.nodes[x as usize].before;
        let by_cell = if before == NONE { 0 } else { rank(before) };
        if self.machines.operations[x as usize].is_first { by_cell } else { by_cell.max(rank(x - 1)) }
    }

    /// Marks what follows `x` in a part of the order.
    fn mark_followers(&mut self, x: u32, part: Range<usize>) {
        for at in part {
            let y = self.order[at];
            let node = &self.nodes[y as usize];
            let by_cell = node.before != NONE && (node.before == x || self.marked[node.before as usize]);
            let by_job =
                !self.machines.operations[y as usize].is_first && (y - 1 == x || self.marked[y as usize - 1]);
            self.marked[y as usize] = y != x && (by_cell || by_job);
        }
    }

    /// Moves one operation in the order.
    fn shift(&mut self, from: usize, to: usize) {
        if from < to {
            self.order[from..=to].rotate_left(1);
            self.rank(from..to + 1);
        } else if to < from {
            self.order[to..=from].rotate_right(1);
            self.rank(to..from + 1);
        }
    }

    /// Numbers a part of the order.
    fn rank(&mut self, part: Range<usize>) {
        for at in part {
            self.nodes[self.order[at] as usize].rank = at as u32;
        }
    }
}
