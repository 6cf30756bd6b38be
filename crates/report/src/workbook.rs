//! All lists in one workbook (`.xlsx`), for people who go on working with them in a spreadsheet.
//!
//! Numbers are numbers and dates are dates; local times have no zone, as everywhere in spreadsheets.
//! Every sheet has one header row and a first column that stay in sight, a filter, and prints on the width of a
//! page with the shop's name and page numbers.

mod sheet;
mod sheets;

use chrono::{DateTime, Utc};
use elbowroom_planner::plan::Plan;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook};
use sheet::{Formats, write};

/// Why writing in memory works: names of sheets, texts, rows and dates are kept within the format's
/// limits before.
const WITHIN_LIMITS: &str = "everything written is within the limits of a workbook";

/// The workbook; `made`: when the plan was made.
#[must_use]
pub fn workbook(plan: &Plan, made: DateTime<Utc>) -> Vec<u8> {
    let mut book = Workbook::new();
    book.set_properties(&properties(plan, made));
    let formats = Formats::new();
    for sheet in sheets::all(plan) {
        write(book.add_worksheet(), &sheet, plan, &formats).expect(WITHIN_LIMITS);
    }
    book.save_to_buffer().expect(WITHIN_LIMITS)
}

/// Without a date of their own, workbooks of the same plan would differ.
fn properties(plan: &Plan, made: DateTime<Utc>) -> DocProperties {
    let title = crate::clean::plain(&crate::text::summary::headline(plan));
    let title: String = title.chars().take(200).collect();
    let properties = DocProperties::new().set_title(title);
    match ExcelDateTime::from_timestamp(made.timestamp()) {
        Ok(made) => properties.set_creation_datetime(&made),
        Err(_) => properties,
    }
}
