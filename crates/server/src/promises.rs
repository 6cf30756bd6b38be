//! What was promised, and why: a promise with the question and answer that it came of, the plan
//! that it was worked out on, and what the present plan says of it.

use crate::views::{OrderState, OrderView, Views, day_start};
use chrono::{Days, NaiveDate};
use chrono_tz::Tz;
use elbowroom_store::{Inquiry, Page, PlanHead, Promise, Sought, Store, StoreError};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// A promise with everything that is known of how it came about.
pub struct Remembered {
    /// The promise.
    pub promise: Promise,
    /// What was asked and answered.
    pub asked: Inquiry,
    /// The plan on which it was worked out.
    pub plan: PlanHead,
}

/// Promises with how they came about, newest first.
///
/// # Errors
/// If the store cannot be read.
pub fn remembered(store: &dyn Store, sought: &Sought, page: Page) -> Result<Vec<Remembered>, StoreError> {
    let promises = store.promises_sought(sought, page)?;
    promises.into_iter().map(|promise| remember(store, promise)).collect()
}

/// How one promise came about.
///
/// # Errors
/// If the store cannot be read.
pub fn remember(store: &dyn Store, promise: Promise) -> Result<Remembered, StoreError> {
    let asked = store.inquiry(promise.promise.inquiry)?;
    let plan = store.published(promise.version)?;
    Ok(Remembered { promise, asked, plan })
}

/// Promises given from one local day to another, both included, about something.
#[must_use]
pub fn sought(from: Option<NaiveDate>, until: Option<NaiveDate>, about: Option<&str>, zone: Tz) -> Sought {
    let after = until.and_then(|until| until.checked_add_days(Days::new(1)));
    Sought {
        from: from.map(|day| day_start(zone, day)),
        until: after.map(|day| day_start(zone, day)),
        about: about.map(str::trim).filter(|about| !about.is_empty()).map(str::to_owned),
    }
}

/// What the present plan says of a promise.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "PromiseNow")]
pub struct Now {
    /// When its last order will be finished.
    pub finish: String,
    /// Whether one of its orders will be late.
    pub is_late: bool,
    /// How far the order has come that has come least far.
    pub state: OrderState,
}

impl Remembered {
    /// The answer as it was given.
    #[must_use]
    pub fn answer(&self) -> Value {
        serde_json::from_str(&self.asked.inquiry.answer).unwrap_or_default()
    }

    /// The offer taken, and the orders that come of it.
    #[must_use]
    pub fn way(&self) -> Value {
        serde_json::from_str(&self.promise.promise.way).unwrap_or_default()
    }

    /// What the present plan says of it; `None` where its orders are not in the plan.
    #[must_use]
    pub fn now(&self, views: &Views) -> Option<Now> {
        let way = self.way();
        let ids: Vec<&str> =
            way["orders"].as_array().into_iter().flatten().filter_map(|order| order["id"].as_str()).collect();
        let orders = || views.orders.iter().filter(|view| ids.contains(&view.order.id.as_str()));
        let last = orders().max_by_key(|view| view.order.finish_minute)?;
        let least = orders().map(|view| view.state).min_by_key(|state| far(*state))?;
        Some(Now {
            finish: last.order.finish.clone(),
            is_late: orders().any(|view: &OrderView| view.order.is_late),
            state: least,
        })
    }
}

/// States in the order in which they come.
const fn far(state: OrderState) -> u8 {
    match state {
        OrderState::Stopped => 0,
        OrderState::NotBegun => 1,
        OrderState::UnderWay => 2,
        OrderState::Finished => 3,
    }
}
