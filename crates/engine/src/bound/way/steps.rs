//! One step of a way: every choice and slot in which its run can start.

use super::super::prices::buckets;
use super::super::tasks::{CellData, Choice, Task};
use super::layer::{Layer, Ready, Source};
use super::run_price::least_price;
use super::{Leg, NEVER, Pricing, Scratch, lag_before};

/// A run that may start in a slot of its cell: at positions `from..=last`, or a moment after.
#[derive(Clone, Copy)]
struct Start {
    slot: usize,
    from: i64,
    last: i64,
}

impl Pricing<'_> {
    pub(super) fn middle_step(
        &self,
        task: &Task,
        steps: &[usize],
        depth: usize,
        until: i64,
        scratch: &mut Scratch,
    ) {
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
    pub(super) fn last_step(
        &self,
        task: &Task,
        steps: &[usize],
        bar: f64,
        scratch: &mut Scratch,
    ) -> Option<(f64, Leg)> {
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
    pub(super) fn sweep_outside(
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
    pub(super) fn sweep(
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
        let count = buckets(total, self.prices.grid.resolution.mounting);
        for link in &choice.links {
            let at = self.prices.grid.link_at[*link];
            mounting.resize(count, 0.0);
            for (sum, value) in mounting.iter_mut().zip(&self.prices.values[at..at + count]) {
                *sum += value;
            }
        }
    }
}

impl CellData {
    /// Whether every start of the run at `from..=last` meets one and the same pinned block.
    fn held(&self, choice: &Choice, from: i64, last: i64) -> bool {
        let meets = |at: i64, (a, b): (i64, i64)| at - choice.setup < b && at + choice.run > a;
        self.blocks.iter().any(|block| meets(from, *block) && meets(last, *block))
    }
}

#[inline]
fn least_mounting(mounting: &[f64], start: Start, shift: u32) -> f64 {
    let buckets = &mounting[(start.from >> shift) as usize..=(start.last >> shift) as usize];
    buckets.iter().copied().fold(NEVER, f64::min)
}
