//! `measured.toml`: what recorded times say about the standard times.

use super::words::works;
use crate::code;
use crate::finding::{Place, Problem};
use crate::keyed::values::{length, number, positive, within, word};
use crate::keyed::{Node, Table};
use elbowroom_shop::measured::{Measured, MeasuredTime};
use elbowroom_shop::uncertainty::Uncertainty;
use elbowroom_units::Mm;

/// Work that takes twenty times as long as by the standard is no estimate but a mistake.
const MOST_FACTOR: f64 = 20.0;
/// As in `uncertainty.toml`.
const MOST_SPREAD: f64 = 2.0;

/// Reads the entries.
pub(crate) fn read(root: &Table<'_>) -> Measured {
    let mut entries: Vec<(MeasuredTime, Place)> = Vec::new();
    for table in root.tables("measured", |number| format!("entry {number}")) {
        let entry = entry(&table);
        table.finish();
        let Some(entry) = entry else { continue };
        match entries.iter().find(|(other, _)| other.work == entry.work && other.tube == entry.tube) {
            Some((_, first)) => {
                let message = format!("this work and tube has an entry already, at {first}");
                table.fault(Problem::new(code::DUPLICATE, message).hint("keep one of the two"));
            }
            None => entries.push((entry, table.place())),
        }
    }
    root.finish();
    Measured(entries.into_iter().map(|(entry, _)| entry).collect())
}

fn entry(table: &Table<'_>) -> Option<MeasuredTime> {
    let work = table.req("work", word(&works()));
    let (od, wall) = (table.opt("od", positive(length)), table.opt("wall", positive(length)));
    let (run, setup) = (table.opt("run", factor), table.opt("setup", factor));
    let (run_cv, setup_cv) = (table.opt("run_cv", cv), table.opt("setup_cv", cv));
    let tube = size(table, od?, wall?)?;
    if tube.is_some() {
        for key in ["setup", "setup_cv", "run_cv"].into_iter().filter(|&key| table.has(key)) {
            let message = format!(
                "`{key}` holds for all tubes of a kind of work and belongs into an entry without `od`"
            );
            table.fault_at(key, Problem::new(code::CONTRADICTION, message));
        }
    }
    Some(MeasuredTime { work: work?, tube, run: run?, setup: setup?, run_cv: run_cv?, setup_cv: setup_cv? })
}

/// Diameter and wall: both or neither.
fn size(table: &Table<'_>, od: Option<Mm>, wall: Option<Mm>) -> Option<Option<(Mm, Mm)>> {
    match (od, wall) {
        (Some(od), Some(wall)) => Some(Some((od, wall))),
        (None, None) => Some(None),
        _ => {
            let message = "a size of tube is `od` and `wall`, and one of the two is missing";
            table.fault(
                Problem::new(code::MISSING_KEY, message).hint("add it, or leave both out for all tubes"),
            );
            None
        }
    }
}

fn factor(node: Node<'_>) -> Option<f64> {
    within(1.0 / MOST_FACTOR, MOST_FACTOR, number)(node)
}

fn cv(node: Node<'_>) -> Option<f64> {
    within(0.0, MOST_SPREAD, number)(node)
}

/// Measured spreads take the place of those of `uncertainty.toml`.
pub(crate) fn spread(measured: &Measured, mut uncertainty: Uncertainty) -> Uncertainty {
    for entry in &measured.0 {
        let spread = uncertainty.of_mut(entry.work);
        spread.run_cv = entry.run_cv.unwrap_or(spread.run_cv);
        spread.setup_cv = entry.setup_cv.unwrap_or(spread.setup_cv);
    }
    uncertainty
}
