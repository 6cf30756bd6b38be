//! How a solve stands: what its threads know of each other.

use crate::bound::ProvenBound;
use elbowroom_problem::Placement;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

/// So near to each other, cost and bound are one.
const CLOSE: f64 = 1e-6;

/// The least cost found and the best bound proved so far.
///
/// Neither is ever negative, and numbers that are not negative are in the order of their bits.
#[derive(Debug)]
pub(crate) struct Standing {
    best: AtomicU64,
    bound: AtomicU64,
    suggested: Mutex<Option<Vec<Placement>>>,
}

impl Standing {
    /// Nothing is known yet.
    pub(crate) fn new() -> Self {
        Self {
            best: AtomicU64::new(f64::INFINITY.to_bits()),
            bound: AtomicU64::new(0.0_f64.to_bits()),
            suggested: Mutex::default(),
        }
    }

    /// A schedule of this cost was found.
    pub(crate) fn found(&self, cost: f64) {
        self.best.fetch_min(cost.max(0.0).to_bits(), Ordering::Relaxed);
    }

    /// The proof came across something that may well be a better schedule.
    pub(crate) fn suggest(&self, hint: Vec<Placement>) {
        *self.suggested.lock().unwrap_or_else(PoisonError::into_inner) = Some(hint);
    }

    /// What was suggested last, once.
    pub(crate) fn suggested(&self) -> Option<Vec<Placement>> {
        self.suggested.lock().unwrap_or_else(PoisonError::into_inner).take()
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
