//! How much of a bound's budget is spent.

use super::BoundBudget;
use crate::watch::{Watch, over};
use std::time::Duration;

/// Counts evaluations and looks at the time.
pub(crate) struct Meter<'a> {
    budget: BoundBudget,
    watch: &'a dyn Watch,
    begun: Duration,
    spent: u32,
}

impl<'a> Meter<'a> {
    /// Begins now.
    pub(crate) fn new(budget: &BoundBudget, watch: &'a dyn Watch) -> Self {
        Self { budget: *budget, watch, begun: watch.elapsed(), spent: 0 }
    }

    /// Whether time is up or somebody asked to stop.
    pub(crate) fn interrupts(&self) -> bool {
        over(self.watch) || self.watch.elapsed() >= self.budget.until
    }

    /// Counts one evaluation; answers whether there is still budget for it.
    pub(crate) fn count(&mut self) -> bool {
        let open = !self.interrupts() && self.budget.evaluations.is_none_or(|most| self.spent < most);
        self.spent += u32::from(open);
        open
    }

    /// The share of the budget that is spent, from 0 to 1; of the evaluations where they are
    /// limited, so that what is planned by it does not depend on the clock.
    pub(crate) fn share(&self) -> f64 {
        if let Some(most) = self.budget.evaluations {
            return f64::from(self.spent) / f64::from(most.max(1));
        }
        let span = self.budget.until.min(self.watch.limit()).saturating_sub(self.begun).as_secs_f64();
        let gone = self.watch.elapsed().saturating_sub(self.begun).as_secs_f64();
        if span > 0.0 { (gone / span).min(1.0) } else { 1.0 }
    }
}
