//! Reading a shop folder for a verb: the day a plan starts, and every finding with its place.

use chrono::{Datelike, Days, Local, NaiveDate, Weekday};
use elbowroom_files::{Finding, Kind, Loaded, Place, Places, RawFolder, Severity, read_raw};
use elbowroom_planner::plan::LeftOut;
use elbowroom_planner::{Finding as Noticed, Severity as Weight};
use elbowroom_shop::Shop;
use std::path::Path;

/// A shop folder as read, and the first day of its plan.
pub struct Read {
    /// What was read and found.
    pub loaded: Loaded,
    /// The first day of a plan.
    pub start: NaiveDate,
}

/// Reads a shop folder. The plan starts on `asked`, else on the shop's `plan_start`, else on the
/// Monday on or after today.
pub fn read(folder: &Path, asked: Option<NaiveDate>) -> Read {
    read_with_parts_of(folder, None, asked)
}

/// As [`read`], with the parts of one more file.
pub fn read_with_parts_of(folder: &Path, parts: Option<&Path>, asked: Option<NaiveDate>) -> Read {
    let raw = || {
        let folder = RawFolder::open(folder);
        match parts {
            Some(file) => folder.with_parts_of(file),
            None => folder,
        }
    };
    let loaded = read_raw(raw(), asked);
    let planned = loaded.shop.as_ref().and_then(|shop| shop.terms.plan_start);
    match asked.or(planned) {
        Some(start) => Read { loaded, start },
        None => {
            let start = monday_on_or_after(Local::now().date_naive());
            Read { loaded: read_raw(raw(), Some(start)), start }
        }
    }
}

fn monday_on_or_after(day: NaiveDate) -> NaiveDate {
    let ahead = (7 - u64::from(day.weekday().days_since(Weekday::Mon))) % 7;
    day.checked_add_days(Days::new(ahead)).unwrap_or(day)
}

/// What the planner noticed, and the orders it must leave out, as findings with a place.
pub fn placed(noticed: &[Noticed], left_out: &[LeftOut], places: &Places) -> Vec<Finding> {
    let orders = left_out.iter().map(|out| left_out_finding(out, places));
    noticed.iter().map(|noticed| noticed_finding(noticed, places)).chain(orders).collect()
}

fn noticed_finding(noticed: &Noticed, places: &Places) -> Finding {
    let severity = match noticed.severity {
        Weight::Warning => Severity::Warning,
        Weight::Note => Severity::Note,
    };
    Finding {
        severity,
        code: elbowroom_files::code::PLANNING,
        place: place_of(&noticed.subject, places),
        message: format!("`{}`: {}", noticed.subject, noticed.message),
        hint: Some(noticed.hint.clone()).filter(|hint| !hint.is_empty()),
    }
}

fn left_out_finding(out: &LeftOut, places: &Places) -> Finding {
    let place = places.of(Kind::Part, &out.part).or_else(|| places.of(Kind::Order, &out.order));
    Finding {
        severity: Severity::Warning,
        code: elbowroom_files::code::CANNOT_BE_MADE,
        place: place.cloned().unwrap_or_else(|| Place::whole(".")),
        message: format!(
            "order `{}`: part `{}` cannot be made: {}",
            out.order,
            out.part,
            out.reasons.join("; ")
        ),
        hint: Some(
            "change the part or a cell's limits, or give it away; the other orders are planned".to_owned(),
        ),
    }
}

/// The line of an order, part, tool or cell of this name.
fn place_of(id: &str, places: &Places) -> Place {
    [Kind::Underway, Kind::Order, Kind::Part, Kind::Tool, Kind::Cell]
        .into_iter()
        .find_map(|kind| places.of(kind, id))
        .cloned()
        .unwrap_or_else(|| Place::whole("."))
}

/// How many of the findings are of a severity.
pub fn count(findings: &[Finding], severity: Severity) -> usize {
    findings.iter().filter(|finding| finding.severity == severity).count()
}

/// `1 order`, `3 orders`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// One line on what a shop has.
pub fn inventory(shop: &Shop) -> String {
    [
        (shop.orders.len(), "order"),
        (shop.parts.len(), "part"),
        (shop.cells.len(), "cell"),
        (shop.tools.len(), "tool"),
    ]
    .map(|(number, noun)| counted(number, noun))
    .join(", ")
}

#[cfg(test)]
mod tests {
    use super::monday_on_or_after;
    use chrono::NaiveDate;

    #[test]
    fn a_plan_starts_on_a_monday_to_come() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert_eq!(monday_on_or_after(day("2026-12-07")), day("2026-12-07"));
        assert_eq!(monday_on_or_after(day("2026-12-08")), day("2026-12-14"));
        assert_eq!(monday_on_or_after(day("2026-12-13")), day("2026-12-14"));
    }
}
