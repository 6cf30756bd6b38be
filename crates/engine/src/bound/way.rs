//! The cheapest way of making one job alone, at given prices: exact dynamic programming over
//! routes, options and slots.
//!
//! Every schedule makes the job in some way. Rounding each of its starts and ends down to its slot
//! gives a way that this program looks at, and what the program charges for it is no more than
//! what the schedule pays, because
//!
//! * a run that starts somewhere in a slot is charged the least price of any position in the slot;
//! * its end is that of the earliest start in the slot, and lateness is counted from there;
//! * the next operation may start in the very slot in which this one ends (after the lag).
//!
//! Slots are left out that the job cannot start in without costing more than a known way does: a
//! schedule that uses one of them pays more than the known way's price, which is then the answer.
//!
//! A run's interval of working time begins with the least setup just before the run, whatever the
//! schedule does: the setup has to fit between the work before and the run, on the same cell.

use super::prices::{Prices, Tariff};
use super::tasks::{CellData, Choice, Shop, Step, Task};

/// A way of making one job.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Way {
    /// Position in [`Task::routes`].
    pub(crate) plan: usize,
    /// For each step of the plan.
    pub(crate) legs: Vec<Leg>,
}

/// One step of a way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Leg {
    /// Position in [`Step::choices`].
    pub(crate) choice: usize,
    /// The slot in which the run starts.
    pub(crate) slot: usize,
}

/// What a leg on a cell is charged for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Charge {
    /// Money, fixed costs of the choice included, lateness not.
    pub(crate) price: f64,
    /// Position of the run's start at which its minutes are cheapest.
    pub(crate) position: i64,
    /// Mounting bucket that its links are charged for.
    pub(crate) mounting: usize,
}

/// Memory of the program, reused from job to job.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    layers: Vec<Layer>,
    /// What the links of one choice charge, by mounting bucket.
    mounting: Vec<f64>,
}

const NEVER: f64 = f64::INFINITY;

/// Least cost of having finished one step by the end of a slot, and with which leg.
#[derive(Debug, Default)]
struct Layer {
    /// The slot of the first entry.
    base: usize,
    cost: Vec<f64>,
    leg: Vec<Leg>,
}

impl Layer {
    fn restart(&mut self, base: usize) {
        self.base = base;
        self.cost.clear();
        self.leg.clear();
    }

    fn offer(&mut self, slot: usize, cost: f64, leg: Leg) {
        let at = slot - self.base;
        if at >= self.cost.len() {
            self.cost.resize(at + 1, NEVER);
            self.leg.resize(at + 1, leg);
        }
        if cost < self.cost[at] {
            self.cost[at] = cost;
            self.leg[at] = leg;
        }
    }

    /// Waiting is free: what is finished by a slot is finished by any later one.
    fn close(&mut self) {
        for at in 1..self.cost.len() {
            if self.cost[at - 1] <= self.cost[at] {
                self.cost[at] = self.cost[at - 1];
                self.leg[at] = self.leg[at - 1];
            }
        }
    }

    fn entry(&self, slot: usize) -> Option<usize> {
        slot.checked_sub(self.base).map(|at| at.min(self.cost.len().wrapping_sub(1)))
    }

    #[inline]
    fn cost(&self, slot: usize) -> f64 {
        self.entry(slot).and_then(|at| self.cost.get(at)).copied().unwrap_or(NEVER)
    }
}

/// A run that may start in a slot of its cell: at positions `from..=last`, or a moment after.
#[derive(Clone, Copy)]
struct Start {
    slot: usize,
    from: i64,
    last: i64,
}

/// Computes cheapest ways in one shop at one set of prices.
pub(crate) struct Pricing<'a> {
    pub(crate) shop: &'a Shop,
    pub(crate) prices: &'a Prices<'a>,
}

impl Pricing<'_> {
    /// The cheapest way of `task` and its price, if it can be made at all.
    ///
    /// `known` is any way of the task on the same grid; it only helps to look at fewer slots.
    pub(crate) fn cheapest(
        &self,
        task: &Task,
        known: Option<&Way>,
        scratch: &mut Scratch,
    ) -> Option<(f64, Way)> {
        let mut best = known.map(|way| (self.price(task, way), way.clone()));
        let limit = best.as_ref().map_or(NEVER, |(price, _)| *price);
        for (at, plan) in task.routes.iter().enumerate() {
            let last = plan.steps.len() - 1;
            for depth in plan.shared.min(last)..last {
                let until = latest_start(task, &task.steps[plan.steps[depth]], limit);
                self.middle_step(task, &plan.steps, depth, until, scratch);
            }
            let bar = best.as_ref().map_or(NEVER, |(cost, _)| *cost) - plan.cost;
            if let Some((cost, leg)) = self.last_step(task, &plan.steps, bar, scratch) {
                best = Some((cost + plan.cost, self.trace(task, at, leg, scratch)));
            }
        }
        best
    }

    /// What `way` costs at these prices, charged as [`Pricing::cheapest`] would.
    pub(crate) fn price(&self, task: &Task, way: &Way) -> f64 {
        let plan = &task.routes[way.plan];
        let legs = plan.steps.iter().zip(&way.legs);
        let charges: f64 = legs.map(|(step, leg)| self.charge(&task.steps[*step], *leg).price).sum();
        plan.cost + charges + self.lateness(task, way)
    }

    fn lateness(&self, task: &Task, way: &Way) -> f64 {
        let (Some(step), Some(leg)) = (task.routes[way.plan].steps.last(), way.legs.last()) else {
            return 0.0;
        };
        let end = self.earliest_end(&task.steps[*step], *leg);
        task.late * (end - task.due).max(0) as f64
    }

    /// The end of a leg's run where it starts as early as its slot allows.
    pub(crate) fn earliest_end(&self, step: &Step, leg: Leg) -> i64 {
        let choice = &step.choices[leg.choice];
        match (step.pinned, choice.cell) {
            (Some((_, end)), _) => end,
            (None, None) => self.prices.grid.slots.start(leg.slot).max(choice.first) + choice.run,
            (None, Some(cell)) => {
                let from = self.prices.grid.maps[cell].low[leg.slot].max(choice.first);
                self.shop.cells[cell].time.over(from + choice.run)
            }
        }
    }

    /// What a leg is charged, and for what.
    pub(crate) fn charge(&self, step: &Step, leg: Leg) -> Charge {
        let choice = &step.choices[leg.choice];
        let fixed = choice.money + self.offers(choice);
        let (Some(cell), None) = (choice.cell, step.pinned) else {
            return Charge { price: fixed, position: choice.first, mounting: 0 };
        };
        let map = &self.prices.grid.maps[cell];
        let from = map.low[leg.slot].max(choice.first);
        let next = map.low[leg.slot + 1].min(choice.last + 1);
        let tariff = &self.prices.tariffs[cell];
        let (minutes, position) = cheapest_start(tariff, choice, from, next.min(choice.last));
        let shift = self.prices.grid.resolution.mounting;
        let buckets = (from >> shift) as usize..=((next - 1).max(from) >> shift) as usize;
        let (mounted, mounting) = buckets
            .map(|bucket| (self.links(choice, bucket), bucket))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or((0.0, 0));
        Charge { price: fixed + minutes + mounted, position, mounting }
    }

    fn offers(&self, choice: &Choice) -> f64 {
        choice.offers.iter().map(|link| self.prices.offer(*link)).sum()
    }

    fn links(&self, choice: &Choice, bucket: usize) -> f64 {
        let at = &self.prices.grid.link_at;
        choice.links.iter().map(|link| self.prices.values[at[*link] + bucket]).sum()
    }

    fn middle_step(&self, task: &Task, steps: &[usize], depth: usize, until: i64, scratch: &mut Scratch) {
        while scratch.layers.len() <= depth {
            scratch.layers.push(Layer::default());
        }
        let step = &task.steps[steps[depth]];
        let slots = &self.prices.grid.slots;
        let Scratch { layers, mounting } = scratch;
        let (before, layer) = layers.split_at_mut(depth);
        let layer = &mut layer[0];
        let source = Source { layer: before.last(), lag: lag_before(task, steps, depth) };
        if let Some((start, end)) = step.pinned {
            layer.restart(slots.of(end));
            let cost = source.cost_at(slots, start) + step.choices[0].money;
            layer.offer(slots.of(end), cost, Leg { choice: 0, slot: slots.of(start) });
            return;
        }
        let first_end = |choice: &Choice| match choice.cell {
            None => slots.of(choice.first + choice.run),
            Some(cell) => slots.of(self.shop.cells[cell].time.over(choice.first + choice.run)),
        };
        layer.restart(step.choices.iter().map(first_end).min().unwrap_or(0));
        for (at, choice) in step.choices.iter().enumerate() {
            let mut reached = first_end(choice);
            match choice.cell {
                None => self.sweep_outside(choice, &source, until, &mut |slot, cost, end| {
                    layer.offer(slots.of(end), cost, Leg { choice: at, slot });
                    true
                }),
                Some(cell) => {
                    let reaches = &self.prices.grid.maps[cell].reaches;
                    self.sweep(cell, choice, &source, until, mounting, &mut |slot, cost, end| {
                        while reaches[reached + 1] <= end {
                            reached += 1;
                        }
                        layer.offer(reached, cost, Leg { choice: at, slot });
                        true
                    });
                }
            }
        }
        layer.close();
    }

    /// The least cost up to the end of the last step, if it is less than `bar`, and its leg.
    fn last_step(&self, task: &Task, steps: &[usize], bar: f64, scratch: &mut Scratch) -> Option<(f64, Leg)> {
        let depth = steps.len() - 1;
        let step = &task.steps[steps[depth]];
        let slots = &self.prices.grid.slots;
        let Scratch { layers, mounting } = scratch;
        let source =
            Source { layer: layers[..depth.min(layers.len())].last(), lag: lag_before(task, steps, depth) };
        let late = |end: i64| task.late * (end - task.due).max(0) as f64;
        let mut best = (bar, None);
        if let Some((start, end)) = step.pinned {
            let cost = source.cost_at(slots, start) + step.choices[0].money + late(end);
            return (cost < bar).then_some((cost, Leg { choice: 0, slot: slots.of(start) }));
        }
        let floor = source.floor();
        for (at, choice) in step.choices.iter().enumerate() {
            let mut take = |slot: usize, cost: f64, lateness: f64| {
                if cost + lateness < best.0 {
                    best = (cost + lateness, Some(Leg { choice: at, slot }));
                }
                // Lateness only grows from here.
                floor + choice.money + lateness < best.0
            };
            match choice.cell {
                None => self.sweep_outside(choice, &source, i64::MAX, &mut |slot, cost, end| {
                    take(slot, cost, late(end))
                }),
                Some(cell) => {
                    let time = &self.shop.cells[cell].time;
                    self.sweep(cell, choice, &source, i64::MAX, mounting, &mut |slot, cost, end| {
                        take(slot, cost, late(time.over(end)))
                    });
                }
            }
        }
        best.1.map(|leg| (best.0, leg))
    }

    /// Tells `take` every slot in which the run can start outside: slot, cost, earliest end.
    fn sweep_outside(
        &self,
        choice: &Choice,
        source: &Source<'_>,
        until: i64,
        take: &mut impl FnMut(usize, f64, i64) -> bool,
    ) {
        let slots = &self.prices.grid.slots;
        for slot in slots.of(choice.first)..slots.count() {
            let start = slots.start(slot).max(choice.first);
            if start > until.min(choice.last) {
                break;
            }
            let cost = source.cost_at(slots, slots.start(slot + 1) - 1) + choice.money;
            if cost < NEVER && !take(slot, cost, start + choice.run) {
                break;
            }
        }
    }

    /// Tells `take` every slot in which the run can start on its cell, in order: slot, cost, and
    /// the position of the earliest end; goes on while it answers true.
    fn sweep(
        &self,
        cell: usize,
        choice: &Choice,
        source: &Source<'_>,
        until: i64,
        mounting: &mut Vec<f64>,
        take: &mut impl FnMut(usize, f64, i64) -> bool,
    ) {
        let grid = self.prices.grid;
        let (slots, map, tariff) = (&grid.slots, &grid.maps[cell], &self.prices.tariffs[cell]);
        let data = &self.shop.cells[cell];
        let total = data.time.total();
        self.mounting_costs(choice, total, mounting);
        let fixed = choice.money + self.offers(choice);
        let shift = grid.resolution.mounting;
        let first = map.low.partition_point(|low| *low <= choice.first) - 1;
        let mut ready = Ready::new(slots, source, first);
        let mut known = (-1, 0.0);
        for slot in first..slots.count() {
            let from = map.low[slot].max(choice.first);
            let next = map.low[slot + 1];
            if next <= from {
                continue;
            }
            if slots.start(slot) > until || from > choice.last {
                break;
            }
            let start = Start { slot, from, last: (next - 1).min(choice.last) };
            if data.held(choice, start.from, start.last) {
                continue;
            }
            let before = ready.cost(slot);
            if before == NEVER {
                continue;
            }
            let price = least_price(tariff, choice, from, next.min(choice.last), &mut known);
            let mut cost = before + fixed + price;
            if !mounting.is_empty() {
                cost += least_mounting(mounting, start, shift);
            }
            if !take(start.slot, cost, from + choice.run) {
                break;
            }
        }
    }

    /// Adds up what the choice's links charge in each mounting bucket; empty without links.
    fn mounting_costs(&self, choice: &Choice, total: i64, mounting: &mut Vec<f64>) {
        mounting.clear();
        let count = super::prices::buckets(total, self.prices.grid.resolution.mounting);
        for link in &choice.links {
            let at = self.prices.grid.link_at[*link];
            mounting.resize(count, 0.0);
            for (sum, value) in mounting.iter_mut().zip(&self.prices.values[at..at + count]) {
                *sum += value;
            }
        }
    }

    /// Follows the legs back from the last one.
    fn trace(&self, task: &Task, at: usize, last: Leg, scratch: &Scratch) -> Way {
        let slots = &self.prices.grid.slots;
        let steps = &task.routes[at].steps;
        let mut legs = vec![last; steps.len()];
        for depth in (1..steps.len()).rev() {
            let minute = match task.steps[steps[depth]].pinned {
                Some((start, _)) => start,
                None => slots.start(legs[depth].slot + 1) - 1,
            };
            let layer = &scratch.layers[depth - 1];
            let slot = slots.of((minute - lag_before(task, steps, depth)).max(0));
            legs[depth - 1] = layer.entry(slot).map_or(last, |entry| layer.leg[entry]);
        }
        Way { plan: at, legs }
    }
}

/// Costs of the step before, if there is one, and the lag after it.
struct Source<'a> {
    layer: Option<&'a Layer>,
    lag: i64,
}

impl Source<'_> {
    /// Least cost of having the part at `minute`.
    fn cost_at(&self, slots: &super::axis::Slots, minute: i64) -> f64 {
        let Some(layer) = self.layer else { return 0.0 };
        if minute < self.lag { NEVER } else { layer.cost(slots.of(minute - self.lag)) }
    }

    /// Least cost of ever having the part.
    fn floor(&self) -> f64 {
        self.layer.map_or(0.0, |layer| layer.cost.last().copied().unwrap_or(NEVER))
    }
}

/// As [`Source::cost_at`] for the last minutes of consecutive slots, without searching.
struct Ready<'a> {
    slots: &'a super::axis::Slots,
    source: &'a Source<'a>,
    at: usize,
}

impl<'a> Ready<'a> {
    fn new(slots: &'a super::axis::Slots, source: &'a Source<'a>, slot: usize) -> Self {
        let minute = slots.start(slot + 1) - 1 - source.lag;
        Self { slots, source, at: slots.of(minute.max(0)) }
    }

    #[inline]
    fn cost(&mut self, slot: usize) -> f64 {
        let Some(layer) = self.source.layer else { return 0.0 };
        let minute = self.slots.start(slot + 1) - 1 - self.source.lag;
        if minute < 0 {
            return NEVER;
        }
        while self.slots.start(self.at + 1) <= minute {
            self.at += 1;
        }
        layer.cost(self.at)
    }
}

impl CellData {
    /// Whether every start of the run at `from..=last` meets one and the same pinned block.
    fn held(&self, choice: &Choice, from: i64, last: i64) -> bool {
        let meets = |at: i64, (a, b): (i64, i64)| at - choice.setup < b && at + choice.run > a;
        self.blocks.iter().any(|block| meets(from, *block) && meets(last, *block))
    }
}

fn lag_before(task: &Task, steps: &[usize], depth: usize) -> i64 {
    depth.checked_sub(1).map_or(0, |before| task.steps[steps[before]].lag)
}

/// The latest start of a step's run with which the job can still cost no more than `limit`.
fn latest_start(task: &Task, step: &Step, limit: f64) -> i64 {
    let spare = (limit - task.floor) / task.late;
    if spare < 1e12 { task.due + spare.ceil() as i64 + 1 - step.tail } else { i64::MAX }
}

/// Price of setup and run if the run starts at `position`.
#[inline]
fn price_at(tariff: &Tariff, choice: &Choice, position: i64) -> f64 {
    tariff.at(position + choice.run) - tariff.at(position - choice.setup)
}

/// Least price of any start in `from..=to`, where no two bucket borders lie closer than that.
///
/// The price is linear between starts at which an end of the interval crosses a bucket border.
/// `known` holds the last position priced: the end of one slot is the start of the next.
#[inline]
fn least_price(tariff: &Tariff, choice: &Choice, from: i64, to: i64, known: &mut (i64, f64)) -> f64 {
    let mut least = if known.0 == from { known.1 } else { price_at(tariff, choice, from) };
    let end = price_at(tariff, choice, to);
    *known = (to, end);
    least = least.min(end);
    let mut border = tariff.bucket(to + choice.run);
    while tariff.start(border) > from + choice.run {
        least = least.min(price_at(tariff, choice, tariff.start(border) - choice.run));
        border -= 1;
    }
    let mut border = tariff.bucket(to - choice.setup);
    while tariff.start(border) > from - choice.setup {
        least = least.min(price_at(tariff, choice, tariff.start(border) + choice.setup));
        border -= 1;
    }
    least
}

/// As [`least_price`], with the position.
fn cheapest_start(tariff: &Tariff, choice: &Choice, from: i64, to: i64) -> (f64, i64) {
    let mut best = (price_at(tariff, choice, from), from);
    let mut try_at = |position: i64| {
        let price = price_at(tariff, choice, position);
        if position > from && position <= to && price < best.0 {
            best = (price, position);
        }
    };
    try_at(to);
    for (offset, shift) in [(choice.run, -choice.run), (-choice.setup, choice.setup)] {
        let mut border = tariff.bucket(to + offset);
        while tariff.start(border) > from + offset {
            try_at(tariff.start(border) + shift);
            border -= 1;
        }
    }
    best
}

#[inline]
fn least_mounting(mounting: &[f64], start: Start, shift: u32) -> f64 {
    let buckets = &mounting[(start.from >> shift) as usize..=(start.last >> shift) as usize];
    buckets.iter().copied().fold(NEVER, f64::min)
}

impl Pricing<'_> {
    /// As [`Pricing::cheapest`], of the plan at one position only.
    pub(crate) fn cheapest_of_route(&self, task: &Task, plan: usize, scratch: &mut Scratch) -> Option<Way> {
        let steps = &task.routes[plan].steps;
        for depth in 0..steps.len() - 1 {
            self.middle_step(task, steps, depth, i64::MAX, scratch);
        }
        let (_, leg) = self.last_step(task, steps, NEVER, scratch)?;
        Some(self.trace(task, plan, leg, scratch))
    }
}
