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
//!
//! * [`layer`]: least costs by slot, from one step to the next;
//! * [`steps`]: one step: every choice and slot that it can start in;
//! * [`run_price`]: what a run and its setup cost, wherever in a slot they lie.
//! * [`windows`]: when runs can start in ways that are not too dear.

mod layer;
mod run_price;
mod steps;
mod windows;

use super::prices::Prices;
use super::tasks::{Choice, Shop, Step, Task};
use layer::Layer;
use run_price::cheapest_start;
pub(crate) use windows::Windows;

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

    /// What the cheapest way of `task` costs, if that is less than `limit`.
    pub(crate) fn least(&self, task: &Task, limit: f64, scratch: &mut Scratch) -> Option<f64> {
        let mut best = limit;
        for plan in &task.routes {
            let last = plan.steps.len() - 1;
            for depth in plan.shared.min(last)..last {
                let until = latest_start(task, &task.steps[plan.steps[depth]], limit);
                self.middle_step(task, &plan.steps, depth, until, scratch);
            }
            if let Some((cost, _)) = self.last_step(task, &plan.steps, best - plan.cost, scratch) {
                best = cost + plan.cost;
            }
        }
        (best < limit).then_some(best)
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

fn lag_before(task: &Task, steps: &[usize], depth: usize) -> i64 {
    depth.checked_sub(1).map_or(0, |before| task.steps[steps[before]].lag)
}

/// The latest start of a step's run with which the job can still cost no more than `limit`.
fn latest_start(task: &Task, step: &Step, limit: f64) -> i64 {
    let spare = (limit - task.floor) / task.late;
    if spare < 1e12 { task.due + spare.ceil() as i64 + 1 - step.tail } else { i64::MAX }
}
