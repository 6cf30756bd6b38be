//! Values of a row's columns.

use super::faults::Fault;
use crate::Signature;
use chrono::{DateTime, NaiveDate, SecondsFormat, Utc};
use rusqlite::Row;

/// A moment as it is kept.
pub(super) fn moment(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Millis, true)
}

/// Reads a moment.
pub(super) fn read_moment(text: &str) -> Result<DateTime<Utc>, Fault> {
    DateTime::parse_from_rfc3339(text)
        .map(|at| at.with_timezone(&Utc))
        .map_err(|_| Fault::Damaged(format!("`{text}` is kept where a moment belongs")))
}

/// Reads a date.
pub(super) fn read_date(text: &str) -> Result<NaiveDate, Fault> {
    text.parse().map_err(|_| Fault::Damaged(format!("`{text}` is kept where a date belongs")))
}

/// Reads a signature from a column of moments and one of names.
pub(super) fn read_signature(row: &Row<'_>, at: &str, by: &str) -> Result<Signature, Fault> {
    Ok(Signature { at: read_moment(&row.get::<_, String>(at)?)?, by: row.get(by)? })
}
