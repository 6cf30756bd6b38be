//! Longer least setups, where what can stand before an operation is known better.
//!
//! In a case an operation's setup is at least the least changeover from anything that can still stand
//! right before it. What the least setups of a family charge its levels must not charge again
//! (`tasks::families`), so that raising them pays on a cell only where it charges more than the levels
//! lose; with all orders known, what is left is the true changeovers.

use super::super::tasks::{Choice, Shop};
use super::case::StepAt;
use super::sequence::{Entry, Sequence, entries};

/// How often each family was set up lately: by cell, level and family.
pub(super) type Entered = Vec<Vec<(f64, Vec<u32>)>>;

impl Sequence {
    /// Sets the least setups of `shop` anew; `base` has those of the undecided shop. Says whether any
    /// has changed, or what levels charge.
    pub(super) fn raise(
        &self,
        shop: &mut Shop,
        base: &Shop,
        orders: &[(StepAt, StepAt)],
        entered: &Entered,
    ) -> bool {
        let mut changed = false;
        for cell in 0..shop.cells.len() {
            let entries = entries(shop, cell);
            let old: Vec<i64> = entries.iter().map(|entry| choice(base, *entry).setup).collect();
            let data = &shop.cells[cell];
            let new = if data.blocks.is_empty() && !data.has_momentary {
                self.least_setups(shop, cell, &entries, orders, &old)
            } else {
                old.clone()
            };
            let (before, after) = (extras(shop, cell, &entries, &old), extras(shop, cell, &entries, &new));
            let gain: i64 = (0..entries.len()).filter(|i| entries[*i].certain).map(|i| new[i] - old[i]).sum();
            let loss = loss(&before, &after, entered.get(cell));
            let raised = gain > 0 && gain >= loss;
            for (entry, setup) in entries.iter().zip(if raised { &new } else { &old }) {
                let (base, rate) = (choice(base, *entry), shop.cells[cell].setup_rate);
                let money = base.money + rate * (setup - base.setup) as f64;
                let choice = &mut shop.tasks[entry.at.0].steps[entry.at.1].choices[entry.choice];
                changed |= *setup != choice.setup;
                (choice.setup, choice.money) = (*setup, money);
                choice.first = choice.first.max(*setup);
            }
            for (level, extra) in shop.cells[cell].levels.iter_mut().zip(if raised { after } else { before })
            {
                changed |= level.extra != extra;
                level.extra = extra;
            }
        }
        changed
    }

    /// For each entry the least changeover from what can stand right before it.
    fn least_setups(
        &self,
        shop: &Shop,
        cell: usize,
        entries: &[Entry],
        orders: &[(StepAt, StepAt)],
        old: &[i64],
    ) -> Vec<i64> {
        let n = entries.len();
        let may: Vec<bool> = (0..n * n)
            .map(|at| {
                let (x, y) = (entries[at / n], entries[at % n]);
                x.at != y.at && self.may_precede(shop, cell, (x, y), orders)
            })
            .collect();
        // Certain operations that surely come before others.
        let surely = |x: usize, y: usize| entries[x].certain && may[x * n + y] && !may[y * n + x];
        let keys = &shop.keys[cell];
        let key = |at: usize| choice(shop, entries[at]).key;
        (0..n)
            .map(|y| {
                let first: Vec<usize> = (0..n).filter(|z| surely(*z, y)).collect();
                let from_start = first.is_empty().then(|| keys.minutes(keys.count(), key(y)));
                let between = |x: usize| first.iter().any(|z| *z != x && may[x * n + z] && !may[z * n + x]);
                let before = (0..n).filter(|x| may[x * n + y] && !between(*x));
                let least = before.map(|x| keys.minutes(key(x), key(y))).chain(from_start).min();
                least.map_or(old[y], |least| least.max(old[y]))
            })
            .collect()
    }
}

fn choice(shop: &Shop, entry: Entry) -> &Choice {
    &shop.tasks[entry.at.0].steps[entry.at.1].choices[entry.choice]
}

/// What each level of a cell still charges for a family beside these least setups.
fn extras(shop: &Shop, cell: usize, entries: &[Entry], setups: &[i64]) -> Vec<Vec<i64>> {
    let levels = &shop.cells[cell].levels;
    let mut charged: Vec<Vec<i64>> =
        levels.iter().map(|level| vec![level.below; level.extra.len()]).collect();
    for (entry, setup) in entries.iter().zip(setups) {
        for link in choice(shop, *entry).links.iter().map(|link| shop.links[*link]) {
            let charged = &mut charged[link.level][link.family];
            *charged = (*charged).max(*setup);
        }
    }
    let rows = levels.iter().zip(charged);
    rows.map(|(level, row)| row.into_iter().map(|c| (level.minutes - c).max(0)).collect()).collect()
}

/// Minutes that the levels charge less, by what was set up lately.
fn loss(before: &[Vec<i64>], after: &[Vec<i64>], entered: Option<&Vec<(f64, Vec<u32>)>>) -> i64 {
    let mut sum = 0;
    for (level, (before, after)) in before.iter().zip(after).enumerate() {
        for (family, (before, after)) in before.iter().zip(after).enumerate() {
            let times = entered.and_then(|levels| levels.get(level)).map_or(1, |(_, counts)| counts[family]);
            sum += (before - after) * i64::from(times);
        }
    }
    sum
}
