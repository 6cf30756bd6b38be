//! How a solve stands: what its threads know of each other.

use crate::bound::ProvenBound;
use crate::compiled::Compiled;
use crate::plan::Plan;
use crate::search::sketch::Sketch;
use elbowroom_problem::Placement;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// So near to each other, cost and bound are one.
const CLOSE: f64 = 1e-6;

/// The least cost found, the plan that costs so much, and the best bound proved so far.
///
/// Cost and bound are never negative, and numbers that are not negative are in the order of their bits.
#[derive(Debug)]
pub(crate) struct Standing<'a> {
    compiled: &'a Compiled,
    best: AtomicU64,
    bound: AtomicU64,
    plan: Mutex<Known>,
}

/// The best plan that was told.
#[derive(Debug, Default)]
struct Known {
    sketch: Option<Sketch>,
    /// Whether the search has not heard of it.
    is_news: bool,
}

impl<'a> Standing<'a> {
    /// Nothing is known yet.
    pub(crate) fn new(compiled: &'a Compiled) -> Self {
        Self {
            compiled,
            best: AtomicU64::new(f64::INFINITY.to_bits()),
            bound: AtomicU64::new(0.0_f64.to_bits()),
            plan: Mutex::default(),
        }
    }

    /// A schedule of this cost was found.
    pub(crate) fn found(&self, cost: f64) {
        self.best.fetch_min(cost.max(0.0).to_bits(), Ordering::Relaxed);
    }

    /// The search has found a plan.
    pub(crate) fn keep(&self, sketch: &Sketch) {
        self.note(sketch, false);
    }

    /// The proof came across something that may well be a better schedule: tries it out.
    pub(crate) fn try_out(&self, hint: &[Placement]) {
        if let Some(plan) = Plan::of_hint(self.compiled, hint) {
            self.note(&Sketch::of(&plan), true);
        }
    }

    /// Notes a plan down if it is valid and the best one.
    fn note(&self, sketch: &Sketch, is_news: bool) {
        if sketch.excess > 0 {
            return;
        }
        self.found(sketch.cost);
        let mut known = self.known();
        if known.sketch.as_ref().is_none_or(|best| sketch.better_than(best)) {
            *known = Known { sketch: Some(sketch.clone()), is_news };
        }
    }

    /// The best plan that is known, once, if the search has not heard of it.
    pub(crate) fn news(&self) -> Option<Sketch> {
        let mut known = self.known();
        let is_news = std::mem::take(&mut known.is_news);
        known.sketch.clone().filter(|_| is_news)
    }

    /// The best plan that is known, as a schedule: its cost and its work.
    pub(crate) fn schedule(&self) -> Option<(f64, Vec<Placement>)> {
        let sketch = self.known().sketch.clone()?;
        Some((sketch.cost, sketch.plan(self.compiled).schedule().operations))
    }

    fn known(&self) -> MutexGuard<'_, Known> {
        self.plan.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// No schedule costs less than this.
    pub(crate) fn proved(&self, bound: ProvenBound) {
        self.bound.fetch_max(bound.value().to_bits(), Ordering::Relaxed);
    }

    /// The least cost of a schedule found so far; infinite if there is none.
    pub(crate) fn best(&self) -> f64 {
        f64::from_bits(self.best.load(Ordering::Relaxed))
    }

    /// A value that no schedule can beat, where one is proved.
    pub(crate) fn bound(&self) -> Option<f64> {
        let bound = f64::from_bits(self.bound.load(Ordering::Relaxed));
        (bound > 0.0).then_some(bound)
    }

    /// Whether the best schedule is proved to be the best possible.
    pub(crate) fn is_closed(&self) -> bool {
        let best = self.best();
        self.bound().is_some_and(|bound| bound >= best - CLOSE * best)
    }
}
