//! How sure the dates of a schedule are, and what would make them surer.
//!
//! A schedule of a compiled shop is carried out many times by chance (crate `rehearsal`), with the
//! shop's own word on how far things stray ([`chances`]). The finishes of a job become the dates
//! that are kept in 50, 80 and 95 of 100 cases ([`DatesKept::new`]).
//!
//! [`assess`] does that for a whole plan. For each promise at risk it tries out what could help, by
//! planning again with it and carrying that plan out with the same luck: earlier on its cells,
//! another process, another vendor, a Saturday shift, the lot in two halves. Only what makes no
//! order late that was in time is told.

mod assess;
mod chances;
mod remedy;
mod shares;

pub use crate::plan::DatesKept;
pub use assess::{Asked, assess, runs_within, turns};
pub use chances::chances;
pub use shares::Shares;

use chrono::{Days, NaiveDate};
use elbowroom_rehearsal::Finishes;
use elbowroom_shop::Terms;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Minute;

impl DatesKept {
    /// The dates of a job by its finishes.
    #[must_use]
    pub fn new(finishes: &Finishes, terms: &Terms, clock: &PlanClock) -> Self {
        let date = |share| date_kept(finishes.quantile(share), terms, clock);
        Self { in_50: date(0.50), in_80: date(0.80), in_95: date(0.95) }
    }
}

/// The earliest date that is kept by finishing at a moment: the shop ships until a time of the day.
#[must_use]
pub fn date_kept(finish: Minute, terms: &Terms, clock: &PlanClock) -> NaiveDate {
    let day = clock.date(finish);
    if clock.minute(day, terms.ship_by) >= finish {
        return day;
    }
    day.checked_add_days(Days::new(1)).unwrap_or(day)
}
