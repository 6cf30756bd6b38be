//! Local dates and clock times to plan minutes and back.

use chrono::{
    DateTime, Datelike, Days, Duration, NaiveDate, NaiveDateTime, NaiveTime, Offset, TimeZone, Utc,
};
use chrono_tz::Tz;
use elbowroom_units::Minute;
use std::fmt;
use std::ops::RangeInclusive;

/// Turns local dates and times into plan minutes and back, over changes of the clocks.
///
/// Minute 0 is the start of the start date: 00:00, or the first minute that exists where the
/// clocks skip midnight. Minutes count real time.
///
/// ```
/// use elbowroom_shop::calendar::PlanClock;
/// use elbowroom_units::Minute;
/// let clock = PlanClock::new(chrono_tz::Europe::Vienna, "2026-12-07".parse().unwrap());
/// assert_eq!(clock.text(Minute::new(360)), "2026-12-07T06:00:00+01:00");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlanClock {
    zone: Tz,
    start: NaiveDate,
    origin: DateTime<Utc>,
}

impl PlanClock {
    /// A clock whose minute 0 is the start of `start` in `zone`.
    #[must_use]
    pub fn new(zone: Tz, start: NaiveDate) -> Self {
        Self { zone, start, origin: day_start(zone, start) }
    }

    /// Where its local time holds.
    #[must_use]
    pub fn zone(&self) -> Tz {
        self.zone
    }

    /// The day of minute 0.
    #[must_use]
    pub fn start(&self) -> NaiveDate {
        self.start
    }

    /// The moment of a local date and clock time, seconds dropped.
    ///
    /// A time that the clocks skip is taken with the offset before the gap; of a time that occurs
    /// twice, the first (RFC 5545, 3.3.5).
    #[must_use]
    pub fn minute(&self, date: NaiveDate, time: NaiveTime) -> Minute {
        self.minute_of(instant(self.zone, date.and_time(time)))
    }

    /// The first moment of a local date: 00:00, or the first minute after a gap that swallows it.
    #[must_use]
    pub fn start_of(&self, date: NaiveDate) -> Minute {
        self.minute_of(day_start(self.zone, date))
    }

    /// The plan minute that holds an instant.
    #[must_use]
    pub fn minute_of<Z: TimeZone>(&self, instant: DateTime<Z>) -> Minute {
        let seconds = instant.timestamp().saturating_sub(self.origin.timestamp());
        Minute::new(seconds.div_euclid(60))
    }

    /// The local date and time of a plan minute, with its offset.
    ///
    /// A minute beyond the dates that exist here (some 260,000 years) is shown as the start.
    #[must_use]
    pub fn local(&self, minute: Minute) -> DateTime<Tz> {
        let time = Duration::try_minutes(minute.get()).and_then(|d| self.origin.checked_add_signed(d));
        time.unwrap_or(self.origin).with_timezone(&self.zone)
    }

    /// The local date of a plan minute.
    #[must_use]
    pub fn date(&self, minute: Minute) -> NaiveDate {
        self.local(minute).date_naive()
    }

    /// A plan minute as ISO 8601 text with offset: `2026-12-07T06:00:00+01:00`.
    #[must_use]
    pub fn text(&self, minute: Minute) -> String {
        self.local(minute).format("%Y-%m-%dT%H:%M:%S%:z").to_string()
    }

    /// Reads ISO 8601 text of the years 1990 to 2199: with an offset or `Z` an instant, without one
    /// a local time.
    ///
    /// # Errors
    /// If the text is neither.
    pub fn parse(&self, text: &str) -> Result<Minute, ClockError> {
        let instant = || DateTime::parse_from_rfc3339(text).ok().map(|instant| self.minute_of(instant));
        let minute = local_time(text).map(|local| self.minute(local.date(), local.time())).or_else(instant);
        minute
            .filter(|minute| YEARS.contains(&self.date(*minute).year()))
            .ok_or_else(|| ClockError { found: text.chars().take(40).collect() })
    }
}

/// Years in which plans are made. In all of them offsets are whole minutes everywhere, so that a
/// moment's text says it exactly; local mean times of old had seconds.
const YEARS: RangeInclusive<i32> = 1990..=2199;

/// A date and time without offset: `2026-12-07T06:00`, seconds allowed.
fn local_time(text: &str) -> Option<NaiveDateTime> {
    let year_first = text.bytes().take(4).all(|byte| byte.is_ascii_digit());
    let form = match text.len() {
        16 => "%Y-%m-%dT%H:%M",
        19 => "%Y-%m-%dT%H:%M:%S",
        _ => return None,
    };
    NaiveDateTime::parse_from_str(text, form).ok().filter(|_| year_first)
}

/// A text that is no date and time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockError {
    found: String,
}

impl fmt::Display for ClockError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is no date and time; expected one such as 2026-12-07T06:00 or 2026-12-07T06:00:00+01:00",
            self.found
        )
    }
}

impl std::error::Error for ClockError {}

/// The instant of a local time by RFC 5545, 3.3.5.
fn instant(zone: Tz, local: NaiveDateTime) -> DateTime<Utc> {
    if let Some(found) = zone.from_local_datetime(&local).earliest() {
        return found.with_timezone(&Utc);
    }
    let before = offset_before_gap(zone, local);
    (local - before).and_utc()
}

/// The offset that held before the gap in which `local` lies.
fn offset_before_gap(zone: Tz, local: NaiveDateTime) -> Duration {
    // The longest gap there has been is a whole day, where an island crossed the date line.
    let before = (1..=100)
        .map(|quarters| local - Duration::minutes(15 * quarters))
        .find_map(|earlier| zone.from_local_datetime(&earlier).latest());
    let offset =
        before.map_or_else(|| zone.offset_from_utc_datetime(&local).fix(), |earlier| earlier.offset().fix());
    Duration::seconds(i64::from(offset.local_minus_utc()))
}

/// The first instant of a local date that exists.
fn day_start(zone: Tz, date: NaiveDate) -> DateTime<Utc> {
    let midnight = date.and_time(NaiveTime::MIN);
    // Minute by minute, since a gap ends on a full minute; in all but a few days the first one exists.
    (0..=24 * 60)
        .find_map(|minutes| zone.from_local_datetime(&(midnight + Duration::minutes(minutes))).earliest())
        .map_or_else(|| instant(zone, midnight), |first| first.with_timezone(&Utc))
}

/// The day after, or the same day at the end of all dates.
pub(super) fn next_day(date: NaiveDate) -> NaiveDate {
    date.checked_add_days(Days::new(1)).unwrap_or(date)
}
