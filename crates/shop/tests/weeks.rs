//! ISO 8601 weeks: the rule of the standard, its edge cases computed.
#![allow(clippy::unwrap_used, reason = "a test whose own table cannot be read should stop")]

use chrono::{Days, NaiveDate, Weekday};
use elbowroom_shop::calendar::{IsoWeek, week_date};

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// ISO 8601: week 1 holds the year's first Thursday. Every row computed.
#[test]
fn week_dates() {
    for (day, expected) in [
        ("2024-12-30", "2025-W01-1"),
        ("2025-12-29", "2026-W01-1"),
        ("2026-01-01", "2026-W01-4"),
        ("2026-12-27", "2026-W52-7"),
        ("2026-12-28", "2026-W53-1"),
        ("2026-12-31", "2026-W53-4"),
        ("2027-01-01", "2026-W53-5"),
        ("2027-01-03", "2026-W53-7"),
        ("2027-01-04", "2027-W01-1"),
        ("2020-12-31", "2020-W53-4"),
        ("2021-01-03", "2020-W53-7"),
        ("2023-01-01", "2022-W52-7"),
        ("2010-01-03", "2009-W53-7"),
        ("2008-12-29", "2009-W01-1"),
        ("2028-01-01", "2027-W52-6"),
        ("2024-02-29", "2024-W09-4"),
    ] {
        assert_eq!(week_date(date(day)), expected);
    }
}

/// ISO 8601: 53 weeks where 1 January is a Thursday, or a Wednesday of a leap year (read), the
/// years themselves computed.
#[test]
fn years_of_53_weeks() {
    let long = |years: std::ops::RangeInclusive<i32>| -> Vec<i32> {
        years.filter(|year| IsoWeek::count_in(*year) == 53).collect()
    };
    assert_eq!(long(2015..=2060), [2015, 2020, 2026, 2032, 2037, 2043, 2048, 2054, 2060]);
    assert_eq!(long(2000..=2399).len(), 71);
}

/// Computed.
#[test]
fn weeks_to_dates() {
    for (week, monday) in [("2026-W53", "2026-12-28"), ("2027-W01", "2027-01-04"), ("2026-W01", "2025-12-29")]
    {
        assert_eq!(week.parse::<IsoWeek>().unwrap().monday(), date(monday), "{week}");
    }
}

/// Computed.
#[test]
fn weeks_that_do_not_exist_are_refused() {
    for text in ["2027-W53", "2026-W54", "2026-W00", "2026-W5", "26-W05", "2026W05", "2026-W+5", "", "-W01"] {
        let fault = text.parse::<IsoWeek>().expect_err(text);
        assert!(fault.to_string().contains(&format!("no week `{text}`")), "{fault}");
    }
    assert!(IsoWeek::new(2027, 53).is_err());
}

/// Computed: the week after 2026-W53 is 2027-W01, not 2026-W54.
#[test]
fn the_next_week() {
    let last: IsoWeek = "2026-W53".parse().unwrap();
    assert_eq!(last.next().to_string(), "2027-W01");
}

/// Property, over 40 years: a week begins on a Monday, lasts seven days, and is read back as shown.
#[test]
fn every_day_lies_in_its_week() {
    let first = date("2010-01-01");
    for day in first.iter_days().take(40 * 366) {
        let week = IsoWeek::of(day);
        assert!(week.monday() <= day && day < week.monday() + Days::new(7), "{day}");
        assert_eq!(week.to_string().parse(), Ok(week));
        assert_eq!(chrono::Datelike::weekday(&week.monday()), Weekday::Mon);
    }
}
