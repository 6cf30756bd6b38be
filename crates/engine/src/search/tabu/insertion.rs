//! Taking a critical operation out of its sequence and putting it in elsewhere.
//!
//! An operation can stand behind `x` and before `y` on a cell unless `x` follows the operation's
//! next step or `y` comes before its last one; heads tell (a path makes them grow). It is best put
//! between those that end before its part is there and those whose rest is shorter than its own
//! job's (Mastrolilli and Gambardella): outside that range it can only wait longer.
//!
//! On its own cell an operation of the path stands in a block of operations that follow each other
//! without a wait. A change inside the block leaves the path as long as it is, unless the first or
//! the last operation becomes another one; so only such changes are tried, where changeovers do not
//! depend on the order (Nowicki and Smutnicki, Management Science 42, 1996; Balas and Vazacopoulos,
//! Management Science 44, 1998; both from memory).
//!
//! The estimate of the makespan is the longest path through the operation at its new place, through
//! the operations that it passes on its own cell, and through the place that it leaves. Heads and
//! tails of what it passes are found anew; those elsewhere are taken as they are. So an estimate can
//! be a little wrong both ways; the schedule that is made is not.

use super::graph::Graph;
use super::memory::Memory;
use crate::compiled::{NONE, Time};
use crate::dice::Dice;

/// An operation, a way of doing it, and its place in the sequence of that cell without it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Insertion {
    pub(super) operation: u32,
    pub(super) choice: u32,
    pub(super) place: u32,
}

/// The insertions of one critical path.
#[derive(Default)]
pub(super) struct Insertions {
    path: Vec<Stop>,
    ends: Vec<u32>,
    found: Found,
}

/// An operation of the path.
#[derive(Clone, Copy)]
struct Stop {
    operation: u32,
    block: Block,
}

/// Operations of the path that follow each other on a cell.
#[derive(Clone, Copy)]
struct Block {
    /// Places of the first and the last one.
    first: usize,
    last: usize,
    /// Whether the path begins or ends with it.
    begins: bool,
    ends: bool,
}

impl Block {
    /// Whether the path may become shorter if the operation at a place goes to an earlier one.
    fn gains_earlier(&self, from: usize, to: usize) -> bool {
        from > self.first && (to <= self.first && !self.begins || from == self.last && !self.ends)
    }

    /// The same for a later one.
    fn gains_later(&self, from: usize, to: usize) -> bool {
        from < self.last && (to >= self.last && !self.ends || from == self.first && !self.begins)
    }
}

/// The best insertion found so far, and any one.
#[derive(Default)]
struct Found {
    best: Option<Insertion>,
    estimate: Time,
    equals: u32,
    any: Option<Insertion>,
    seen: u32,
}

impl Found {
    fn look(&mut self, insertion: Insertion, estimate: Time, allowed: bool, dice: &mut Dice) {
        self.seen += 1;
        if dice.below(self.seen) == 0 {
            self.any = Some(insertion);
        }
        if !allowed {
            return;
        }
        if self.best.is_none() || estimate < self.estimate {
            (self.best, self.estimate, self.equals) = (Some(insertion), estimate, 1);
        } else if estimate == self.estimate {
            self.equals += 1;
            if dice.below(self.equals) == 0 {
                self.best = Some(insertion);
            }
        }
    }
}

impl Insertions {
    /// The allowed insertion of least estimate; any one where none is allowed. What promises less
    /// than `aspired` is always allowed.
    pub(super) fn best(
        &mut self,
        graph: &Graph,
        memory: &Memory,
        aspired: Time,
        dice: &mut Dice,
    ) -> Option<Insertion> {
        self.trace(graph, dice);
        self.found = Found::default();
        for &Stop { operation, block } in &self.path {
            for choice in graph.machines.operations[operation as usize].choices.clone() {
                let spot = Spot { graph, memory, aspired, operation, choice, block };
                spot.try_all(&mut self.found, dice);
            }
        }
        self.found.best.or(self.found.any)
    }

    /// Any insertion.
    pub(super) fn any(&mut self, graph: &Graph, memory: &Memory, dice: &mut Dice) -> Option<Insertion> {
        self.best(graph, memory, 0, dice);
        self.found.any
    }

    /// A critical path, chosen at random where there are several.
    fn trace(&mut self, graph: &Graph, dice: &mut Dice) {
        self.ends.clear();
        let lasts = graph.lasts.iter().copied();
        self.ends.extend(lasts.filter(|&x| graph.nodes[x as usize].end() == graph.makespan()));
        self.path.clear();
        let mut at = self.ends[dice.below(self.ends.len() as u32) as usize];
        let mut from = 0;
        loop {
            let node = &graph.nodes[at as usize];
            let place = node.place as usize;
            let block = Block { first: place, last: place, begins: false, ends: from == 0 };
            self.path.push(Stop { operation: at, block });
            let by_job = !graph.machines.operations[at as usize].is_first && graph.ready(at) == node.head;
            let by_cell = node.before != NONE && {
                let end = graph.nodes[node.before as usize].end();
                graph.after(node.cell, node.before, end, node.key) == node.head
            };
            if by_cell && !(by_job && dice.chance(0.5)) {
                at = node.before;
                continue;
            }
            self.close(from, !by_job);
            if !by_job {
                return;
            }
            from = self.path.len();
            at -= 1;
        }
    }

    /// A block of the path is over, which began at a stop.
    fn close(&mut self, from: usize, begins: bool) {
        let stops = &mut self.path[from..];
        let (first, last) = (stops[stops.len() - 1].block.first, stops[0].block.last);
        for stop in stops {
            stop.block = Block { first, last, begins, ends: from == 0 };
        }
    }
}

/// One operation and one way of doing it.
struct Spot<'a> {
    graph: &'a Graph,
    memory: &'a Memory,
    aspired: Time,
    operation: u32,
    choice: u32,
    block: Block,
}

/// What does not change from place to place.
struct Fixed {
    cell: u32,
    key: u32,
    run: Time,
    ready: Time,
    job_tail: Time,
}

/// The sequence of a cell without one operation.
struct Others<'a> {
    sequence: &'a [u32],
    /// Place of the one left out, or beyond the end.
    without: usize,
}

impl Others<'_> {
    fn len(&self) -> usize {
        self.sequence.len() - usize::from(self.without < self.sequence.len())
    }

    #[inline]
    fn at(&self, place: usize) -> u32 {
        self.sequence[place + usize::from(place >= self.without)]
    }

    #[inline]
    fn before(&self, place: usize) -> u32 {
        if place == 0 { NONE } else { self.at(place - 1) }
    }

    #[inline]
    fn behind(&self, place: usize) -> u32 {
        if place < self.len() { self.at(place) } else { NONE }
    }

    /// The first place whose operation does not meet a condition that the first ones meet.
    fn first_without(&self, condition: impl Fn(u32) -> bool) -> usize {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = (low + high) / 2;
            if condition(self.at(middle)) { low = middle + 1 } else { high = middle }
        }
        low
    }
}

impl Spot<'_> {
    fn try_all(&self, found: &mut Found, dice: &mut Dice) {
        let graph = self.graph;
        let chosen = &graph.machines.choices[self.choice as usize];
        let node = &graph.nodes[self.operation as usize];
        let fixed = Fixed {
            cell: chosen.cell,
            key: chosen.key,
            run: chosen.run,
            ready: graph.ready(self.operation),
            job_tail: graph.job_tail(self.operation),
        };
        let sequence = graph.sequences[chosen.cell as usize].as_slice();
        let stays = chosen.cell == node.cell;
        let without = if stays { node.place as usize } else { usize::MAX };
        let others = Others { sequence, without };
        let (low, high) = self.range(&fixed, &others);
        if !stays {
            self.elsewhere(&fixed, &others, (low, high), found, dice);
            return;
        }
        if self.choice != node.choice {
            let estimate = self.between(&fixed, &others, without, None, None);
            self.offer(without, estimate, true, found, dice);
        }
        self.earlier(&fixed, &others, low, found, dice);
        self.later(&fixed, &others, high, found, dice);
    }

    /// First and last place worth trying.
    fn range(&self, fixed: &Fixed, others: &Others<'_>) -> (usize, usize) {
        let graph = self.graph;
        let nodes = &graph.nodes;
        let waits = others.first_without(|x| nodes[x as usize].end() <= fixed.ready);
        let hurries = others.first_without(|x| nodes[x as usize].rest() > fixed.job_tail);
        let (mut low, mut high) = (waits.min(hurries), waits.max(hurries));
        let operation = &graph.machines.operations[self.operation as usize];
        if !operation.is_first {
            let head = nodes[self.operation as usize - 1].head;
            low = low.max(others.first_without(|y| nodes[y as usize].end() <= head));
        }
        if !operation.is_last {
            let end = nodes[self.operation as usize + 1].end();
            high = high.min(others.first_without(|x| nodes[x as usize].head < end));
        }
        (low, high)
    }

    /// Longest path through the operation at a place: `end` of the one before it and `rest` of the
    /// one behind it, where they differ from what they are now.
    #[inline]
    fn between(
        &self,
        fixed: &Fixed,
        others: &Others<'_>,
        place: usize,
        end: Option<Time>,
        rest: Option<Time>,
    ) -> Time {
        let graph = self.graph;
        let (x, y) = (others.before(place), others.behind(place));
        let end = end.unwrap_or_else(|| if x == NONE { 0 } else { graph.nodes[x as usize].end() });
        let head = fixed.ready.max(graph.after(fixed.cell, x, end, fixed.key));
        let mut tail = fixed.job_tail;
        if y != NONE {
            let next = &graph.nodes[y as usize];
            let rest = rest.unwrap_or_else(|| next.rest());
            tail = tail.max(graph.setup(fixed.cell, fixed.key, next.key) + rest);
        }
        head + fixed.run + tail
    }

    fn offer(&self, place: usize, estimate: Time, allowed: bool, found: &mut Found, dice: &mut Dice) {
        let insertion = Insertion { operation: self.operation, choice: self.choice, place: place as u32 };
        found.look(insertion, estimate, allowed || estimate < self.aspired, dice);
    }

    /// Places on another cell.
    fn elsewhere(
        &self,
        fixed: &Fixed,
        others: &Others<'_>,
        (low, high): (usize, usize),
        found: &mut Found,
        dice: &mut Dice,
    ) {
        let left = self.path_without();
        let allowed = self.memory.allows_choice(self.choice);
        for place in low..=high.max(low) {
            if place > high {
                break;
            }
            let estimate = self.between(fixed, others, place, None, None).max(left);
            self.offer(place, estimate, allowed, found, dice);
        }
    }

    /// Longest path through the two operations that become neighbours when this one leaves.
    fn path_without(&self) -> Time {
        let graph = self.graph;
        let (x, y) =
            (graph.nodes[self.operation as usize].before, graph.nodes[self.operation as usize].behind);
        let end = if x == NONE { 0 } else { graph.nodes[x as usize].end() };
        if y == NONE {
            return end;
        }
        let next = &graph.nodes[y as usize];
        graph.ready(y).max(graph.after(next.cell, x, end, next.key)) + next.rest()
    }

    /// Whether changes inside a block may matter.
    fn any_change(&self) -> bool {
        self.graph.machines.has_setups || self.choice != self.graph.nodes[self.operation as usize].choice
    }

    /// Places before operations that now stand before this one.
    fn earlier(&self, fixed: &Fixed, others: &Others<'_>, low: usize, found: &mut Found, dice: &mut Dice) {
        let graph = self.graph;
        let from = others.without;
        let (mut next, mut rest) = (others.behind(from), None);
        let any = self.any_change();
        let (mut passed, mut allowed) = (0, true);
        for place in (low..from).rev() {
            let u = others.at(place);
            let node = &graph.nodes[u as usize];
            let mut tail = graph.job_tail(u);
            if next != NONE {
                let behind = &graph.nodes[next as usize];
                let rest = rest.unwrap_or_else(|| behind.rest());
                tail = tail.max(graph.setup(fixed.cell, node.key, behind.key) + rest);
            }
            next = u;
            rest = Some(node.run + tail);
            passed = passed.max(graph.ready(u) + node.run + tail);
            allowed = allowed && self.memory.allows(self.operation, u);
            if !(any || self.block.gains_earlier(from, place)) {
                continue;
            }
            let estimate = self.between(fixed, others, place, None, rest).max(passed);
            self.offer(place, estimate, allowed, found, dice);
        }
    }

    /// Places behind operations that now stand behind this one.
    fn later(&self, fixed: &Fixed, others: &Others<'_>, high: usize, found: &mut Found, dice: &mut Dice) {
        let graph = self.graph;
        let from = others.without;
        let mut last = others.before(from);
        let mut end = if last == NONE { 0 } else { graph.nodes[last as usize].end() };
        let any = self.any_change();
        let (mut passed, mut allowed) = (0, true);
        for place in from + 1..=high {
            let u = others.at(place - 1);
            let node = &graph.nodes[u as usize];
            end = graph.ready(u).max(graph.after(fixed.cell, last, end, node.key)) + node.run;
            last = u;
            passed = passed.max(end + graph.job_tail(u));
            allowed = allowed && self.memory.allows(u, self.operation);
            if !(any || self.block.gains_later(from, place)) {
                continue;
            }
            let estimate = self.between(fixed, others, place, Some(end), None).max(passed);
            self.offer(place, estimate, allowed, found, dice);
        }
    }
}
