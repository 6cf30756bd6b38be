//! Shifts, breaks, holidays and exceptions, and the plan's clock.
//!
//! Here, once, local dates and clock times become plan minutes: [`PlanClock`] does single moments,
//! [`open_windows`] and [`crew_capacity`] do patterns of working time. Elapsed minutes are real
//! time, so a night shift over the change to summer time is an hour shorter than its clock times say.

mod capacity;
mod clock;
mod spans;
mod week;
mod windows;
mod working_time;

pub use capacity::crew_capacity;
pub use clock::{ClockError, PlanClock};
pub use week::{IsoWeek, WeekError, week_date};
pub use windows::open_windows;
pub use working_time::{add_working_days, add_working_time, working_minutes};

use chrono::{NaiveDate, NaiveTime, Weekday};

/// A span of clock time on certain days of the week. Where `to` is not after `from`, it ends on
/// the next day; where they are equal, it lasts round the clock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shift {
    /// Days on which it begins.
    pub days: Vec<Weekday>,
    /// Begins at this clock time.
    pub from: NaiveTime,
    /// Ends at this clock time.
    pub to: NaiveTime,
    /// Breaks inside the shift, from and to; nobody works. A time before `from` is of the next day.
    pub breaks: Vec<(NaiveTime, NaiveTime)>,
}

/// A span of clock time on one date, or the whole date where the times are `None`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatedSpan {
    /// The date on which it begins.
    pub date: NaiveDate,
    /// From and to; `None`: the whole local day. Where `to` is not after `from`, it ends the next
    /// day; where they are equal, it lasts round the clock.
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

/// A local calendar day, midnight to midnight, on which the whole shop is closed. A night shift
/// into it or out of it is cut off at midnight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holiday {
    /// The date.
    pub date: NaiveDate,
    /// Its name.
    pub name: String,
}
