//! When a job's runs can start in a way that is not too dear.
//!
//! The program is run forwards as in [`Pricing::cheapest`], then backwards: for each step, choice
//! and slot that gives the price of the cheapest way through just there. A schedule that starts the
//! run there pays at least that for the job.

use super::super::prices::Grid;
use super::super::tasks::{Choice, RoutePlan, Task};
use super::layer::{Ready, Source};
use super::{NEVER, Pricing, Scratch, lag_before, latest_start};

/// For each step and choice of a job, first and last slot of the ways that are not too dear.
#[derive(Clone, Debug, Default)]
pub(crate) struct Windows(Vec<Vec<Option<(usize, usize)>>>);

impl Windows {
    fn none(task: &Task) -> Self {
        Self(task.steps.iter().map(|step| vec![None; step.choices.len()]).collect())
    }

    fn add(&mut self, step: usize, choice: usize, slot: usize) {
        let window = &mut self.0[step][choice];
        *window = Some(window.map_or((slot, slot), |(a, b)| (a.min(slot), b.max(slot))));
    }
}

/// A step on the way back: what it costs from there to the end.
struct Back<'t> {
    plan: &'t RoutePlan,
    depth: usize,
    /// By slot, the least cost of all later steps if the part is there by the slot's end.
    after: Vec<f64>,
    /// As `after`, this step included; by the slot of the step before's end.
    with: Vec<f64>,
}

impl Pricing<'_> {
    /// Where the ways of `task` that cost less than `limit` start their runs.
    pub(crate) fn windows(&self, task: &Task, limit: f64, scratch: &mut Scratch) -> Windows {
        let mut found = Windows::none(task);
        for plan in &task.routes {
            let last = plan.steps.len() - 1;
            for depth in 0..last {
                let until = latest_start(task, &task.steps[plan.steps[depth]], limit);
                self.middle_step(task, &plan.steps, depth, until, scratch);
            }
            let mut back = Back { plan, depth: last, after: Vec::new(), with: Vec::new() };
            for depth in (0..=last).rev() {
                back.depth = depth;
                self.step_back(task, &mut back, limit, scratch, &mut found);
                std::mem::swap(&mut back.after, &mut back.with);
            }
        }
        found
    }

    fn step_back(
        &self,
        task: &Task,
        back: &mut Back<'_>,
        limit: f64,
        scratch: &mut Scratch,
        found: &mut Windows,
    ) {
        let slots = &self.prices.grid.slots;
        let (depth, at) = (back.depth, back.plan.steps[back.depth]);
        let step = &task.steps[at];
        let lag = lag_before(task, &back.plan.steps, depth);
        let Scratch { layers, mounting } = scratch;
        let source = Source { layer: layers[..depth.min(layers.len())].last(), lag };
        let nothing = Source { layer: None, lag };
        back.with.clear();
        back.with.resize(slots.count(), NEVER);
        let Back { plan, after, with, .. } = back;
        // What a slot costs from here on, from the end of the run.
        let rest = |end: i64| {
            if step.last { task.late * (end - task.due).max(0) as f64 } else { after[slots.of(end)] }
        };
        if let Some((start, end)) = step.pinned {
            let own = step.choices[0].money + rest(end);
            if start >= lag {
                with[slots.of(start - lag)] = own;
            }
            if plan.cost + source.cost_at(slots, start) + own < limit {
                found.add(at, 0, slots.of(start));
            }
            close_back(with);
            return;
        }
        let until = latest_start(task, step, limit);
        for (number, choice) in step.choices.iter().enumerate() {
            let first = match choice.cell {
                None => slots.of(choice.first),
                Some(cell) => self.prices.grid.maps[cell].low.partition_point(|low| *low <= choice.first) - 1,
            };
            let mut ready = Ready::new(slots, &source, first);
            let mut take = |slot: usize, own: f64, end: i64| {
                let own = own + rest(end);
                if plan.cost + ready.cost(slot) + own < limit {
                    found.add(at, number, slot);
                }
                let minute = slots.start(slot + 1) - 1 - lag;
                if minute >= 0 {
                    let by = slots.of(minute);
                    with[by] = with[by].min(own);
                }
                true
            };
            match choice.cell {
                None => self.sweep_outside(choice, &nothing, until, &mut take),
                Some(cell) => {
                    let time = &self.shop.cells[cell].time;
                    self.sweep(cell, choice, &nothing, until, mounting, &mut |slot, own, end| {
                        take(slot, own, time.over(end))
                    });
                }
            }
        }
        close_back(with);
    }
}

/// Waiting is free: who has the part by a slot can do with it whatever a later one can.
fn close_back(with: &mut [f64]) {
    for at in (1..with.len()).rev() {
        with[at - 1] = with[at - 1].min(with[at]);
    }
}

impl Windows {
    /// Narrows the choices of the windows' job to them.
    pub(crate) fn narrow(&self, grid: &Grid, task: &mut Task) {
        for (step, windows) in task.steps.iter_mut().zip(&self.0) {
            if step.pinned.is_some() {
                continue;
            }
            for (choice, window) in step.choices.iter_mut().zip(windows) {
                match window {
                    Some((from, to)) => narrow_choice(grid, choice, *from, *to),
                    None => choice.last = choice.first - 1,
                }
            }
        }
    }
}

fn narrow_choice(grid: &Grid, choice: &mut Choice, from: usize, to: usize) {
    let (first, last) = match choice.cell {
        None => (grid.slots.start(from), grid.slots.start(to + 1) - 1),
        Some(cell) => (grid.maps[cell].low[from], grid.maps[cell].low[to + 1] - 1),
    };
    choice.first = choice.first.max(first);
    choice.last = choice.last.min(last);
}
