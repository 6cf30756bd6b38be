//! Moments and dates in words.

use chrono::{Datelike, NaiveDate, TimeZone, Timelike};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::{Minute, Minutes};

/// A date with its weekday: `Mon 2026-12-07`.
#[must_use]
pub fn day(date: NaiveDate) -> String {
    format!("{} {}", date.weekday(), date.format("%Y-%m-%d"))
}

/// A moment in local time: `Mon 2026-12-07 06:00`.
#[must_use]
pub fn moment(clock: &PlanClock, minute: Minute) -> String {
    format!("{} {}", day(clock.date(minute)), time(clock, minute))
}

/// A moment in local time, as short as it stays clear to somebody who has just read `after`: the
/// time alone on the same day, with the weekday in the six days after, else in full.
#[must_use]
pub fn moment_after(clock: &PlanClock, minute: Minute, after: Minute) -> String {
    let date = clock.date(minute);
    match (date - clock.date(after)).num_days() {
        0 => time(clock, minute),
        1..=6 => format!("{} {}", date.weekday(), time(clock, minute)),
        _ => moment(clock, minute),
    }
}

/// A moment without the weekday, for programs: `2026-12-07 06:00`.
#[must_use]
pub fn stamp(clock: &PlanClock, minute: Minute) -> String {
    format!("{} {}", clock.date(minute).format("%Y-%m-%d"), hour_minute(clock, minute))
}

/// The clock time; in the hour that comes twice when the clocks are put back, with its offset.
fn time(clock: &PlanClock, minute: Minute) -> String {
    let local = clock.local(minute);
    let unique = clock.zone().from_local_datetime(&local.naive_local()).single().is_some();
    let time = hour_minute(clock, minute);
    if unique { time } else { format!("{time} ({})", local.format("%:z")) }
}

/// The clock time: `06:00`.
#[must_use]
pub fn hour_minute(clock: &PlanClock, minute: Minute) -> String {
    let local = clock.local(minute);
    format!("{:02}:{:02}", local.hour(), local.minute())
}

/// Lateness in days and hours: `2 d 04 h late`, `1 d 03 h spare`, `on the minute`.
#[must_use]
pub fn lateness(lateness: Minutes) -> String {
    match lateness.count() {
        0 => "on the minute".to_owned(),
        1.. => format!("{lateness} late"),
        _ => format!("{} spare", Minutes::ZERO - lateness),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Europe put its clocks back at 01:00 UTC on 2026-10-25 (directive 2000/84/EC).
    #[test]
    fn the_hour_that_comes_twice_shows_its_offset() {
        let clock = PlanClock::new(chrono_tz::Europe::Vienna, "2026-10-25".parse().unwrap());
        assert_eq!(moment(&clock, Minute::new(60)), "Sun 2026-10-25 01:00");
        assert_eq!(moment(&clock, Minute::new(150)), "Sun 2026-10-25 02:30 (+02:00)");
        assert_eq!(moment(&clock, Minute::new(210)), "Sun 2026-10-25 02:30 (+01:00)");
        assert_eq!(moment(&clock, Minute::new(240)), "Sun 2026-10-25 03:00");
    }

    #[test]
    fn later_moments_are_short_but_clear() {
        let clock = PlanClock::new(chrono_tz::Europe::Vienna, "2026-12-07".parse().unwrap());
        let after = |minute| moment_after(&clock, Minute::new(minute), Minute::new(360));
        assert_eq!(after(490), "08:10");
        assert_eq!(after(1440 + 490), "Tue 08:10");
        assert_eq!(after(7 * 1440), "Mon 2026-12-14 00:00");
    }

    #[test]
    fn lateness_says_its_side() {
        assert_eq!(lateness(Minutes::new(3 * 1440 + 240)), "3 d 04 h late");
        assert_eq!(lateness(Minutes::new(-95)), "1 h 35 min spare");
        assert_eq!(lateness(Minutes::ZERO), "on the minute");
    }
}
