//! From the minute at which something is finished to the date that can be promised.

use chrono::NaiveDate;
use elbowroom_problem::Problem;
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Minute;

/// Days on which the shop ships.
pub(crate) struct Dates<'a> {
    shop: &'a Shop,
    clock: &'a PlanClock,
    problem: &'a Problem,
}

impl<'a> Dates<'a> {
    pub(crate) fn new(shop: &'a Shop, clock: &'a PlanClock, problem: &'a Problem) -> Self {
        Self { shop, clock, problem }
    }

    /// The first date whose promise is kept by finishing at this minute, on a day on which some
    /// cell is open.
    pub(crate) fn promised(&self, finish: Minute) -> NaiveDate {
        let first = self.clock.date(finish);
        let kept = |day: &NaiveDate| finish <= self.due(*day);
        first.iter_days().find(|day| kept(day) && self.is_open(*day)).unwrap_or(first)
    }

    /// When what is promised for a date must be finished.
    pub(crate) fn due(&self, date: NaiveDate) -> Minute {
        self.clock.minute(date, self.shop.terms.ship_by)
    }

    /// Days beyond the plan count as open.
    fn is_open(&self, day: NaiveDate) -> bool {
        let next = day.succ_opt().unwrap_or(day);
        let (from, to) = (self.clock.start_of(day), self.clock.start_of(next));
        if to > self.problem.horizon {
            return true;
        }
        self.problem.cells.iter().any(|cell| {
            let first = cell.windows.partition_point(|window| window.end <= from);
            cell.windows.get(first).is_some_and(|window| window.start < to)
        })
    }
}
