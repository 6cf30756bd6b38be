//! What cost most lateness.

use crate::lot::Actual;
use crate::orders::OrderReview;
use crate::spans::minutes;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// Lateness put down to one cause.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseOfLateness {
    /// What it was: a reason that was reported, what the plan said, or that it took longer.
    pub cause: String,
    /// Minutes of lateness over all orders.
    pub minutes: f64,
    /// Ids of the orders.
    pub orders: Vec<String>,
}

/// What is neither planned nor reported.
const LONGER: &str = "took or waited longer than planned, no reason reported";

/// The lateness of late orders by cause, the dearest first.
///
/// What the first plan already had late is put down to the cause that it gave. What came on top is
/// put down to the reported stops of the order, each with its own minutes at most (all of them
/// scaled down where they are more than the delay), and the rest to nothing reported.
pub(crate) fn causes(orders: &[&OrderReview], lots: &[Actual], now: DateTime<Utc>) -> Vec<CauseOfLateness> {
    let mut sums: BTreeMap<String, (f64, Vec<String>)> = BTreeMap::new();
    let mut add = |cause: &str, minutes: f64, order: &str| {
        if minutes > 0.0 {
            let sum = sums.entry(cause.to_owned()).or_default();
            sum.0 += minutes;
            if !sum.1.iter().any(|id| id == order) {
                sum.1.push(order.to_owned());
            }
        }
    };
    for order in orders.iter().filter(|order| order.is_late()) {
        let id = &order.facts.id;
        let planned = (order.lateness_min - order.after_plan_min.max(0.0)).max(0.0);
        add(order.facts.planned_cause.as_deref().unwrap_or(LONGER), planned, id);
        let on_top = order.lateness_min - planned;
        let stops: Vec<(&str, f64)> = lots
            .iter()
            .filter(|lot| lot.order == *id)
            .flat_map(|lot| lot.stopped(now))
            .map(|(span, reason)| (reason, minutes(span)))
            .collect();
        let reported: f64 = stops.iter().map(|(_, minutes)| minutes).sum();
        let scale = if reported > on_top { on_top / reported } else { 1.0 };
        stops.iter().for_each(|(reason, minutes)| add(reason, minutes * scale, id));
        add(LONGER, on_top - reported * scale, id);
    }
    let mut causes: Vec<CauseOfLateness> = sums
        .into_iter()
        .map(|(cause, (minutes, orders))| CauseOfLateness { cause, minutes, orders })
        .collect();
    causes.sort_by(|a, b| b.minutes.total_cmp(&a.minutes).then_with(|| a.cause.cmp(&b.cause)));
    causes
}
