//! Promises given: what, to whom, when, and why.

use super::asked::{Wanted, limit};
use super::orders::{Limit, encoded};
use super::route::{Operation, Route};
use super::{Listed, shown, zone};
use crate::app::App;
use crate::problem::Problem;
use crate::promises::{Now, Remembered, remembered, sought};
use crate::rendered::Asker;
use crate::views::{SignatureView, Views};
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use chrono_tz::Tz;
use elbowroom_store::Page;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A promise given.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PromiseView {
    /// Its number.
    pub id: i64,
    /// Who gave it, and when.
    pub given: SignatureView,
    /// Id of the order that comes of it.
    pub order: String,
    /// The date promised.
    pub date: String,
    /// Id of the part.
    pub part: String,
    /// Pieces.
    pub quantity: u32,
    /// Id of the customer.
    pub customer: Option<String>,
    /// The date wished for.
    pub wanted: Option<String>,
    /// Why that date, in a sentence, as it was said then.
    pub reason: String,
    /// The inquiry that it answers: all other offers are there.
    pub inquiry: i64,
    /// The published plan on which it was worked out, as a version.
    pub version: i64,
    /// The number of that plan: its documents are what was known of the shop then.
    pub plan: i64,
    /// The offer taken, and the orders that come of it.
    pub way: Value,
    /// What the present plan says of it; `null` where its orders are not in the plan.
    pub now: Option<Now>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Query {
    from: Option<NaiveDate>,
    until: Option<NaiveDate>,
    about: Option<String>,
    before: Option<i64>,
    limit: Option<u32>,
}

pub fn routes() -> Vec<Route> {
    vec![
        Route::new("/api/v1/promises").with(
            Operation::get("promises", "What was promised, to whom, why and on which plan, newest first.")
                .query::<NaiveDate>("from", "Only promises given on this day or later.")
                .query::<NaiveDate>("until", "Only promises given on this day or earlier.")
                .query::<String>("about", "Only promises with this in the id of order, part or customer.")
                .query::<i64>("before", "Only promises with a smaller number.")
                .query::<Limit>("limit", "At most so many; 100 if not said.")
                .answers::<Listed<PromiseView>>(200, "Promises.")
                .conditional(),
            get(promises),
        ),
    ]
}

async fn promises(
    State(app): State<App>,
    Wanted(query): Wanted<Query>,
    asked: Asker,
) -> Result<Response, Problem> {
    let limit = limit(query.limit)?;
    let zone = zone(&app);
    let sought = sought(query.from, query.until, query.about.as_deref(), zone);
    let page = Page { before: query.before, limit: limit + 1 };
    let mut found = app.with_store(move |store| remembered(store, &sought, page)).await?;
    let more = found.len() > limit as usize;
    found.truncate(limit as usize);
    let next = found.last().filter(|_| more).map(|last| query.next(last.promise.id.0, limit));
    let snapshot = app.snapshot();
    let view = |one: &Remembered| PromiseView::of(one, zone, snapshot.views.as_ref());
    Ok(shown(&asked, &Listed { items: found.iter().map(view).collect(), next }))
}

impl Query {
    fn next(&self, before: i64, limit: u32) -> String {
        let mut path = format!("/api/v1/promises?limit={limit}&before={before}");
        for (name, day) in [("from", self.from), ("until", self.until)] {
            if let Some(day) = day {
                path += &format!("&{name}={day}");
            }
        }
        if let Some(about) = &self.about {
            path += &format!("&about={}", encoded(about));
        }
        path
    }
}

impl PromiseView {
    /// A promise in local time, with what the present plan says of it.
    pub fn of(kept: &Remembered, zone: Tz, views: Option<&Views>) -> Self {
        let (promise, inquiry) = (&kept.promise.promise, &kept.asked.inquiry);
        Self {
            id: kept.promise.id.0,
            given: SignatureView::of(&promise.given, zone),
            order: promise.order.clone(),
            date: promise.date.to_string(),
            part: inquiry.part.clone(),
            quantity: inquiry.quantity,
            customer: inquiry.customer.clone(),
            wanted: inquiry.wanted.map(|date| date.to_string()),
            reason: kept.answer()["reason"].as_str().unwrap_or_default().to_owned(),
            inquiry: promise.inquiry.0,
            version: kept.promise.version.0,
            plan: kept.plan.id.0,
            way: kept.way(),
            now: views.and_then(|views| kept.now(views)),
        }
    }
}
