//! Changeover times by number instead of by name.

use super::calendar::{Time, minute};
use elbowroom_problem::Cell;
use std::collections::HashMap;

/// The key number that stands for "nothing is mounted".
pub(crate) const NOTHING: u32 = 0;

/// Largest number of table entries of one cell; beyond it the pairs are looked up by hash.
const LARGEST_TABLE: usize = 1 << 22;

/// Changeover minutes between the setup keys of one cell.
#[derive(Clone, Debug, Default)]
pub(crate) struct Changeovers {
    keys: HashMap<String, u32>,
    width: usize,
    table: Vec<Time>,
    pairs: HashMap<(u32, u32), Time>,
    same: Time,
    /// From nothing mounted, between keys without a pair, and after remounting.
    pub(crate) default: Time,
    /// Whether the cell has changeovers, and with them the remount rule.
    pub(crate) exist: bool,
    /// What changing over to each key takes at least, whatever came before.
    least: Vec<Time>,
}

impl Changeovers {
    /// For a cell on which the given setup keys can be wanted.
    pub(crate) fn new(cell: &Cell, wanted: impl Iterator<Item = String>) -> Self {
        let mut all = Self::default();
        for key in cell.initial_setup.iter().cloned().chain(wanted) {
            let next = all.keys.len() as u32 + 1;
            all.keys.entry(key).or_insert(next);
        }
        if let Some(changeover) = &cell.changeover {
            all.exist = true;
            all.default = minute(changeover.default.count());
            all.same = minute(changeover.same.count());
            // Pairs from the same key mostly stand together.
            let mut last: Option<(&str, Option<u32>)> = None;
            for (from, to, minutes) in &changeover.pairs {
                let known = last.filter(|(key, _)| key == from);
                let a = known.map_or_else(|| all.keys.get(from).copied(), |(_, number)| number);
                last = Some((from, a));
                if let Some((a, &b)) = a.zip(all.keys.get(to)) {
                    all.pairs.entry((a, b)).or_insert(minute(minutes.count()));
                }
            }
            all.least = all.least_from_others();
            all.fill();
        }
        all
    }

    /// What changing over to each key takes at least from nothing or from any other key.
    fn least_from_others(&self) -> Vec<Time> {
        let mut least = vec![self.default; self.keys.len() + 1];
        // A minimum does not depend on the order of the pairs.
        self.pairs.iter().filter(|((from, to), _)| from != to).for_each(|(&(_, to), &minutes)| {
            least[to as usize] = least[to as usize].min(minutes);
        });
        least
    }

    /// Notes that a key can be mounted, so that the next work with it may find it there.
    pub(crate) fn can_be_mounted(&mut self, key: u32) {
        if let Some(least) = self.least.get_mut(key as usize) {
            *least = self.same.min(*least);
        }
    }

    /// What changing over to a key takes at least.
    pub(crate) fn least_to(&self, key: u32) -> Time {
        self.least.get(key as usize).copied().unwrap_or(0)
    }

    /// What any changing over takes at most.
    pub(crate) fn longest(&self) -> Time {
        let known = self.table.iter().chain(self.pairs.values());
        known.copied().fold(self.default.max(self.same), Time::max)
    }

    fn fill(&mut self) {
        let width = self.keys.len() + 1;
        if width * width > LARGEST_TABLE {
            return;
        }
        let table =
            (0..width * width).map(|i| self.look_up((i / width) as u32, (i % width) as u32)).collect();
        self.table = table;
        self.width = width;
        // The table answers from now on.
        self.pairs = HashMap::new();
    }

    fn look_up(&self, from: u32, to: u32) -> Time {
        if from == NOTHING {
            self.default
        } else if from == to {
            self.same
        } else {
            self.pairs.get(&(from, to)).copied().unwrap_or(self.default)
        }
    }

    /// The number of a key.
    pub(crate) fn number(&self, key: &str) -> u32 {
        self.keys.get(key).copied().unwrap_or(NOTHING)
    }

    /// Minutes from one key to the next; 0 on a cell without changeovers.
    #[inline]
    pub(crate) fn minutes(&self, from: u32, to: u32) -> Time {
        if !self.exist {
            0
        } else if self.width > 0 {
            self.table[from as usize * self.width + to as usize]
        } else {
            self.look_up(from, to)
        }
    }
}
