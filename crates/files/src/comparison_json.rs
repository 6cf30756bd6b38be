//! What is different from one plan to another, for other people's programs.

use elbowroom_planner::compare::{Comparison, Fate, Moved, OrderOutline, Outline};
use serde_json::{Value, json};

/// A comparison as JSON; keys as in `plan.json`.
#[must_use]
pub fn comparison_json(old: &Outline, new: &Outline, comparison: &Comparison) -> Value {
    json!({
        "currency": new.currency,
        "old": side(old),
        "new": side(new),
        "extra_cost": comparison.extra_cost.amount(),
        "unchanged": comparison.unchanged,
        "moved": comparison.moved.iter().map(moved).collect::<Vec<_>>(),
    })
}

fn side(outline: &Outline) -> Value {
    json!({
        "start": outline.start.to_string(),
        "cost": outline.money.total.amount(),
        "orders": outline.orders.len(),
        "late_orders": outline.late(),
    })
}

fn moved(moved: &Moved) -> Value {
    json!({
        "order": moved.id,
        "fate": fate(moved.fate),
        "shift_min": moved.shift().map(|shift| shift.count()),
        "elsewhere": moved.is_elsewhere(),
        "old": moved.old.as_ref().map(order),
        "new": moved.new.as_ref().map(order),
        "why": moved.why,
    })
}

const fn fate(fate: Fate) -> &'static str {
    match fate {
        Fate::LeftOut => "left_out",
        Fate::NowLate => "now_late",
        Fate::LaterStill => "later_still",
        Fate::NowInTime => "now_in_time",
        Fate::LessLate => "less_late",
        Fate::Later => "later",
        Fate::Sooner => "sooner",
        Fate::Elsewhere => "elsewhere",
        Fate::New => "new",
        Fate::Gone => "gone",
    }
}

fn order(order: &OrderOutline) -> Value {
    let (process, cell) = order.bent.clone().unzip();
    json!({
        "promised": order.promised.to_string(),
        "finish": order.finish.to_rfc3339(),
        "lateness_min": order.lateness().count(),
        "is_late": order.is_late(),
        "process": process,
        "bend_cell": cell,
        "cost": order.cost.amount(),
    })
}
