//! ISO 8601 weeks.

use chrono::{Datelike, Days, NaiveDate, Weekday};
use std::fmt;
use std::str::FromStr;

/// A week by ISO 8601: begins on Monday; week 1 holds the year's first Thursday.
///
/// Shown as `2026-W53`. Orders by time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct IsoWeek {
    year: i32,
    week: u32,
}

impl IsoWeek {
    /// Week `week` of `year`, if that year has it.
    ///
    /// # Errors
    /// If it has not: week 53 exists in 71 of 400 years.
    pub fn new(year: i32, week: u32) -> Result<Self, WeekError> {
        match NaiveDate::from_isoywd_opt(year, week, Weekday::Mon) {
            Some(_) => Ok(Self { year, week }),
            None => Err(WeekError { found: format!("{year:04}-W{week:02}") }),
        }
    }

    /// The week in which `date` lies.
    #[must_use]
    pub fn of(date: NaiveDate) -> Self {
        let week = date.iso_week();
        Self { year: week.year(), week: week.week() }
    }

    /// Its year, which in late December and early January can differ from the date's.
    #[must_use]
    pub fn year(self) -> i32 {
        self.year
    }

    /// Its number, from 1 to 53.
    #[must_use]
    pub fn number(self) -> u32 {
        self.week
    }

    /// Its first day.
    #[must_use]
    pub fn monday(self) -> NaiveDate {
        NaiveDate::from_isoywd_opt(self.year, self.week, Weekday::Mon)
            .expect("both constructors accept only weeks that exist")
    }

    /// The week after.
    #[must_use]
    pub fn next(self) -> Self {
        self.monday().checked_add_days(Days::new(7)).map_or(self, Self::of)
    }

    /// Weeks in an ISO year: 52 or 53.
    #[must_use]
    pub fn count_in(year: i32) -> u32 {
        if Self::new(year, 53).is_ok() { 53 } else { 52 }
    }
}

impl fmt::Display for IsoWeek {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:04}-W{:02}", self.year, self.week))
    }
}

impl FromStr for IsoWeek {
    type Err = WeekError;

    /// Reads `2026-W53`.
    fn from_str(text: &str) -> Result<Self, WeekError> {
        let fault = || WeekError { found: text.chars().take(40).collect() };
        let (year, week) = text.split_once("-W").ok_or_else(fault)?;
        let digits = |part: &str, count| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(week, 2) {
            return Err(fault());
        }
        Self::new(year.parse().map_err(|_| fault())?, week.parse().map_err(|_| fault())?)
    }
}

/// The week date of a date: `2026-W53-5`.
#[must_use]
pub fn week_date(date: NaiveDate) -> String {
    format!("{}-{}", IsoWeek::of(date), date.weekday().number_from_monday())
}

/// A week that does not exist, or a text that is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WeekError {
    found: String,
}

impl fmt::Display for WeekError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "there is no week `{}`; expected one such as 2026-W50", self.found)
    }
}

impl std::error::Error for WeekError {}
