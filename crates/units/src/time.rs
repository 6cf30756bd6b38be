use crate::quantity::{self, QuantityError};
use crate::real::real_quantity;
use std::fmt;
use std::ops::{Add, AddAssign, Mul, Sub};
use std::str::FromStr;

/// Minutes in a day of 24 hours. A local day can have 23 or 25 hours; turning dates into minutes
/// is the shop layer's work.
pub const MINUTES_PER_DAY: i64 = 1440;

/// A moment of the plan: whole minutes since its start (minute 0). May be negative.
///
/// Two moments have a difference ([`Minutes`]) but no sum.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Minute(i64);

impl Minute {
    /// The plan's start.
    pub const ZERO: Self = Self(0);

    /// The moment `minutes` after the plan's start.
    #[must_use]
    pub const fn new(minutes: i64) -> Self {
        Self(minutes)
    }

    /// Minutes since the plan's start.
    #[must_use]
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The minutes from this moment to `later`, zero if `later` is earlier.
    #[must_use]
    pub fn until(self, later: Self) -> Minutes {
        Minutes((later.0 - self.0).max(0))
    }
}

impl fmt::Display for Minute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "minute {}", self.0)
    }
}

/// A length of time in whole minutes. May be negative where two moments are subtracted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Minutes(i64);

impl Minutes {
    /// No time.
    pub const ZERO: Self = Self(0);

    /// `count` minutes.
    #[must_use]
    pub const fn new(count: i64) -> Self {
        Self(count)
    }

    /// `count` days of 24 hours.
    #[must_use]
    pub const fn days(count: i64) -> Self {
        Self(count * MINUTES_PER_DAY)
    }

    /// The number of minutes.
    #[must_use]
    pub const fn count(self) -> i64 {
        self.0
    }

    /// The time in hours.
    #[must_use]
    pub fn hours(self) -> f64 {
        self.0 as f64 / 60.0
    }

    /// The time in days of 24 hours.
    #[must_use]
    pub fn in_days(self) -> f64 {
        self.0 as f64 / MINUTES_PER_DAY as f64
    }
}

/// Shown as people say it: `45 min`, `2 h 05 min`, `3 d 04 h`, `28 days`.
impl fmt::Display for Minutes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let total = self.0.unsigned_abs();
        let (days, hours, minutes) = (total / 1440, total / 60 % 24, total % 60);
        let text = match (days, hours) {
            (0, 0) => format!("{sign}{minutes} min"),
            (0, _) => format!("{sign}{hours} h {minutes:02} min"),
            (1, 0) if minutes == 0 => format!("{sign}1 day"),
            (_, 0) if minutes == 0 => format!("{sign}{days} days"),
            _ => format!("{sign}{days} d {hours:02} h"),
        };
        f.pad(&text)
    }
}

impl FromStr for Minutes {
    type Err = QuantityError;

    /// Reads `25 min`, `1.5 h`, `2 days`, `8 weeks`; the unit must be written out, and the
    /// result is rounded up to a whole minute.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let minutes = quantity::read(text, &quantity::DURATION)? / 60.0;
        // A rounding error of the division must not cost a whole minute.
        Ok(Self((minutes - 1e-9).ceil() as i64))
    }
}

/// A length of time in seconds, for times per piece; finite.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Seconds(f64);

real_quantity!(Seconds);

impl Seconds {
    /// `seconds` seconds.
    ///
    /// # Panics
    /// If `seconds` is not finite.
    #[must_use]
    pub fn new(seconds: f64) -> Self {
        assert!(seconds.is_finite(), "a time must be finite, found {seconds}");
        Self(seconds + 0.0)
    }

    /// The time in seconds.
    #[must_use]
    pub fn seconds(self) -> f64 {
        self.0
    }

    /// The time in whole minutes, rounded up, so that planned work always fits.
    #[must_use]
    pub fn round_up_to_minutes(self) -> Minutes {
        // A rounding error of repeated addition must not cost a whole minute.
        Minutes((self.0 / 60.0 - 1e-9).ceil() as i64)
    }
}

impl fmt::Display for Seconds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} s", quantity::plain(self.0, 1))
    }
}

impl FromStr for Seconds {
    type Err = QuantityError;

    /// Reads `45 s`, `1.5 min`, `2 h`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        quantity::read(text, &quantity::DURATION).map(Self)
    }
}

impl From<Minutes> for Seconds {
    fn from(minutes: Minutes) -> Self {
        Self(minutes.0 as f64 * 60.0)
    }
}

impl Sub for Minute {
    type Output = Minutes;
    fn sub(self, other: Self) -> Minutes {
        Minutes(self.0 - other.0)
    }
}

impl Add<Minutes> for Minute {
    type Output = Self;
    fn add(self, time: Minutes) -> Self {
        Self(self.0 + time.0)
    }
}

impl AddAssign<Minutes> for Minute {
    fn add_assign(&mut self, time: Minutes) {
        self.0 += time.0;
    }
}

impl Sub<Minutes> for Minute {
    type Output = Self;
    fn sub(self, time: Minutes) -> Self {
        Self(self.0 - time.0)
    }
}

impl Add for Minutes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Minutes {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Minutes {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<i64> for Minutes {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * factor)
    }
}

impl std::iter::Sum for Minutes {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}
