//! Orders: promised, planned, finished.

use crate::indicators::ratio;
use chrono::{DateTime, Utc};

/// What is known of an order.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderFacts {
    /// Id of the order.
    pub id: String,
    /// The moment from which it would be late by the first promise that was planned for.
    pub first_due: DateTime<Utc>,
    /// The same by the last promise.
    pub last_due: DateTime<Utc>,
    /// When it was to be finished by the first plan that had it.
    pub planned: DateTime<Utc>,
    /// What the first plan said would make it late, if it did.
    pub planned_cause: Option<String>,
    /// When its last step was finished.
    pub finished: Option<DateTime<Utc>>,
}

/// An order, looked back at; minutes, positive is late.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderReview {
    /// What is known of it.
    pub facts: OrderFacts,
    /// Lateness against the first promise; of one that is not finished, so far.
    pub lateness_min: f64,
    /// Lateness against the last promise.
    pub lateness_last_min: f64,
    /// How much later it was finished than first planned.
    pub after_plan_min: f64,
}

impl OrderReview {
    /// Whether it was finished after the first promise, or is not finished although it should be.
    #[must_use]
    pub fn is_late(&self) -> bool {
        self.lateness_min > 0.0
    }
}

pub(crate) fn order(facts: OrderFacts, now: DateTime<Utc>) -> OrderReview {
    let finish = facts.finished.unwrap_or(now);
    let minutes = |from: DateTime<Utc>| (finish - from).num_seconds() as f64 / 60.0;
    OrderReview {
        lateness_min: minutes(facts.first_due),
        lateness_last_min: minutes(facts.last_due),
        after_plan_min: minutes(facts.planned),
        facts,
    }
}

/// Promises kept in a period. The share is no indicator of ISO 22400-2; the definition is our own.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OnTime {
    /// Orders due in the period by their first promise.
    pub due: usize,
    /// Those finished by then.
    pub kept: usize,
    /// Those finished by the last promise they were given.
    pub kept_last: usize,
    /// Mean of finish less promise in minutes, early ones negative.
    pub mean_lateness_min: Option<f64>,
    /// The same with early ones counted as 0.
    pub mean_tardiness_min: Option<f64>,
}

impl OnTime {
    pub(crate) fn of(orders: &[&OrderReview]) -> Self {
        let sum = |value: &dyn Fn(&OrderReview) -> f64| orders.iter().map(|order| value(order)).sum::<f64>();
        let count = orders.len() as f64;
        let kept = |late: &dyn Fn(&OrderReview) -> f64| {
            orders.iter().filter(|order| order.facts.finished.is_some() && late(order) <= 0.0).count()
        };
        Self {
            due: orders.len(),
            kept: kept(&|order| order.lateness_min),
            kept_last: kept(&|order| order.lateness_last_min),
            mean_lateness_min: ratio(sum(&|order| order.lateness_min), count),
            mean_tardiness_min: ratio(sum(&|order| order.lateness_min.max(0.0)), count),
        }
    }

    /// Orders finished by their first promise, of those due.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        ratio(self.kept as f64, self.due as f64)
    }
}
