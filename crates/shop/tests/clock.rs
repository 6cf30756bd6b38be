//! The plan's clock over changes of the clocks. Expected values: IANA time zone data and RFC 5545.
#![allow(clippy::unwrap_used, reason = "a test whose own table cannot be read should stop")]

use chrono::{NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::{Minute, Minutes};

fn clock(zone: &str, start: &str) -> PlanClock {
    PlanClock::new(zone.parse().unwrap(), start.parse().unwrap())
}

fn local(text: &str) -> (NaiveDate, NaiveTime) {
    let (date, time) = text.split_once(' ').unwrap();
    (date.parse().unwrap(), NaiveTime::parse_from_str(time, "%H:%M").unwrap())
}

fn minute(clock: &PlanClock, text: &str) -> Minute {
    let (date, time) = local(text);
    clock.minute(date, time)
}

/// IANA time zone data (2025b and 2026f agree); every row computed.
#[test]
fn elapsed_hours_over_a_night() {
    for (zone, from, to, hours) in [
        ("America/Chicago", "2027-03-13 22:00", "2027-03-14 06:00", 7.0),
        ("America/Chicago", "2026-10-31 22:00", "2026-11-01 06:00", 9.0),
        ("America/Chicago", "2027-11-06 22:00", "2027-11-07 06:00", 9.0),
        ("America/Chicago", "2027-03-12 22:00", "2027-03-13 06:00", 8.0),
        ("Europe/Berlin", "2027-03-27 22:00", "2027-03-28 06:00", 7.0),
        ("Europe/Berlin", "2026-10-24 22:00", "2026-10-25 06:00", 9.0),
        ("Europe/London", "2027-03-27 22:00", "2027-03-28 06:00", 7.0),
        ("Australia/Sydney", "2026-10-03 22:00", "2026-10-04 06:00", 7.0),
        ("Australia/Sydney", "2027-04-03 22:00", "2027-04-04 06:00", 9.0),
        ("Australia/Lord_Howe", "2026-10-03 22:00", "2026-10-04 06:00", 7.5),
        ("Australia/Lord_Howe", "2027-04-03 22:00", "2027-04-04 06:00", 8.5),
        ("America/Phoenix", "2027-03-13 22:00", "2027-03-14 06:00", 8.0),
        ("Asia/Kolkata", "2027-03-13 22:00", "2027-03-14 06:00", 8.0),
    ] {
        let clock = clock(zone, "2026-09-28");
        let elapsed = minute(&clock, to) - minute(&clock, from);
        assert_eq!(elapsed.hours(), hours, "{zone}, {from} to {to}");
    }
}

/// IANA time zone data; every row computed. The last two are days whose midnight does not exist.
#[test]
fn hours_of_days_and_weeks() {
    for (zone, from, to, hours) in [
        ("America/Chicago", "2027-03-14", "2027-03-15", 23.0),
        ("America/Chicago", "2026-11-01", "2026-11-02", 25.0),
        ("America/Chicago", "2027-03-08", "2027-03-15", 167.0),
        ("America/Chicago", "2026-10-26", "2026-11-02", 169.0),
        ("America/Santiago", "2026-09-06", "2026-09-07", 23.0),
        ("Africa/Cairo", "2027-04-30", "2027-05-01", 23.0),
    ] {
        let clock = clock(zone, "2026-08-31");
        let day = |text: &str| clock.start_of(text.parse().unwrap());
        assert_eq!((day(to) - day(from)).hours(), hours, "{zone}, {from} to {to}");
    }
}

/// RFC 5545, 3.3.5 (read): a time in a gap is taken with the offset before it, of a time that
/// occurs twice the first. The New York rows are printed there; the Chicago rows are computed.
#[test]
fn times_that_do_not_exist_or_occur_twice() {
    for (zone, given, utc, shown) in [
        ("America/Chicago", "2027-03-14 02:30", "2027-03-14T08:30:00Z", "2027-03-14T03:30:00-05:00"),
        ("America/Chicago", "2026-11-01 01:30", "2026-11-01T06:30:00Z", "2026-11-01T01:30:00-05:00"),
        ("America/New_York", "2007-03-11 02:30", "2007-03-11T07:30:00Z", "2007-03-11T03:30:00-04:00"),
        ("America/New_York", "2007-11-04 01:30", "2007-11-04T05:30:00Z", "2007-11-04T01:30:00-04:00"),
    ] {
        let clock = clock(zone, "2007-01-01");
        let minute = minute(&clock, given);
        assert_eq!(clock.text(minute), shown, "{zone} {given}");
        assert_eq!(clock.parse(utc), Ok(minute), "{zone} {given}");
    }
}

/// The second occurrence of a doubled time: Chicago, 2026-11-01 01:30 again is 07:30Z (computed).
#[test]
fn the_second_occurrence_is_told_apart_by_its_offset() {
    let clock = clock("America/Chicago", "2026-10-26");
    let second = clock.parse("2026-11-01T07:30:00Z").unwrap();
    assert_eq!(clock.text(second), "2026-11-01T01:30:00-06:00");
    assert_eq!(second - minute(&clock, "2026-11-01 01:30"), Minutes::new(60));
}

/// IANA time zone data, computed: where midnight does not exist, the day starts at 01:00.
#[test]
fn a_plan_can_start_on_a_day_without_midnight() {
    for (zone, start, utc) in [
        ("America/Santiago", "2026-09-06", "2026-09-06T04:00:00+00:00"),
        ("Africa/Cairo", "2027-04-30", "2027-04-29T22:00:00+00:00"),
    ] {
        let clock = clock(zone, start);
        let zero = clock.local(Minute::ZERO);
        assert_eq!(zero.with_timezone(&Utc).to_rfc3339(), utc, "{zone}");
        assert_eq!(zero.format("%Y-%m-%d %H:%M").to_string(), format!("{start} 01:00"));
        assert_eq!(minute(&clock, &format!("{start} 06:00")), Minute::new(300));
    }
}

#[test]
fn texts_are_read_with_and_without_offset() {
    let clock = clock("Europe/Vienna", "2026-12-07");
    for (text, expected) in [
        ("2026-12-07T06:00", 360),
        ("2026-12-07T06:00:00", 360),
        ("2026-12-07T06:00:59", 360),
        ("2026-12-07T06:00:00+01:00", 360),
        ("2026-12-07T05:00:00Z", 360),
        ("2026-12-06T23:59:30+01:00", -1),
    ] {
        assert_eq!(clock.parse(text), Ok(Minute::new(expected)), "{text}");
    }
    for text in [
        "",
        "2026-12-07",
        "06:00",
        "2026-13-07T06:00",
        "7.12.2026 06:00",
        "2026-12-07T06:00+25:00",
        "-26-12-07T06:00:0",
        "1890-12-07T06:00",
        "2500-01-01T00:00Z",
        "12026-12-07T6:0",
    ] {
        let fault = clock.parse(text).expect_err(text);
        assert!(fault.to_string().contains("expected one such as 2026-12-07T06:00"), "{fault}");
    }
}

/// Property, in every time zone there is, over a year around the plan's start: a shown minute is
/// read back as itself, and later minutes are later.
#[test]
fn shown_minutes_are_read_back_in_every_zone() {
    for zone in chrono_tz::TZ_VARIANTS {
        let clock = PlanClock::new(zone, "2026-06-01".parse().unwrap());
        for minute in (-100_000..500_000).step_by(7_919).map(Minute::new) {
            assert_eq!(clock.parse(&clock.text(minute)), Ok(minute), "{zone}");
        }
    }
}

/// Property, in every time zone: every date starts at its own first minute, days are 22 to 26 hours
/// long (a skipped date none, a doubled hour more), and together they leave no gap.
#[test]
fn days_follow_each_other_in_every_zone() {
    for zone in chrono_tz::TZ_VARIANTS {
        check_days(zone);
    }
}

fn check_days(zone: Tz) {
    let start: NaiveDate = "2026-01-01".parse().unwrap();
    let clock = PlanClock::new(zone, start);
    for day in start.iter_days().take(366) {
        let (begin, end) = (clock.start_of(day), clock.start_of(day.succ_opt().unwrap()));
        assert!((22 * 60..=26 * 60).contains(&(end - begin).count()), "{zone} {day}");
        assert_eq!(clock.date(begin), day, "{zone} {day}");
        assert_eq!(clock.date(end - Minutes::new(1)), day, "{zone} {day}");
    }
}

/// Samoa had no 30 December 2011 (IANA time zone data): the day starts when the next one does.
#[test]
fn a_date_that_a_place_skipped_has_no_minutes() {
    let clock = clock("Pacific/Apia", "2011-12-26");
    let start = |day: &str| clock.start_of(day.parse().unwrap());
    assert_eq!(start("2011-12-30"), start("2011-12-31"));
    assert_eq!(start("2011-12-30") - start("2011-12-29"), Minutes::days(1));
}

#[test]
fn far_away_minutes_do_not_break_the_clock() {
    let clock = clock("Europe/Vienna", "2026-12-07");
    for far in [i64::MAX, i64::MIN, 1 << 40, -(1 << 40)] {
        assert!(!clock.text(Minute::new(far)).is_empty());
    }
}
