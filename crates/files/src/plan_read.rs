//! Reads `plan.json` back, as far as plans are held against each other.

use crate::plan_json::PLAN_FORMAT;
use chrono::{DateTime, FixedOffset, NaiveDate};
use elbowroom_planner::compare::{CellOutline, LotOutline, OrderOutline, Outline, StepOutline};
use elbowroom_planner::plan::MoneySum;
use elbowroom_units::Money;
use serde_json::Value;
use std::str::FromStr;

/// Reads the outline of a plan from the text of `plan.json`.
///
/// # Errors
/// Every fault: where in the file (a path of keys), what was found, what was expected.
pub fn read_outline(bytes: &[u8]) -> Result<Outline, Vec<String>> {
    read_plan(bytes, outline)
}

/// Reads something from the text of `plan.json`.
pub(crate) fn read_plan<T>(
    bytes: &[u8],
    read: impl FnOnce(&mut Spot<'_, '_>) -> T,
) -> Result<T, Vec<String>> {
    let value: Value =
        serde_json::from_slice(bytes).map_err(|error| vec![format!("it is no JSON: {error}")])?;
    let mut faults = Vec::new();
    let mut plan = Spot { value: &value, path: String::new(), faults: &mut faults };
    if plan.text("format") != PLAN_FORMAT {
        plan.key("format").fault(&format!("\"{PLAN_FORMAT}\", which `elbowroom plan` writes"));
    }
    let read = read(&mut plan);
    if faults.is_empty() { Ok(read) } else { Err(faults) }
}

/// A value, where it stands, and what has been found wrong so far.
pub(crate) struct Spot<'v, 'f> {
    pub(crate) value: &'v Value,
    path: String,
    faults: &'f mut Vec<String>,
}

impl<'v> Spot<'v, '_> {
    pub(crate) fn fault(&mut self, expected: &str) {
        let shown: String = self.value.to_string().chars().take(60).collect();
        self.faults.push(format!("`{}` is {shown}; expected {expected}", self.path.trim_start_matches('.')));
    }

    /// The value of a key; `null` where there is none.
    pub(crate) fn key(&mut self, key: &str) -> Spot<'v, '_> {
        Spot {
            value: self.value.get(key).unwrap_or(&Value::Null),
            path: format!("{}.{key}", self.path),
            faults: self.faults,
        }
    }

    pub(crate) fn text(&mut self, key: &str) -> String {
        self.optional_text(key).unwrap_or_else(|| {
            self.key(key).fault("text");
            String::new()
        })
    }

    pub(crate) fn optional_text(&mut self, key: &str) -> Option<String> {
        self.key(key).value.as_str().map(str::to_owned)
    }

    /// Text that means something else.
    pub(crate) fn parsed<T: FromStr>(&mut self, key: &str, expected: &str, instead: T) -> T {
        let mut spot = self.key(key);
        spot.value.as_str().and_then(|text| text.parse().ok()).unwrap_or_else(|| {
            spot.fault(expected);
            instead
        })
    }

    pub(crate) fn moment(&mut self, key: &str) -> DateTime<FixedOffset> {
        self.parsed(key, "a moment such as 2026-12-07T06:00:00+01:00", DateTime::UNIX_EPOCH.fixed_offset())
    }

    pub(crate) fn date(&mut self, key: &str) -> NaiveDate {
        self.parsed(key, "a date such as 2026-12-31", NaiveDate::MIN)
    }

    pub(crate) fn money(&mut self, key: &str) -> Money {
        let mut spot = self.key(key);
        Money::new(spot.value.as_f64().unwrap_or_else(|| {
            spot.fault("an amount of money");
            0.0
        }))
    }

    /// A number, not negative.
    pub(crate) fn number(&mut self, key: &str) -> f64 {
        let mut spot = self.key(key);
        spot.value.as_f64().filter(|number| *number >= 0.0).unwrap_or_else(|| {
            spot.fault("a number that is not negative");
            0.0
        })
    }

    pub(crate) fn list<T>(&mut self, key: &str, read: impl Fn(&mut Spot<'_, '_>) -> T) -> Vec<T> {
        let mut spot = self.key(key);
        let Some(items) = spot.value.as_array() else {
            spot.fault("a list");
            return Vec::new();
        };
        let path = spot.path.clone();
        let item = |(number, value)| {
            read(&mut Spot { value, path: format!("{path}[{number}]"), faults: spot.faults })
        };
        items.iter().enumerate().map(item).collect()
    }
}

fn outline(plan: &mut Spot<'_, '_>) -> Outline {
    Outline {
        shop: plan.text("shop"),
        currency: plan.text("currency"),
        start: plan.date("start"),
        money: money(&mut plan.key("money")),
        orders: plan.list("orders", order),
        left_out: plan.list("left_out", |out| (out.text("order"), out.list("reasons", reason))),
        cells: plan.list("cells", cell),
    }
}

fn cell(cell: &mut Spot<'_, '_>) -> CellOutline {
    CellOutline {
        id: cell.text("id"),
        open: cell.list("open", span),
        lots: cell.list("tasks", |task| LotOutline {
            order: task.text("order"),
            step: task.text("step"),
            from: task.moment("setup_start"),
            to: task.moment("end"),
        }),
    }
}

/// A pair of moments.
fn span(spot: &mut Spot<'_, '_>) -> (DateTime<FixedOffset>, DateTime<FixedOffset>) {
    let moment = |at: usize| spot.value.get(at)?.as_str()?.parse().ok();
    moment(0).zip(moment(1)).unwrap_or_else(|| {
        spot.fault("two moments such as 2026-12-07T06:00:00+01:00");
        let never = DateTime::UNIX_EPOCH.fixed_offset();
        (never, never)
    })
}

fn reason(spot: &mut Spot<'_, '_>) -> String {
    spot.value.as_str().map(str::to_owned).unwrap_or_else(|| {
        spot.fault("text");
        String::new()
    })
}

fn money(sum: &mut Spot<'_, '_>) -> MoneySum {
    MoneySum {
        run: sum.money("run"),
        setup: sum.money("setup"),
        outside: sum.money("outside"),
        purchases: sum.money("purchases"),
        late: sum.money("late"),
        total: sum.money("total"),
    }
}

fn order(order: &mut Spot<'_, '_>) -> OrderOutline {
    let quantity = order.key("quantity").value.as_u64().and_then(|number| u32::try_from(number).ok());
    if quantity.is_none() {
        order.key("quantity").fault("a number of pieces");
    }
    OrderOutline {
        id: order.text("id"),
        part: order.text("part"),
        quantity: quantity.unwrap_or_default(),
        promised: order.date("promised"),
        due: order.moment("due"),
        finish: order.moment("finish"),
        bent: order.optional_text("process").zip(order.optional_text("bend_cell")),
        cost: order.money("cost"),
        late: order.key("late").optional_text("text"),
        steps: order.list("steps", |step| StepOutline {
            name: step.text("name"),
            place: step.text("place"),
            start: step.moment("run_start"),
            end: step.moment("end"),
        }),
    }
}
