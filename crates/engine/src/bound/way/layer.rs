//! Least costs by slot, handed from one step of a job to the next.

use super::super::axis::Slots;
use super::{Leg, NEVER};

/// Least cost of having finished one step by the end of a slot, and with which leg.
#[derive(Debug, Default)]
pub(super) struct Layer {
    /// The slot of the first entry.
    base: usize,
    pub(super) cost: Vec<f64>,
    pub(super) leg: Vec<Leg>,
}

impl Layer {
    pub(super) fn restart(&mut self, base: usize) {
        self.base = base;
        self.cost.clear();
        self.leg.clear();
    }

    pub(super) fn offer(&mut self, slot: usize, cost: f64, leg: Leg) {
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
    pub(super) fn close(&mut self) {
        for at in 1..self.cost.len() {
            if self.cost[at - 1] <= self.cost[at] {
                self.cost[at] = self.cost[at - 1];
                self.leg[at] = self.leg[at - 1];
            }
        }
    }

    pub(super) fn entry(&self, slot: usize) -> Option<usize> {
        slot.checked_sub(self.base).map(|at| at.min(self.cost.len().wrapping_sub(1)))
    }

    #[inline]
    pub(super) fn cost(&self, slot: usize) -> f64 {
        self.entry(slot).and_then(|at| self.cost.get(at)).copied().unwrap_or(NEVER)
    }
}

/// Costs of the step before, if there is one, and the lag after it.
pub(super) struct Source<'a> {
    pub(super) layer: Option<&'a Layer>,
    pub(super) lag: i64,
}

impl Source<'_> {
    /// Least cost of having the part at `minute`.
    pub(super) fn cost_at(&self, slots: &Slots, minute: i64) -> f64 {
        let Some(layer) = self.layer else { return 0.0 };
        if minute < self.lag { NEVER } else { layer.cost(slots.of(minute - self.lag)) }
    }

    /// Least cost of ever having the part.
    pub(super) fn floor(&self) -> f64 {
        self.layer.map_or(0.0, |layer| layer.cost.last().copied().unwrap_or(NEVER))
    }
}

/// As [`Source::cost_at`] for the last minutes of consecutive slots, without searching.
pub(super) struct Ready<'a> {
    slots: &'a Slots,
    source: &'a Source<'a>,
    at: usize,
}

impl<'a> Ready<'a> {
    pub(super) fn new(slots: &'a Slots, source: &'a Source<'a>, slot: usize) -> Self {
        let minute = slots.start(slot + 1) - 1 - source.lag;
        Self { slots, source, at: slots.of(minute.max(0)) }
    }

    #[inline]
    pub(super) fn cost(&mut self, slot: usize) -> f64 {
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
