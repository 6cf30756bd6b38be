//! How sure a plan is, for other people's programs.

use elbowroom_planner::plan::{CellChance, Confidence, OrderChance, Remedy, RemedyKind, Risk};
use elbowroom_shop::calendar::PlanClock;
use serde_json::{Value, json};

/// The value of the key `confidence`. Shares are from 0 to 1.
pub(super) fn confidence(clock: &PlanClock, sure: &Confidence) -> Value {
    json!({
        "runs": sure.runs,
        "seed": sure.seed,
        "at_risk_below": sure.at_risk_below,
        "orders": sure.orders.iter().map(|one| order(clock, one)).collect::<Vec<_>>(),
        "cells": sure.cells.iter().map(cell).collect::<Vec<_>>(),
        "risks": sure.risks.iter().map(|one| risk(clock, one)).collect::<Vec<_>>(),
    })
}

fn order(clock: &PlanClock, order: &OrderChance) -> Value {
    let dates = [(50, order.dates.in_50), (80, order.dates.in_80), (95, order.dates.in_95)];
    let date = |(cases, date): (u32, chrono::NaiveDate)| {
        let finish = order.finishes.quantile(f64::from(cases) / 100.0);
        json!({
            "cases_of_hundred": cases,
            "date": date.to_string(),
            "finish": clock.text(finish),
            "finish_minute": finish.get(),
        })
    };
    json!({ "order": order.order, "kept": order.kept, "dates": dates.map(date) })
}

fn cell(cell: &CellChance) -> Value {
    let (year, week) = cell.week;
    json!({
        "cell": cell.cell,
        "week": format!("{year}-W{week:02}"),
        "out_of_time": cell.out_of_time,
    })
}

fn risk(clock: &PlanClock, risk: &Risk) -> Value {
    json!({
        "order": risk.order,
        "kept": risk.kept,
        "late_in_plan_min": risk.late_in_plan.count(),
        "expected_cost": risk.expected_cost.amount(),
        "remedies": risk.remedies.iter().map(|one| remedy(clock, one)).collect::<Vec<_>>(),
        "all_tried": risk.all_tried,
    })
}

fn remedy(clock: &PlanClock, remedy: &Remedy) -> Value {
    json!({
        "kind": kind(remedy.kind),
        "text": remedy.text,
        "finish": clock.text(remedy.finish),
        "finish_minute": remedy.finish.get(),
        "kept": remedy.kept,
        "cures": remedy.cures,
        "cost": remedy.cost.amount(),
        "puts_at_risk": remedy.puts_at_risk,
    })
}

fn kind(kind: RemedyKind) -> &'static str {
    match kind {
        RemedyKind::Forward => "forward",
        RemedyKind::Process => "process",
        RemedyKind::Vendor => "vendor",
        RemedyKind::Overtime => "overtime",
        RemedyKind::Split => "split",
    }
}
