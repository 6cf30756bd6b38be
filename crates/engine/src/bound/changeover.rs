//! What changing over surely costs: the least entry of a key, and families of keys.
//!
//! Two facts about any sequence on a cell are used.
//!
//! * **Least entry.** An operation's setup is at least the least changeover into its key from any
//!   key that can stand before it: the initial one, a pinned one, that of another operation.
//! * **Families.** At a level of `t` minutes, two keys are of one family if a chain of changeovers
//!   shorter than `t` (in either direction) connects them. Whoever enters a family from outside
//!   pays at least `t`. Levels are nested: an entry that crosses the levels `t1 < t2 < ... < tm`
//!   costs at least `tm = t1 + (t2 - t1) + ...`, so that each level may charge its own increment,
//!   and no changeover is ever charged more than it takes.
//!
//! Remounting only ever lengthens a setup, so leaving it out is a relaxation.

use elbowroom_problem::Cell;
use std::collections::BTreeMap;

/// More keys than this on one cell: families are left out (their table would be too large).
const MOST_KEYS: usize = 3_000;
/// Most keys of a cell for which [`Keys::apart`] is found.
const MOST_APART: usize = 200;
/// Levels kept on one cell; further ones are merged into these.
const MOST_LEVELS: usize = 3;

/// The setup keys in use on one cell and the changeovers between them.
#[derive(Clone, Debug)]
pub(crate) struct Keys {
    number: BTreeMap<String, usize>,
    /// Changeover minutes, row by row; the last row is "what is mounted at minute 0".
    minutes: Vec<i64>,
    /// Whether the cell has changeovers at all.
    any: bool,
    /// What mounting takes from nothing.
    default: i64,
    /// What is mounted at minute 0, if it is among these.
    initial: Option<usize>,
}

impl Keys {
    /// The table of `keys` (sorted, without repetition) on `cell`.
    pub(crate) fn new(cell: &Cell, keys: &[&str]) -> Self {
        let number: BTreeMap<String, usize> =
            keys.iter().enumerate().map(|(i, key)| ((*key).to_owned(), i)).collect();
        let n = keys.len();
        let mut keys = Self { number, minutes: vec![0; (n + 1) * n], any: false, default: 0, initial: None };
        let Some(changeover) = &cell.changeover else { return keys };
        keys.any = true;
        keys.default = changeover.default.count();
        keys.minutes.fill(changeover.default.count());
        let mut fixed = vec![false; (n + 1) * n];
        for (from, to, minutes) in &changeover.pairs {
            let Some(to) = keys.number.get(to).copied() else { continue };
            let standing = (cell.initial_setup.as_ref() == Some(from)).then_some(n);
            for from in keys.number.get(from).copied().into_iter().chain(standing) {
                if !std::mem::replace(&mut fixed[from * n + to], true) {
                    keys.minutes[from * n + to] = minutes.count();
                }
            }
        }
        for key in 0..n {
            keys.minutes[key * n + key] = changeover.same.count();
        }
        if let Some(key) = cell.initial_setup.as_ref().and_then(|key| keys.number.get(key)) {
            keys.minutes[n * n + key] = changeover.same.count();
            keys.initial = Some(*key);
        }
        keys
    }

    /// What mounting again takes at least, where a tool was taken away meanwhile.
    pub(crate) fn default(&self) -> i64 {
        self.default
    }

    /// The key mounted at minute 0, if it is in use.
    pub(crate) fn initial(&self) -> Option<usize> {
        self.initial
    }

    /// How many keys are in use.
    pub(crate) fn count(&self) -> usize {
        self.number.len()
    }

    /// The number of a key in use.
    pub(crate) fn number(&self, key: &str) -> Option<usize> {
        self.number.get(key).copied()
    }

    /// The changeover from a key, or from what stands at minute 0 (`from == count`), to another.
    pub(crate) fn minutes(&self, from: usize, to: usize) -> i64 {
        self.minutes[from * self.count() + to]
    }

    /// How much time lies at least between the end of a run of one key and the begin of a later run of
    /// another, whatever is made between them: row by row, the last row from minute 0. Changeovers
    /// need not obey the triangle inequality, so that the shortest chain counts (Floyd and Warshall). The
    /// keys `free` can be mounted for nothing. `None` where there are too many keys for that.
    pub(crate) fn apart(&self, free: &[usize]) -> Option<Vec<i64>> {
        let n = self.count();
        if n > MOST_APART {
            return None;
        }
        let mut apart = self.minutes.clone();
        for to in free {
            (0..=n).for_each(|from| apart[from * n + to] = 0);
        }
        for via in 0..n {
            for from in 0..=n {
                for to in 0..n {
                    let chain = apart[from * n + via] + apart[via * n + to];
                    let direct = &mut apart[from * n + to];
                    *direct = chain.min(*direct);
                }
            }
        }
        Some(apart)
    }

    /// The least changeover into key `to`; from the same key only where it is `repeated`, that is
    /// where another operation may bring it.
    pub(crate) fn least_entry(&self, to: usize, repeated: bool) -> i64 {
        let others = (0..=self.count()).filter(|from| *from != to || repeated);
        others.map(|from| self.minutes(from, to)).min().unwrap_or(0)
    }

    /// The nested families, coarsest level last.
    pub(crate) fn levels(&self) -> Vec<Level> {
        let n = self.count();
        if !self.any || n == 0 || n > MOST_KEYS {
            return Vec::new();
        }
        let tree = self.nearest_tree();
        let mut heights: Vec<i64> = tree.iter().map(|(_, _, minutes)| *minutes).filter(|m| *m > 0).collect();
        heights.sort_unstable();
        let mut steps = heights.clone();
        steps.dedup();
        if steps.len() > MOST_LEVELS {
            // Levels at equal shares of the merges keep most of what all levels would charge.
            let share = |i: usize| heights[(i + 1) * heights.len() / MOST_LEVELS - 1];
            steps = (0..MOST_LEVELS).map(share).collect();
            steps.dedup();
        }
        let mut below = 0;
        steps
            .into_iter()
            .map(|minutes| {
                let level = Level { minutes, below, family: families(n + 1, &tree, minutes) };
                below = minutes;
                level
            })
            .collect()
    }

    /// A minimum spanning tree of the keys and the initial state, by the shorter direction (Prim).
    fn nearest_tree(&self) -> Vec<(usize, usize, i64)> {
        let n = self.count();
        let near = |a: usize, b: usize| match (a == n, b == n) {
            (true, _) => self.minutes(n, b),
            (_, true) => self.minutes(n, a),
            _ => self.minutes(a, b).min(self.minutes(b, a)),
        };
        let mut best: Vec<(i64, usize)> = (0..n).map(|key| (near(n, key), n)).collect();
        let mut left: Vec<usize> = (0..n).collect();
        let mut tree = Vec::with_capacity(n);
        while let Some(at) = (0..left.len()).min_by_key(|at| best[left[*at]].0) {
            let key = left.swap_remove(at);
            tree.push((best[key].1, key, best[key].0));
            for other in &left {
                best[*other] = best[*other].min((near(key, *other), key));
            }
        }
        tree
    }
}

/// Families of keys at one level of changeover minutes.
#[derive(Clone, Debug)]
pub(crate) struct Level {
    /// Entering a family from another takes at least this.
    pub(crate) minutes: i64,
    /// The level below; this level charges the difference.
    pub(crate) below: i64,
    /// The family of each key, and last that of the initial state.
    pub(crate) family: Vec<usize>,
}

/// Families of `n` nodes joined by the tree's edges shorter than `minutes`, named by one member.
fn families(n: usize, tree: &[(usize, usize, i64)], minutes: i64) -> Vec<usize> {
    let mut family: Vec<usize> = (0..n).collect();
    // The tree grows from its root, so that a parent's family is known before its children's.
    for (parent, child, length) in tree {
        if *length < minutes {
            family[*child] = family[*parent];
        }
    }
    family
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_problem::Changeover;
    use elbowroom_units::{Minutes, RatePerMinute};

    fn cell(default: i64, pairs: &[(&str, &str, i64)], initial: Option<&str>) -> Cell {
        let pair = |(a, b, m): &(&str, &str, i64)| ((*a).to_owned(), (*b).to_owned(), Minutes::new(*m));
        Cell {
            id: "bend".to_owned(),
            windows: Vec::new(),
            run_rate: RatePerMinute::ZERO,
            setup_rate: RatePerMinute::ZERO,
            initial_setup: initial.map(str::to_owned),
            changeover: Some(Changeover {
                default: Minutes::new(default),
                same: Minutes::ZERO,
                pairs: pairs.iter().map(pair).collect(),
            }),
        }
    }

    #[test]
    fn no_changeover_is_charged_more_than_it_takes() {
        let pairs = [("a", "b", 5), ("b", "c", 30), ("c", "b", 20), ("d", "a", 70), ("a", "d", 12)];
        let names = ["a", "b", "c", "d", "e"];
        for initial in [None, Some("c"), Some("elsewhere")] {
            let keys = Keys::new(&cell(60, &pairs, initial), &names);
            let levels = keys.levels();
            assert!(!levels.is_empty());
            for from in 0..=names.len() {
                for to in 0..names.len() {
                    let crossed = levels.iter().filter(|l| l.family[from] != l.family[to]);
                    let charged: i64 = crossed.map(|l| l.minutes - l.below).sum();
                    assert!(charged <= keys.minutes(from, to), "{from} to {to}, {initial:?}");
                }
            }
        }
    }

    #[test]
    fn what_lies_between_two_runs_may_be_a_chain_of_changeovers() {
        let keys = Keys::new(&cell(60, &[("a", "b", 5), ("b", "c", 10)], None), &["a", "b", "c"]);
        let apart = keys.apart(&[]).expect("three keys are not too many");
        assert_eq!(apart[2], 15, "a to c by way of b, not 60");
        assert_eq!(apart[3], 60, "b to a");
        assert_eq!(apart[9..], [60, 60, 60], "from the beginning");
        let apart = keys.apart(&[1]).expect("three keys are not too many");
        assert_eq!(apart[2], 10, "pinned work between mounts b for nothing");
    }

    #[test]
    fn the_least_entry_counts_the_initial_key_and_repetition() {
        let keys = Keys::new(&cell(60, &[("a", "b", 5)], Some("a")), &["a", "b"]);
        assert_eq!(keys.least_entry(0, false), 0, "a is mounted at minute 0");
        assert_eq!(keys.least_entry(1, false), 5);
        assert_eq!(keys.least_entry(1, true), 0);
        let keys = Keys::new(&cell(60, &[], None), &["a", "b"]);
        assert_eq!(keys.least_entry(0, false), 60, "nothing is mounted at minute 0");
    }
}
