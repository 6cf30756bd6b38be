//! Setters and operators.

use crate::calendar::{DatedSpan, Shift};
use chrono::NaiveDate;

/// People who share work; a setup or run takes one head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crew {
    /// Name, unique.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Weekly shifts, each with its heads. Breaks are the cell's, not the crew's.
    pub shifts: Vec<(Shift, u32)>,
    /// Overtime with its heads.
    pub extra: Vec<(DatedSpan, u32)>,
    /// So many fewer heads on a date.
    pub absences: Vec<(NaiveDate, u32)>,
}
