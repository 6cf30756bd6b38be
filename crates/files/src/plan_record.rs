//! Reads `plan.json` back as what was planned, for looking back.

use crate::plan_read::{Spot, read_plan};
use chrono::{DateTime, Utc};
use elbowroom_lookback::{CellFacts, PlannedLot, Span};

/// What a plan said would be done.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanRecord {
    /// Its orders.
    pub orders: Vec<PlannedOrder>,
    /// Its lots on cells.
    pub lots: Vec<PlannedLot>,
    /// Its cells with their open hours.
    pub cells: Vec<CellFacts>,
}

/// An order as a plan saw it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedOrder {
    /// Id of the order.
    pub id: String,
    /// The moment from which it would be late.
    pub due: DateTime<Utc>,
    /// When it was to be finished.
    pub finish: DateTime<Utc>,
    /// What kind of thing the plan said would make it late, if it did.
    pub cause: Option<String>,
    /// Name of its last step.
    pub last_step: String,
}

/// Reads what was planned from the text of `plan.json`.
///
/// # Errors
/// Every fault: where in the file (a path of keys), what was found, what was expected.
pub fn read_plan_record(bytes: &[u8]) -> Result<PlanRecord, Vec<String>> {
    read_plan(bytes, |plan| {
        let cells = plan.list("cells", |cell| {
            let id = cell.text("id");
            let lots = cell.list("tasks", |task| lot(task, &id));
            (CellFacts { open: open(cell), id }, lots)
        });
        let (cells, lots): (Vec<CellFacts>, Vec<Vec<PlannedLot>>) = cells.into_iter().unzip();
        PlanRecord { orders: plan.list("orders", order), lots: lots.concat(), cells }
    })
}

fn moment(spot: &mut Spot<'_, '_>, key: &str) -> DateTime<Utc> {
    spot.moment(key).to_utc()
}

fn open(cell: &mut Spot<'_, '_>) -> Vec<Span> {
    let spans = cell.list("open", |span| {
        let ends: Vec<DateTime<Utc>> = span.value.as_array().into_iter().flatten().filter_map(utc).collect();
        let [from, to] = ends[..] else {
            span.fault("two moments, from and to");
            return None;
        };
        Some((from, to))
    });
    spans.into_iter().flatten().collect()
}

fn utc(value: &serde_json::Value) -> Option<DateTime<Utc>> {
    DateTime::parse_from_rfc3339(value.as_str()?).ok().map(|moment| moment.to_utc())
}

fn lot(task: &mut Spot<'_, '_>, cell: &str) -> PlannedLot {
    PlannedLot {
        order: task.text("order"),
        step: task.text("step"),
        part: task.text("part"),
        cell: cell.to_owned(),
        pieces: task.number("start_quantity") as u32,
        setup_start: moment(task, "setup_start"),
        end: moment(task, "end"),
        setup_min: task.number("changeover_min"),
        run_min: task.number("run_min"),
        setup_factor: factor(task, "setup_factor"),
        run_factor: factor(task, "run_factor"),
    }
}

/// Plans written before there were measured times have no factors: the standard times.
fn factor(task: &mut Spot<'_, '_>, key: &str) -> f64 {
    task.key(key).value.as_f64().filter(|factor| *factor > 0.0).unwrap_or(1.0)
}

fn order(order: &mut Spot<'_, '_>) -> PlannedOrder {
    let steps = order.list("steps", |step| step.text("name"));
    PlannedOrder {
        id: order.text("id"),
        due: moment(order, "due"),
        finish: moment(order, "finish"),
        cause: order.key("late").optional_text("cause").map(|cause| late_because(&cause)),
        last_step: steps.last().cloned().unwrap_or_default(),
    }
}

/// The cause of a planned lateness in words that are the same for all orders, so that they add up.
fn late_because(cause: &str) -> String {
    let words = match cause {
        "die_arrival" => "planned so: a tool was still to come",
        "die_in_use" => "planned so: a tool was in use",
        "material" => "planned so: its tube was still to come",
        "cell" => "planned so: the cell was busy",
        "setter" => "planned so: no setter was free",
        "operator" => "planned so: no operator was free",
        "days_left" => "promised too soon even for an empty shop",
        "choice" => "planned so: something dearer would have been late",
        other => other,
    };
    words.to_owned()
}
