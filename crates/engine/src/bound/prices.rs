//! Prices of the relaxation: what each bucket of a cell's working time costs, what mounting a
//! family for a job costs, what using an offered tool costs.

use super::axis::{SlotMap, Slots};
use super::tasks::Shop;

/// How finely the relaxation looks at time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Resolution {
    /// Width of a slot, minutes of the clock.
    pub(crate) slot: i64,
    /// Binary logarithm of the width of a price bucket in working minutes; not narrower than a slot.
    pub(crate) bucket: u32,
    /// Binary logarithm of the width of a mounting bucket in working minutes.
    pub(crate) mounting: u32,
}

/// Time cut into slots and buckets, and where each multiplier stands in the vector of them all.
#[derive(Clone, Debug)]
pub(crate) struct Grid {
    pub(crate) resolution: Resolution,
    pub(crate) slots: Slots,
    pub(crate) maps: Vec<SlotMap>,
    /// Where the price buckets of each cell begin in the multipliers.
    pub(crate) price_at: Vec<usize>,
    /// Working minutes of each price bucket that pinned work leaves free, as `price_at`.
    pub(crate) capacity: Vec<f64>,
    /// Where the mounting buckets of each link begin.
    pub(crate) link_at: Vec<usize>,
    /// Where the multipliers of the offers begin.
    pub(crate) offer_at: usize,
    /// How many multipliers there are.
    pub(crate) size: usize,
}

impl Grid {
    /// The grid of `shop` at a resolution.
    pub(crate) fn new(shop: &Shop, resolution: Resolution) -> Self {
        let times: Vec<_> = shop.cells.iter().map(|cell| cell.time.clone()).collect();
        let slots = Slots::new(&times, resolution.slot, shop.horizon);
        let maps = times.iter().map(|time| SlotMap::new(time, &slots)).collect();
        let mut size = 0;
        let mut take = |count: usize| {
            size += count;
            size - count
        };
        let price_at = times.iter().map(|time| take(buckets(time.total(), resolution.bucket))).collect();
        let mounting = |cell: usize| buckets(times[cell].total(), resolution.mounting);
        let link_at = shop.links.iter().map(|link| take(mounting(link.cell))).collect();
        let offer_at = take(shop.offer_links.len());
        let mut grid =
            Self { resolution, slots, maps, price_at, capacity: Vec::new(), link_at, offer_at, size };
        for cell in &shop.cells {
            let free = grid.free_minutes(cell.time.total(), &cell.blocks);
            grid.capacity.extend(free);
        }
        grid
    }

    /// Width of a price bucket in working minutes.
    pub(crate) fn width(&self) -> i64 {
        1 << self.resolution.bucket
    }

    fn free_minutes(&self, total: i64, blocks: &[(i64, i64)]) -> Vec<f64> {
        let width = self.width();
        let bucket = |b: usize| (b as i64 * width, (b as i64 + 1) * width);
        let count = buckets(total, self.resolution.bucket);
        (0..count)
            .map(|b| {
                let (from, to) = bucket(b);
                let held: i64 = blocks.iter().map(|(a, b)| (b.min(&to) - a.max(&from)).max(0)).sum();
                ((to.min(total) - from - held).max(0)) as f64
            })
            .collect()
    }
}

/// Buckets of `1 << shift` minutes that cover positions `0..=total`.
pub(crate) fn buckets(total: i64, shift: u32) -> usize {
    (total >> shift) as usize + 1
}

/// What the working minutes before each position of a cell cost together: piecewise linear.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tariff {
    shift: u32,
    before: Vec<f64>,
    rate: Vec<f64>,
}

impl Tariff {
    /// The tariff of the given rates per minute, one for each bucket of `1 << shift` minutes.
    pub(crate) fn set(&mut self, shift: u32, rates: impl Iterator<Item = f64>) {
        self.shift = shift;
        self.rate.clear();
        self.rate.extend(rates);
        self.before.clear();
        let width = (1_i64 << shift) as f64;
        let mut sum = 0.0;
        for rate in &self.rate {
            self.before.push(sum);
            sum += rate * width;
        }
    }

    /// Money for all working minutes before `position`, which must be in `[0, total]`.
    #[inline]
    pub(crate) fn at(&self, position: i64) -> f64 {
        let bucket = (position >> self.shift) as usize;
        let into = position & ((1 << self.shift) - 1);
        self.before[bucket] + self.rate[bucket] * into as f64
    }

    /// The bucket of a position.
    #[inline]
    pub(crate) fn bucket(&self, position: i64) -> i64 {
        position >> self.shift
    }

    /// The first position of a bucket.
    #[inline]
    pub(crate) fn start(&self, bucket: i64) -> i64 {
        bucket << self.shift
    }

    /// The least rate at any position in `[from, to)`, and its bucket; `from < to`.
    pub(crate) fn least_rate(&self, from: i64, to: i64) -> (f64, usize) {
        let (first, last) = (self.bucket(from.max(0)) as usize, self.bucket(to - 1) as usize);
        let mut best = (self.rate[first], first);
        for bucket in first + 1..=last.min(self.rate.len() - 1) {
            if self.rate[bucket] < best.0 {
                best = (self.rate[bucket], bucket);
            }
        }
        best
    }
}

/// All multipliers at one moment, ready for look-ups.
#[derive(Clone, Debug)]
pub(crate) struct Prices<'a> {
    pub(crate) grid: &'a Grid,
    pub(crate) values: &'a [f64],
    pub(crate) tariffs: Vec<Tariff>,
}

impl<'a> Prices<'a> {
    /// Prices from multipliers. A price bucket's multiplier is the money for the whole bucket.
    pub(crate) fn new(shop: &Shop, grid: &'a Grid, values: &'a [f64]) -> Self {
        let shift = grid.resolution.bucket;
        let width = grid.width() as f64;
        let tariffs = shop.cells.iter().zip(&grid.price_at).map(|(cell, at)| {
            let mut tariff = Tariff::default();
            let count = buckets(cell.time.total(), shift);
            tariff.set(shift, values[*at..at + count].iter().map(|value| value / width));
            tariff
        });
        Self { grid, values, tariffs: tariffs.collect() }
    }

    /// What an offered tool costs in this link.
    #[inline]
    pub(crate) fn offer(&self, link: usize) -> f64 {
        self.values[self.grid.offer_at + link]
    }
}
