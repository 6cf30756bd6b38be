//! The last part of a re-plan's time: how sure is the plan?

use super::Wish;
use elbowroom_engine::{Progress, Watch};
use elbowroom_planner::Planned;
use elbowroom_planner::confidence::{Asked, Shares, assess, runs_within};
use elbowroom_planner::plan::Confidence;
use elbowroom_shop::Shop;
use std::time::Duration;

/// Promises at risk for which remedies are tried.
const REMEDIED: usize = 5;

/// The search's part of a re-plan's time.
pub struct Searching<'w> {
    watch: &'w dyn Watch,
    limit: Duration,
}

impl<'w> Searching<'w> {
    /// The part of a wish's time.
    pub fn of(watch: &'w dyn Watch, wish: &Wish) -> Self {
        Self { watch, limit: Shares::of(wish.seconds).search }
    }
}

impl Watch for Searching<'_> {
    fn elapsed(&self) -> Duration {
        self.watch.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }

    fn progress(&self, progress: &Progress) {
        self.watch.progress(progress);
    }
}

/// The part after the search. Whoever ends a re-plan early still wants to know how sure its plan is:
/// the plan is carried out all the same, and what is tried out is other plans, which nobody follows.
struct Afterwards<'w> {
    watch: &'w dyn Watch,
    limit: Duration,
}

impl Watch for Afterwards<'_> {
    fn elapsed(&self) -> Duration {
        self.watch.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        false
    }
}

/// How sure a plan's dates are, and what helps where a promise is at risk.
pub fn how_sure(
    shop: &Shop,
    planned: &Planned,
    wish: &Wish,
    threads: usize,
    watch: &dyn Watch,
) -> Confidence {
    let sure = Shares::of(wish.seconds).sure;
    let operations = planned.schedule.schedule().operations.len();
    let asked =
        Asked { runs: runs_within(operations, sure / 2.0), seed: wish.seed, threads, remedied: REMEDIED };
    let limit = watch.elapsed() + Duration::from_secs_f64(sure);
    assess(shop, planned, &asked, &Afterwards { watch, limit })
}
