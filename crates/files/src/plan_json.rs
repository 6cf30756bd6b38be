//! A plan for other people's programs: `plan.json`.
//!
//! Keys are in snake case. Moments are ISO 8601 with offset, each with its plan minute beside it
//! (`..._minute`); durations are whole minutes (`..._min`); money is a plain number in `currency`.

mod confidence;

use confidence::confidence;
use elbowroom_planner::plan::{
    Cause, CellPlan, Course, Late, LeftOut, Load, MoneySum, NoTooling, OrderPlan, Plan, Purchase, Step, Task,
};
use elbowroom_planner::tube::{BarCut, BarFrom, CutPiece, Supply, TubeBuy, TubeDay};
use elbowroom_shop::calendar::{IsoWeek, PlanClock};
use elbowroom_units::{Minute, Minutes};
use serde_json::{Value, json};

/// The value of the key `format`.
pub const PLAN_FORMAT: &str = "elbowroom-plan/1";

/// A plan as JSON text, indented, with a line break at its end.
#[must_use]
pub fn plan_json(plan: &Plan) -> String {
    let clock = &plan.clock;
    let list = |values: Vec<Value>| Value::Array(values);
    let value = json!({
        "format": PLAN_FORMAT,
        "shop": plan.shop,
        "currency": plan.currency,
        "time_zone": clock.zone().name(),
        "start": plan.start.to_string(),
        "weeks": plan.weeks,
        "money": money(&plan.money),
        "lower_bound": plan.lower_bound.map(|bound| bound.amount()),
        "cells": list(plan.cells.iter().map(|c| cell(clock, c)).collect()),
        "orders": list(plan.orders.iter().map(|o| order(clock, o)).collect()),
        "left_out": list(plan.left_out.iter().map(left_out).collect()),
        "purchases": list(plan.purchases.iter().map(|p| purchase(clock, p)).collect()),
        "no_tooling": list(plan.no_tooling.iter().map(|n| no_tooling(clock, n)).collect()),
        "tube_days": list(plan.tube.days.iter().map(|day| tube_day(clock, day)).collect()),
        "tube_to_buy": list(plan.tube.buys.iter().map(|buy| tube_buy(clock, buy)).collect()),
        "loads": list(plan.loads.iter().map(load).collect()),
        "confidence": plan.confidence.as_ref().map(|sure| confidence(clock, sure)),
    });
    format!("{value:#}\n")
}

fn time(clock: &PlanClock, minute: Minute) -> Value {
    Value::String(clock.text(minute))
}

fn money(sum: &MoneySum) -> Value {
    json!({
        "run": sum.run.amount(),
        "setup": sum.setup.amount(),
        "outside": sum.outside.amount(),
        "purchases": sum.purchases.amount(),
        "late": sum.late.amount(),
        "total": sum.total.amount(),
    })
}

fn cell(clock: &PlanClock, cell: &CellPlan) -> Value {
    let open = |(from, to): &(Minute, Minute)| json!([time(clock, *from), time(clock, *to)]);
    json!({
        "id": cell.id,
        "name": cell.name,
        "work": cell.work.name(),
        "open": cell.open.iter().map(open).collect::<Vec<_>>(),
        "tasks": cell.tasks.iter().map(|t| task(clock, t)).collect::<Vec<_>>(),
    })
}

fn task(clock: &PlanClock, task: &Task) -> Value {
    json!({
        "order": task.order,
        "part": task.part,
        "quantity": task.quantity,
        "start_quantity": task.start_quantity,
        "step": task.step,
        "setup_start": time(clock, task.setup_start),
        "setup_start_minute": task.setup_start.get(),
        "run_start": time(clock, task.run_start),
        "run_start_minute": task.run_start.get(),
        "end": time(clock, task.end),
        "end_minute": task.end.get(),
        "changeover_min": task.changeover.count(),
        "run_min": task.run.count(),
        "setup_factor": task.setup_factor,
        "run_factor": task.run_factor,
        "tools": task.tools,
        "mount": task.mount,
        "setup_crew": task.setup_crew,
        "run_crew": task.run_crew,
        "under_way": task.under_way,
    })
}

fn order(clock: &PlanClock, order: &OrderPlan) -> Value {
    json!({
        "id": order.id,
        "part": order.part,
        "part_name": order.part_name,
        "quantity": order.quantity,
        "customer": order.customer,
        "promised": order.promised.to_string(),
        "due": time(clock, order.due),
        "due_minute": order.due.get(),
        "finish": time(clock, order.finish),
        "finish_minute": order.finish.get(),
        "lateness_min": order.lateness().count(),
        "is_late": order.is_late(),
        "late": order.late.as_ref().map(late),
        "process": order.process.map(|process| process.name()),
        "bend_cell": order.bend_cell,
        "blank_mm": order.blank.map(|blank| blank.mm()),
        "cost": order.cost.amount(),
        "late_cost": order.late_cost.amount(),
        "steps": order.steps.iter().map(|s| step(clock, s)).collect::<Vec<_>>(),
    })
}

fn late(late: &Late) -> Value {
    json!({
        "cause": cause(late.cause),
        "waited_min": late.waited.count(),
        "step": late.step,
        "text": late.text,
    })
}

const fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::DieArrival => "die_arrival",
        Cause::DieInUse => "die_in_use",
        Cause::Material => "material",
        Cause::Cell => "cell",
        Cause::Setter => "setter",
        Cause::Operator => "operator",
        Cause::DaysLeft => "days_left",
        Cause::Choice => "choice",
    }
}

fn step(clock: &PlanClock, step: &Step) -> Value {
    json!({
        "name": step.name,
        "place": step.place,
        "outside": step.outside,
        "run_start": time(clock, step.run_start),
        "run_start_minute": step.run_start.get(),
        "end": time(clock, step.end),
        "end_minute": step.end.get(),
    })
}

fn left_out(left: &LeftOut) -> Value {
    json!({ "order": left.order, "part": left.part, "reasons": left.reasons })
}

fn purchase(clock: &PlanClock, purchase: &Purchase) -> Value {
    json!({
        "tool": purchase.tool,
        "kind": purchase.kind.name(),
        "price": purchase.price.amount(),
        "estimated": purchase.estimated,
        "lead_min": purchase.lead.count(),
        "order_by": purchase.order_by.to_string(),
        "first_use": time(clock, purchase.first_use),
        "first_use_minute": purchase.first_use.get(),
        "orders": purchase.orders,
    })
}

fn no_tooling(clock: &PlanClock, flag: &NoTooling) -> Value {
    json!({
        "order": flag.order,
        "without": course(clock, &flag.without),
        "waiting": course(clock, &flag.waiting),
        "tools": flag.tools,
        "sooner": flag.sooner(),
        "cheaper": flag.cheaper(),
        "plan_waits": flag.plan_waits,
    })
}

fn tube_day(clock: &PlanClock, day: &TubeDay) -> Value {
    let coming = match day.supply {
        Supply::Coming(date) => Some(date.to_string()),
        Supply::Counted | Supply::NotCounted => None,
    };
    json!({
        "tube": day.tube,
        "day": day.day.to_string(),
        "first_cut": time(clock, day.first_cut),
        "first_cut_minute": day.first_cut.get(),
        "counted": day.supply == Supply::Counted,
        "coming": coming,
        "orders": day.orders,
        "cuts": day.cuts.iter().map(bar_cut).collect::<Vec<_>>(),
        "above_least_percent": 100.0 * day.gap,
        "too_long": day.too_long.iter().map(|(order, why)| json!({"order": order, "why": why})).collect::<Vec<_>>(),
    })
}

fn bar_cut(cut: &BarCut) -> Value {
    let from = match cut.from {
        BarFrom::House => "house",
        BarFrom::Remnant => "remnant",
        BarFrom::New => "new",
    };
    let piece = |piece: &CutPiece| json!({ "order": piece.order, "blank_mm": piece.length.mm(), "count": piece.count });
    json!({
        "bar_mm": cut.bar.mm(),
        "bars": cut.bars,
        "from": from,
        "pieces": cut.pieces.iter().map(piece).collect::<Vec<_>>(),
        "left_mm": cut.rest.mm(),
        "kept": cut.kept,
    })
}

fn tube_buy(clock: &PlanClock, buy: &TubeBuy) -> Value {
    json!({
        "tube": buy.tube,
        "bar_mm": buy.bar.mm(),
        "bars": buy.bars,
        "counted": buy.counted,
        "price": buy.price.map(|price| price.amount()),
        "order_by": buy.order_by.map(|day| day.to_string()),
        "too_late_arrival": buy.too_late.map(|arrival| time(clock, arrival)),
        "first_cut": time(clock, buy.first_cut),
        "first_cut_minute": buy.first_cut.get(),
        "orders": buy.orders,
    })
}

fn course(clock: &PlanClock, course: &Course) -> Value {
    json!({
        "process": course.process.name(),
        "cell": course.cell,
        "finish": time(clock, course.finish),
        "finish_minute": course.finish.get(),
        "cost": course.cost.amount(),
    })
}

fn load(load: &Load) -> Value {
    let (year, week) = load.week;
    let minutes = |time: Minutes| time.count();
    json!({
        "cell": load.cell,
        "week": IsoWeek::new(year, week).map(|week| week.to_string()).unwrap_or_default(),
        "run_min": minutes(load.run),
        "setup_min": minutes(load.setup),
        "open_min": minutes(load.open),
    })
}
