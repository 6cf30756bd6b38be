//! The past week by week: what is counted in the weeks is what is counted in the whole.

use chrono::{DateTime, TimeDelta, Utc};
use elbowroom_lookback::{Facts, OrderFacts, by_week, review};

fn at(day: i64, hour: i64) -> DateTime<Utc> {
    let thursday: DateTime<Utc> = "2026-12-24T00:00:00Z".parse().expect("it is a moment");
    thursday + TimeDelta::days(day) + TimeDelta::hours(hour)
}

/// One order due every day at noon, every third finished a day late.
fn facts() -> Facts {
    let order = |day: i64| OrderFacts {
        id: format!("O-{day}"),
        first_due: at(day, 12),
        last_due: at(day, 12),
        planned: at(day, 10),
        planned_cause: None,
        finished: Some(at(day, if day % 3 == 0 { 36 } else { 9 })),
    };
    Facts {
        period: (at(0, 0), at(20, 0)),
        zone: chrono_tz::UTC,
        now: at(30, 0),
        orders: (0..20).map(order).collect(),
        planned: Vec::new(),
        actual: Vec::new(),
        cells: Vec::new(),
    }
}

/// ISO 8601: the week of 2026-12-31, a Thursday, is 2026-W53, and 2027-W01 begins on 4 January.
#[test]
fn weeks_are_those_of_iso_8601() {
    let weeks: Vec<(i32, u32)> = by_week(&facts()).iter().map(|week| week.week).collect();
    assert_eq!(weeks, [(2026, 52), (2026, 53), (2027, 1), (2027, 2)]);
    let periods: Vec<_> = by_week(&facts()).iter().map(|week| week.review.period).collect();
    assert_eq!(periods[0], (at(0, 0), at(4, 0)), "the part of the week that lies in the period");
    assert_eq!(periods[1], (at(4, 0), at(11, 0)));
    assert_eq!(periods[3], (at(18, 0), at(20, 0)));
}

#[test]
fn weeks_add_up_to_the_whole() {
    let facts = facts();
    let (whole, weeks) = (review(&facts), by_week(&facts));
    let sum = |of: &dyn Fn(&elbowroom_lookback::Review) -> f64| {
        weeks.iter().map(|week| of(&week.review)).sum::<f64>()
    };
    assert_eq!(sum(&|review| review.on_time.due as f64), 20.0);
    assert_eq!(sum(&|review| review.on_time.kept as f64), whole.on_time.kept as f64);
    let late =
        |review: &elbowroom_lookback::Review| review.causes.iter().map(|cause| cause.minutes).sum::<f64>();
    assert_eq!(sum(&late), late(&whole));
    assert_eq!(late(&whole), 7.0 * 1440.0, "seven orders, a day each");
}

#[test]
fn no_time_has_no_week() {
    let empty = Facts { period: (at(0, 0), at(0, 0)), ..facts() };
    assert!(by_week(&empty).is_empty());
}
