//! How much of a bound's budget is spent.

use super::BoundBudget;
use crate::watch::{Watch, over};
use std::time::Duration;

/// No budget is longer.
const FAR: Duration = Duration::from_secs(1 << 32);

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

    /// A meter for a share of what is left of this one's budget.
    pub(crate) fn part(&self, share: f64) -> Meter<'a> {
        let (now, left) = (self.watch.elapsed(), self.left());
        let evaluations = self.budget.evaluations.map(|most| most.saturating_sub(self.spent));
        let budget = BoundBudget {
            // Far-off limits must not overflow.
            until: now.saturating_add(left.min(FAR).mul_f64(share)),
            evaluations: evaluations.map(|left| (f64::from(left) * share) as u32),
        };
        Meter::new(&budget, self.watch)
    }

    /// A meter for a moment of this one's budget, however many evaluations that takes.
    pub(crate) fn part_of(&self, moment: Duration) -> Meter<'a> {
        let until = self.watch.elapsed().saturating_add(moment).min(self.budget.until);
        Meter::new(&BoundBudget { until, evaluations: None }, self.watch)
    }

    /// How much time is left.
    pub(crate) fn left(&self) -> Duration {
        self.budget.until.min(self.watch.limit()).saturating_sub(self.watch.elapsed())
    }

    /// Whether evaluations are counted, so that nothing may depend on the clock.
    pub(crate) fn is_counted(&self) -> bool {
        self.budget.evaluations.is_some()
    }

    /// Takes what a part has spent off this one's budget.
    pub(crate) fn charge(&mut self, part: &Meter<'_>) {
        self.spent += part.spent;
    }

    /// Whether time is up or somebody asked to stop.
    pub(crate) fn interrupts(&self) -> bool {
        over(self.watch) || self.watch.elapsed() >= self.budget.until
    }

    /// Whether there is no budget for another evaluation.
    pub(crate) fn is_spent(&self) -> bool {
        self.interrupts() || self.budget.evaluations.is_some_and(|most| self.spent >= most)
    }

    /// Counts one evaluation; answers whether there is still budget for it.
    pub(crate) fn count(&mut self) -> bool {
        let open = !self.is_spent();
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
