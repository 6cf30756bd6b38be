//! The Lagrangian relaxation: what all jobs together cost at least, at given prices.
//!
//! The rows that are priced instead of enforced, each true of every schedule:
//!
//! 1. *Cell time.* In each bucket of a cell's working time, runs, their least setups and the
//!    set-ups of families take no more minutes than pinned work leaves free.
//! 2. *Mounting.* A run needs its family mounted or set up (see `mounting`).
//! 3. *Offers.* A job that uses a tool on offer needs it bought.
//!
//! For multipliers of zero or more, the least of "cost + multipliers x violations" over all ways,
//! mounting sequences and purchases is no more than the cost of any schedule. It falls apart into
//! one problem for each job (`way`), cell and family level (`mounting`) and offer, each solved
//! exactly. So every vector of multipliers proves a bound, however it was found.

use super::meter::Meter;
use super::mounting::{Event, Mounting, links_by_level};
use super::prices::{Grid, Prices, Resolution, buckets};
use super::tasks::{Choice, Shop, Step};
use super::way::{Leg, Pricing, Scratch, Way, Windows};
use std::rc::Rc;

/// Batches of one incremental pass.
const BATCHES: usize = 20;
/// Jobs made between looks at the clock.
const LOOK: usize = 16;

/// The relaxation of one shop at one resolution.
pub(crate) struct Relaxation<'a> {
    pub(crate) shop: &'a Shop,
    pub(crate) grid: Rc<Grid>,
    links: Rc<Vec<Vec<Vec<usize>>>>,
}

/// Memory for evaluations, reused from one to the next.
#[derive(Default)]
pub(crate) struct Workspace {
    pub(crate) scratch: Scratch,
    pub(crate) mounting: Mounting,
    /// The cheapest way of each job in the last evaluation, on the same grid.
    pub(crate) ways: Vec<Option<Way>>,
    /// What they cost at its multipliers.
    pub(crate) costs: Vec<f64>,
    /// What mounting costs at its multipliers, by cell and level, and how often each family is set up.
    pub(crate) mounted: Vec<Vec<(f64, Vec<u32>)>>,
    /// Violation of each priced row in the answer of the last evaluation.
    pub(crate) violation: Vec<f64>,
}

impl<'a> Relaxation<'a> {
    /// Prepares the relaxation.
    pub(crate) fn new(shop: &'a Shop, resolution: Resolution) -> Self {
        Self { shop, grid: Rc::new(Grid::new(shop, resolution)), links: Rc::new(links_by_level(shop)) }
    }

    /// The same relaxation of a shop that differs only in what its choices may do.
    pub(crate) fn of<'b>(&self, shop: &'b Shop) -> Relaxation<'b> {
        Relaxation { shop, grid: Rc::clone(&self.grid), links: Rc::clone(&self.links) }
    }

    /// The least total at multipliers `values` (none negative), which no schedule can beat.
    ///
    /// `None` if some job cannot be made at all, or if `meter` says stop. Leaves ways and
    /// violations in `work`.
    pub(crate) fn evaluate(&self, values: &[f64], work: &mut Workspace, meter: &Meter<'_>) -> Option<f64> {
        work.ways.resize(self.shop.tasks.len(), None);
        self.start_violations(&mut work.violation, 1.0);
        let prices = Prices::new(self.shop, &self.grid, values);
        let mut total = self.shop.sunk - self.paid_for_capacity(values);
        total += self.mount(&prices, work);
        total += self.buy(&prices, &mut work.violation);
        let pricing = Pricing { shop: self.shop, prices: &prices };
        work.costs.clear();
        for job in 0..self.shop.tasks.len() {
            let cost = self.make(&pricing, job, work, meter)?;
            work.costs.push(cost);
            total += cost;
        }
        Some(total)
    }

    /// Where jobs can start their runs in schedules that cost less than `upper`, by what the last
    /// evaluation, of `values`, has proved: see `tree`.
    pub(crate) fn windows(
        &self,
        values: &[f64],
        total: f64,
        upper: f64,
        work: &mut Workspace,
    ) -> Vec<Windows> {
        let prices = Prices::new(self.shop, &self.grid, values);
        let pricing = Pricing { shop: self.shop, prices: &prices };
        let Workspace { costs, scratch, .. } = work;
        let jobs = self.shop.tasks.iter().zip(costs);
        jobs.map(|(task, cost)| pricing.windows(task, upper - total + *cost, scratch)).collect()
    }

    /// One pass of incremental steps of length `rate`: after each batch of jobs the multipliers
    /// follow what the batch uses, so that the next batch sees it (Nedic and Bertsekas, SIAM Journal
    /// on Optimization 12, 2001). Proves nothing by itself. `None` as in [`Relaxation::evaluate`].
    pub(crate) fn pass(
        &self,
        values: &mut [f64],
        rate: f64,
        work: &mut Workspace,
        meter: &Meter<'_>,
    ) -> Option<()> {
        let jobs = self.shop.tasks.len();
        work.ways.resize(jobs, None);
        let batches = BATCHES.min(jobs);
        for batch in 0..batches {
            self.start_violations(&mut work.violation, 1.0 / batches as f64);
            let prices = Prices::new(self.shop, &self.grid, values);
            if batch + 1 == batches {
                self.mount(&prices, work);
                self.buy(&prices, &mut work.violation);
            }
            let pricing = Pricing { shop: self.shop, prices: &prices };
            for job in (batch..jobs).step_by(batches) {
                self.make(&pricing, job, work, meter)?;
            }
            for (value, violation) in values.iter_mut().zip(&work.violation) {
                *value = (*value + rate * violation).max(0.0);
            }
        }
        Some(())
    }

    /// Makes one job in its cheapest way and answers the price.
    fn make(
        &self,
        pricing: &Pricing<'_>,
        job: usize,
        work: &mut Workspace,
        meter: &Meter<'_>,
    ) -> Option<f64> {
        if job.is_multiple_of(LOOK) && meter.interrupts() {
            return None;
        }
        let known = work.ways[job].as_ref();
        let (price, way) = pricing.cheapest(&self.shop.tasks[job], known, &mut work.scratch)?;
        self.use_up(pricing, job, &way, &mut work.violation);
        work.ways[job] = Some(way);
        Some(price)
    }

    fn cell_buckets(&self) -> usize {
        self.grid.capacity.len()
    }

    /// Nothing used yet, of `share` of the capacity.
    fn start_violations(&self, violation: &mut Vec<f64>, share: f64) {
        violation.clear();
        violation.resize(self.grid.size, 0.0);
        let width = self.grid.width() as f64;
        for (row, capacity) in violation.iter_mut().zip(&self.grid.capacity) {
            *row = -capacity / width * share;
        }
    }

    fn paid_for_capacity(&self, values: &[f64]) -> f64 {
        let width = self.grid.width() as f64;
        let rows = values[..self.cell_buckets()].iter().zip(&self.grid.capacity);
        rows.map(|(value, capacity)| value * (capacity / width)).sum()
    }

    fn mount(&self, prices: &Prices<'_>, work: &mut Workspace) -> f64 {
        let width = self.grid.width() as f64;
        let mut total = 0.0;
        work.mounted.resize(self.links.len(), Vec::new());
        for (cell, levels) in self.links.iter().enumerate() {
            work.mounted[cell].clear();
            for (level, links) in levels.iter().enumerate() {
                let data = &self.shop.cells[cell].levels[level];
                let count = buckets(self.shop.cells[cell].time.total(), self.grid.resolution.mounting);
                work.mounting.prepare(self.shop, prices, links, (cell, level));
                let value = work.mounting.solve(data);
                total += value;
                let mut entered = vec![0; data.extra.len()];
                let violation = &mut work.violation;
                let mut there = vec![false; count * data.extra.len()];
                work.mounting.events(data, |bucket, family, event| {
                    there[family * count + bucket] = true;
                    entered[family] += u32::from(matches!(event, Event::SetUp(_)));
                    if let Event::SetUp(Some(charged)) = event {
                        violation[self.grid.price_at[cell] + charged] += data.extra[family] as f64 / width;
                    }
                });
                work.mounted[cell].push((value, entered));
                for link in links {
                    let (at, family) = (self.grid.link_at[*link], self.shop.links[*link].family);
                    let rows = &mut violation[at..at + count];
                    for (row, there) in rows.iter_mut().zip(&there[family * count..]) {
                        *row -= f64::from(u8::from(*there));
                    }
                }
            }
        }
        total
    }

    /// What mounting on a level of a cell costs at `prices`.
    pub(crate) fn mounting_value(
        &self,
        shop: &Shop,
        prices: &Prices<'_>,
        (cell, level): (usize, usize),
        mounting: &mut Mounting,
    ) -> f64 {
        mounting.prepare(shop, prices, &self.links[cell][level], (cell, level));
        mounting.solve(&shop.cells[cell].levels[level])
    }

    /// Buys an offer if its links pay more than its price.
    fn buy(&self, prices: &Prices<'_>, violation: &mut [f64]) -> f64 {
        let mut surplus: Vec<f64> = self.shop.offers.iter().map(|offer| offer.price).collect();
        for (link, offer) in self.shop.offer_links.iter().enumerate() {
            surplus[*offer] -= prices.offer(link);
        }
        for (link, offer) in self.shop.offer_links.iter().enumerate() {
            if surplus[*offer] < 0.0 {
                violation[self.grid.offer_at + link] -= 1.0;
            }
        }
        surplus.iter().map(|left| left.min(0.0)).sum()
    }

    fn use_up(&self, pricing: &Pricing<'_>, job: usize, way: &Way, violation: &mut [f64]) {
        let task = &self.shop.tasks[job];
        for (step, leg) in task.routes[way.plan].steps.iter().zip(&way.legs) {
            let step = &task.steps[*step];
            let choice = &step.choices[leg.choice];
            let (Some(cell), None) = (choice.cell, step.pinned) else { continue };
            let charge = pricing.charge(step, *leg);
            self.use_minutes(cell, charge.position - choice.setup, charge.position + choice.run, violation);
            for link in &choice.links {
                violation[self.grid.link_at[*link] + charge.mounting] += 1.0;
            }
            self.use_offers(choice, violation);
        }
    }

    fn use_minutes(&self, cell: usize, from: i64, to: i64, violation: &mut [f64]) {
        let width = self.grid.width();
        let rows = &mut violation[self.grid.price_at[cell]..];
        let mut at = from;
        while at < to {
            let bucket = at >> self.grid.resolution.bucket;
            let until = ((bucket + 1) * width).min(to);
            rows[bucket as usize] += (until - at) as f64 / width as f64;
            at = until;
        }
    }

    fn use_offers(&self, choice: &Choice, violation: &mut [f64]) {
        for link in &choice.offers {
            violation[self.grid.offer_at + link] += 1.0;
        }
    }
}

impl Relaxation<'_> {
    /// Multipliers of a coarser relaxation of the same shop, spread over this one's buckets.
    pub(crate) fn refine(&self, coarse: &Relaxation<'_>, values: &[f64]) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.grid.size);
        let (new, old) = (self.grid.resolution, coarse.grid.resolution);
        // The multiplier is the money for the whole bucket.
        let share = self.grid.width() as f64 / coarse.grid.width() as f64;
        for (cell, at) in self.shop.cells.iter().zip(&coarse.grid.price_at) {
            let count = buckets(cell.time.total(), new.bucket);
            out.extend((0..count).map(|b| share * values[at + same_time(b, new.bucket, old.bucket)]));
        }
        for (link, at) in self.shop.links.iter().zip(&coarse.grid.link_at) {
            let count = buckets(self.shop.cells[link.cell].time.total(), new.mounting);
            out.extend((0..count).map(|b| values[at + same_time(b, new.mounting, old.mounting)]));
        }
        out.extend(&values[coarse.grid.offer_at..]);
        out
    }
}

/// The bucket of width `1 << old` at the time at which bucket number `bucket` of `1 << new` begins.
fn same_time(bucket: usize, new: u32, old: u32) -> usize {
    (bucket << new) >> old
}

impl Relaxation<'_> {
    /// Multipliers that ask one unit of money for the working time of each cell.
    pub(crate) fn even_prices(&self) -> Vec<f64> {
        let mut out = vec![0.0; self.grid.size];
        for (cell, at) in self.shop.cells.iter().zip(&self.grid.price_at) {
            let count = buckets(cell.time.total(), self.grid.resolution.bucket);
            out[*at..at + count].fill(1.0 / count as f64);
        }
        out
    }
}

impl Relaxation<'_> {
    /// The end of a leg's run where it starts as early as its slot allows.
    pub(crate) fn earliest_end(&self, step: &Step, leg: Leg) -> i64 {
        let choice = &step.choices[leg.choice];
        match (step.pinned, choice.cell) {
            (Some((_, end)), _) => end,
            (None, None) => self.grid.slots.start(leg.slot).max(choice.first) + choice.run,
            (None, Some(cell)) => {
                let from = self.grid.maps[cell].low[leg.slot].max(choice.first);
                self.shop.cells[cell].time.over(from + choice.run)
            }
        }
    }

    /// The start of a leg's run where it is as early as its slot allows.
    pub(crate) fn earliest_start(&self, step: &Step, leg: Leg) -> i64 {
        let choice = &step.choices[leg.choice];
        match (step.pinned, choice.cell) {
            (Some((start, _)), _) => start,
            (None, None) => self.grid.slots.start(leg.slot).max(choice.first),
            (None, Some(cell)) => {
                let from = self.grid.maps[cell].low[leg.slot].max(choice.first);
                self.shop.cells[cell].time.worked(from)
            }
        }
    }
}
