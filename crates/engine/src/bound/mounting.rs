//! What is mounted when: the cheapest sequence of setup families on a cell, at given prices.
//!
//! On one cell and one level of families, time is cut into mounting buckets by the position at
//! which runs start. For each family and bucket let `m` say that the family is mounted as the
//! bucket begins (it is that of the last run before), and `u` that the bucket sees it set up. Then
//! in every schedule
//!
//! * a job that runs in the bucket needs `m + u >= 1` of its family, one such row for each job;
//! * at most one family is mounted as a bucket begins, and it was mounted before or set up in the
//!   bucket before (or stood there at minute 0, or belongs to pinned work);
//! * a set-up costs the family's extra minutes, as money and as minutes of the cell not long
//!   before the run that it serves.
//!
//! The rows are priced (the links of `tasks`); what is left is a path over buckets, solved exactly.

use super::prices::{Prices, buckets};
use super::tasks::{CellData, FamilyLevel, Shop};

/// The answer for one cell and level.
#[derive(Debug, Default)]
pub(crate) struct Mounting {
    families: usize,
    /// What the family's links pay in a bucket, bucket by bucket.
    paid: Vec<f64>,
    /// What setting it up costs, and the price bucket in which its minutes are cheapest.
    charge: Vec<(f64, Option<usize>)>,
    value: Vec<f64>,
    switch: Vec<usize>,
}

/// Something that happens to a family in a bucket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Event {
    /// It is mounted as the bucket begins.
    Standing,
    /// It is set up; its minutes are charged to this price bucket of the cell, or to none, where
    /// pinned work brings the family along.
    SetUp(Option<usize>),
}

impl Mounting {
    /// Collects what links pay on a level. Call once, then [`Mounting::solve`].
    pub(crate) fn prepare(&mut self, shop: &Shop, prices: &Prices<'_>, links: &[usize], at: (usize, usize)) {
        let cell = &shop.cells[at.0];
        let level = &cell.levels[at.1];
        let grid = prices.grid;
        let count = buckets(cell.time.total(), grid.resolution.mounting);
        self.families = level.extra.len();
        self.paid.clear();
        self.paid.resize(count * self.families, 0.0);
        for link in links {
            let (from, family) = (grid.link_at[*link], shop.links[*link].family);
            for (bucket, value) in prices.values[from..from + count].iter().enumerate() {
                self.paid[bucket * self.families + family] += value;
            }
        }
        self.charges(cell, level, prices, at.0);
    }

    fn charges(&mut self, cell: &CellData, level: &FamilyLevel, prices: &Prices<'_>, number: usize) {
        let shift = prices.grid.resolution.mounting;
        let count = self.paid.len() / self.families;
        self.charge.clear();
        for bucket in 0..count as i64 {
            let from = (bucket << shift) - level.reach;
            let to = ((bucket + 1) << shift).min(cell.time.total() + 1);
            let (rate, charged) = prices.tariffs[number].least_rate(from, to);
            let per_minute = cell.setup_rate + rate;
            self.charge.extend(level.extra.iter().map(|extra| (per_minute * *extra as f64, Some(charged))));
        }
        for (family, from, to) in &level.pinned {
            for bucket in (from >> shift)..=(to >> shift).min(count as i64 - 1) {
                self.charge[bucket as usize * self.families + family] = (0.0, None);
            }
        }
    }

    /// The least of what set-ups cost less what links pay; never above zero.
    pub(crate) fn solve(&mut self, level: &FamilyLevel) -> f64 {
        let n = self.families;
        let count = self.paid.len() / n;
        // value[b][f]: most gained from bucket b on if f is mounted as it begins; f == n: none.
        self.value.clear();
        self.value.resize((count + 1) * (n + 1), 0.0);
        self.switch.clear();
        self.switch.resize(count, 0);
        for bucket in (0..count).rev() {
            let (now, later) = self.value.split_at_mut((bucket + 1) * (n + 1));
            let now = &mut now[bucket * (n + 1)..];
            let row = bucket * n;
            let surplus = |family: usize| self.paid[row + family] - self.charge[row + family].0;
            let anyway: f64 = (0..n).map(|family| surplus(family).max(0.0)).sum();
            let switched = |family: usize| later[family] + surplus(family).min(0.0);
            let best = (0..n).max_by(|a, b| switched(*a).total_cmp(&switched(*b))).unwrap_or(0);
            self.switch[bucket] = best;
            let changed = switched(best);
            for family in 0..n {
                let standing = self.paid[row + family] - surplus(family).max(0.0);
                now[family] = standing + anyway + later[family].max(changed);
            }
            now[n] = anyway + later[n].max(changed);
        }
        -self.value[level.initial.unwrap_or(n)]
    }

    /// Tells what happens in the answer of [`Mounting::solve`]: bucket, family, event.
    pub(crate) fn events(&self, level: &FamilyLevel, mut tell: impl FnMut(usize, usize, Event)) {
        let n = self.families;
        let count = self.paid.len() / n;
        let mut standing = level.initial.unwrap_or(n);
        for bucket in 0..count {
            let row = bucket * n;
            let later = &self.value[(bucket + 1) * (n + 1)..];
            let surplus = |family: usize| self.paid[row + family] - self.charge[row + family].0;
            let best = self.switch[bucket];
            let switches = later[best] + surplus(best).min(0.0) > later[standing];
            for family in 0..n {
                if family == standing {
                    tell(bucket, family, Event::Standing);
                } else if surplus(family) > 0.0 || (switches && family == best) {
                    tell(bucket, family, Event::SetUp(self.charge[row + family].1));
                }
            }
            if switches {
                standing = best;
            }
        }
    }
}

/// The links of each cell and level.
pub(crate) fn links_by_level(shop: &Shop) -> Vec<Vec<Vec<usize>>> {
    let mut out: Vec<Vec<Vec<usize>>> =
        shop.cells.iter().map(|cell| vec![Vec::new(); cell.levels.len()]).collect();
    for (at, link) in shop.links.iter().enumerate() {
        out[link.cell][link.level].push(at);
    }
    out
}
