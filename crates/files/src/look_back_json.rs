//! What was, against what was planned, for other people's programs.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use elbowroom_lookback::indicators::Elements;
use elbowroom_lookback::{LotReview, OrderReview, Review};
use serde_json::{Value, json};

/// A review as JSON: moments in ISO 8601 with offset, durations in minutes (`..._min`), shares from
/// 0 to 1, `null` where there is nothing to divide by.
#[must_use]
pub fn look_back_json(review: &Review, zone: Tz) -> Value {
    let on_time = &review.on_time;
    json!({
        "from": moment(review.period.0, zone),
        "until": moment(review.period.1, zone),
        "on_time": {
            "due": on_time.due,
            "kept": on_time.kept,
            "kept_last_promise": on_time.kept_last,
            "share": on_time.share(),
            "mean_lateness_min": on_time.mean_lateness_min,
            "mean_tardiness_min": on_time.mean_tardiness_min,
        },
        "adherence": review.adherence(),
        "whole": elements(&review.whole),
        "causes": review.causes.iter().map(|cause| json!({
            "cause": cause.cause, "lateness_min": cause.minutes, "orders": cause.orders,
        })).collect::<Vec<_>>(),
        "orders": review.orders.iter().map(|o| order(o, zone)).collect::<Vec<_>>(),
        "cells": review.cells.iter().map(|cell| json!({
            "cell": cell.id, "lots_finished": cell.finished, "indicators": elements(&cell.elements),
        })).collect::<Vec<_>>(),
        "lots": review.lots.iter().map(|l| lot(l, zone)).collect::<Vec<_>>(),
    })
}

fn moment(moment: DateTime<Utc>, zone: Tz) -> String {
    moment.with_timezone(&zone).to_rfc3339()
}

fn order(order: &OrderReview, zone: Tz) -> Value {
    json!({
        "order": order.facts.id,
        "first_due": moment(order.facts.first_due, zone),
        "last_due": moment(order.facts.last_due, zone),
        "planned_finish": moment(order.facts.planned, zone),
        "finish": order.facts.finished.map(|at| moment(at, zone)),
        "lateness_min": order.lateness_min,
        "lateness_last_promise_min": order.lateness_last_min,
        "after_first_plan_min": order.after_plan_min,
        "is_late": order.is_late(),
    })
}

fn lot(lot: &LotReview, zone: Tz) -> Value {
    let (planned, actual) = (lot.planned.as_ref(), lot.actual.as_ref());
    json!({
        "order": planned.map(|p| &p.order).or(actual.map(|a| &a.order)),
        "step": planned.map(|p| &p.step).or(actual.map(|a| &a.step)),
        "planned_cell": planned.map(|p| &p.cell),
        "cell": actual.map(|a| &a.cell),
        "planned_start": planned.map(|p| moment(p.setup_start, zone)),
        "started": actual.map(|a| moment(a.started, zone)),
        "planned_end": planned.map(|p| moment(p.end, zone)),
        "finished": actual.and_then(|a| a.finished).map(|at| moment(at, zone)),
        "planned_min": planned.map(|p| p.setup_min + p.run_min),
        "took_min": lot.took_min,
        "good": actual.map(|a| a.good),
        "scrap": actual.map(|a| a.scrap),
        "as_planned": lot.as_planned,
    })
}

fn elements(elements: &Elements) -> Value {
    json!({
        "planned_busy_min": elements.planned_busy,
        "production_min": elements.production,
        "setup_min": elements.setup,
        "delay_min": elements.delay,
        "produced": elements.produced,
        "good": elements.good,
        "scrap": elements.scrap,
        "allocation_efficiency": elements.allocation_efficiency(),
        "utilization_efficiency": elements.utilization_efficiency(),
        "availability": elements.availability(),
        "effectiveness": elements.effectiveness(),
        "quality_ratio": elements.quality_ratio(),
        "overall_equipment_effectiveness": elements.overall_effectiveness(),
        "setup_ratio": elements.setup_ratio(),
        "technical_efficiency": elements.technical_efficiency(),
        "throughput_rate_per_min": elements.throughput_rate(),
    })
}
