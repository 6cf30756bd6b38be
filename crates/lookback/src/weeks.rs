//! The past week by week.

use crate::review::{Facts, Review, review};
use crate::spans::{Span, shared};
use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeZone, Utc, Weekday};
use chrono_tz::Tz;

/// The review of one week.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekReview {
    /// ISO year and week.
    pub week: (i32, u32),
    /// The review of that part of it that lies in the period.
    pub review: Review,
}

/// A review for every ISO week of the period, Mondays at midnight where the shop is.
#[must_use]
pub fn by_week(facts: &Facts) -> Vec<WeekReview> {
    let mut weeks = Vec::new();
    let first = facts.period.0.with_timezone(&facts.zone).date_naive();
    let mut monday = first.week(Weekday::Mon).checked_first_day();
    while let Some(day) = monday {
        let next = day.checked_add_days(Days::new(7));
        let whole: Span =
            (midnight(day, facts.zone), next.map_or(facts.period.1, |next| midnight(next, facts.zone)));
        if whole.0 >= facts.period.1 {
            break;
        }
        if let Some(period) = shared(whole, facts.period) {
            let week = (day.iso_week().year(), day.iso_week().week());
            weeks.push(WeekReview { week, review: review(&Facts { period, ..facts.clone() }) });
        }
        monday = next;
    }
    weeks
}

/// Midnight, or the first moment of a day that has none.
fn midnight(day: NaiveDate, zone: Tz) -> DateTime<Utc> {
    let midnight = day.and_time(NaiveTime::MIN);
    zone.from_local_datetime(&midnight)
        .earliest()
        .map_or_else(|| midnight.and_utc(), |moment| moment.to_utc())
}
