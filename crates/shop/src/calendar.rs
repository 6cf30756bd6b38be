//! Shifts, breaks, holidays and exceptions, and the plan's clock.

use chrono::{NaiveDate, NaiveTime, Weekday};

/// A span of clock time on certain days of the week. Where `to` is not after `from`, it ends on
/// the next day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shift {
    /// Days on which it begins.
    pub days: Vec<Weekday>,
    /// Begins at this clock time.
    pub from: NaiveTime,
    /// Ends at this clock time.
    pub to: NaiveTime,
    /// Breaks inside the shift, from and to; nobody works.
    pub breaks: Vec<(NaiveTime, NaiveTime)>,
}

/// A span of clock time on one date, or the whole date where the times are `None`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatedSpan {
    /// The date on which it begins.
    pub date: NaiveDate,
    /// From and to; `None`: the whole local day. Where `to` is not after `from`, it ends the next day.
    pub times: Option<(NaiveTime, NaiveTime)>,
    /// Why, for people.
    pub reason: String,
}

/// A named pattern of working time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Calendar {
    /// Name, unique.
    pub id: String,
    /// Weekly shifts.
    pub shifts: Vec<Shift>,
    /// Overtime: open although it is evening, weekend or holiday.
    pub extra: Vec<DatedSpan>,
    /// Maintenance and closures; they win over everything else.
    pub closed: Vec<DatedSpan>,
}

/// A day on which the whole shop is closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holiday {
    /// The date.
    pub date: NaiveDate,
    /// Its name.
    pub name: String,
}
