//! The published plan as the planner holds it, with everything promised since.
//!
//! It is made anew from the store alone: the shop's files as they were, the reports that were known,
//! the problem and its schedule. So an inquiry is answered on exactly the plan that is published,
//! also after a restart.

use crate::app::App;
use crate::document::Plan;
use crate::problem::Problem;
use crate::replan::{carried_over, with_promised};
use crate::snapshot::PLAN_JSON;
use axum::http::StatusCode;
use chrono::{DateTime, NaiveDate, Utc};
use elbowroom_files::{RawFolder, read_raw};
use elbowroom_planner::Request;
use elbowroom_planner::promise::{Recompiled, Standing};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_store::{Document, Floor, Page, PlanId, Seq, Store, StoreError};
use serde::{Deserialize, Serialize};
use std::sync::{Arc, Mutex, PoisonError};

/// The name under which it is kept what a plan was made from.
pub const MAKING_JSON: &str = "making.json";

/// What a plan was made from, besides the shop's files.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Making {
    /// Its first day.
    pub start: NaiveDate,
    /// Weeks that it shows.
    pub weeks: u32,
    /// When it was begun.
    pub now: DateTime<Utc>,
    /// The last report that was known.
    pub last_report: i64,
    /// The plan that was published then.
    pub published: Option<i64>,
}

/// The published plan with everything promised since.
pub struct Held {
    /// The plan.
    pub standing: Standing,
    /// Turns its minutes into local time.
    pub clock: PlanClock,
    key: (PlanId, i64),
}

/// The plan that was held last, and whoever gives a promise.
#[derive(Default)]
pub struct Holder {
    last: Mutex<Option<Arc<Held>>>,
    /// Promises are given one after the other: each takes its place before the next is looked for.
    pub giving: Mutex<()>,
}

/// The published plan as the planner holds it. It may take a second.
///
/// # Errors
/// If there is none, or it cannot be made anew.
pub fn held(app: &App) -> Result<Arc<Held>, Problem> {
    let store = app.setup.store.as_ref();
    let head = store.current()?.ok_or_else(Problem::no_plan)?;
    let key = (head.id, store.revision()?.promise);
    let mut last = app.holder.last.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(held) = last.as_ref().filter(|held| held.key == key) {
        return Ok(Arc::clone(held));
    }
    let standing = made_anew(store, head.id)?;
    let clock = PlanClock::new(standing.shop().terms.time_zone, standing.start());
    let held = Arc::new(Held { standing, clock, key });
    *last = Some(Arc::clone(&held));
    Ok(held)
}

fn made_anew(store: &dyn Store, id: PlanId) -> Result<Standing, Problem> {
    let making: Making = serde_json::from_slice(&store.document(id, MAKING_JSON)?)
        .map_err(|error| Problem::ours(format!("{MAKING_JSON} of plan `{id}`: {error}")))?;
    let shop = shop(store, id, &making)?;
    let unreadable = |what: &str| Problem::ours(format!("{what} of plan `{id}` cannot be read"));
    let problem = elbowroom_contract::read_problem(&store.document(id, "problem.json")?)
        .map_err(|_| unreadable("the problem"))?;
    let request = Request { start: making.start, weeks: making.weeks };
    let recompiled = Recompiled::new(shop, request, &problem).map_err(|misfit| changed(&misfit))?;
    let schedule =
        elbowroom_contract::read_schedule(&store.document(id, "schedule.json")?, recompiled.problem())
            .map_err(|_| unreadable("the schedule"))?;
    recompiled.standing(schedule).map_err(|misfit| changed(&misfit))
}

fn changed(why: &dyn std::fmt::Display) -> Problem {
    Problem::new(
        StatusCode::CONFLICT,
        "plan-unfit",
        "The published plan cannot be asked",
        format!("this program understands the shop otherwise than the one that made the plan: {why}"),
    )
    .remedy("plan anew and publish")
}

/// The shop as it was when the plan was made, with what has been promised.
fn shop(store: &dyn Store, id: PlanId, making: &Making) -> Result<Shop, Problem> {
    let inputs = inputs(store, id)?.into_iter().map(|file| (file.name, file.bytes));
    let loaded = read_raw(RawFolder::from_files(inputs), Some(making.start));
    let shop = loaded.shop.ok_or_else(|| Problem::ours(format!("the shop of plan `{id}` cannot be read")))?;
    let reports: Vec<_> = store
        .reports(Seq(0), u32::MAX)?
        .into_iter()
        .take_while(|recorded| recorded.seq.0 <= making.last_report)
        .collect();
    let before = making.published.map(|before| plan(store, PlanId(before))).transpose()?;
    let shop = with_promised(shop, &store.promises(EVERY)?);
    Ok(carried_over(shop, &Floor::of(&reports), before.as_ref(), making.start, making.now))
}

/// All of a list.
pub const EVERY: Page = Page { before: None, limit: u32::MAX };

fn inputs(store: &dyn Store, id: PlanId) -> Result<Vec<Document>, StoreError> {
    let names = store.document_names(id)?;
    let inputs = names.iter().filter_map(|name| Some((name, name.strip_prefix("inputs/")?)));
    inputs
        .map(|(name, file)| Ok(Document { name: file.to_owned(), bytes: store.document(id, name)? }))
        .collect()
}

fn plan(store: &dyn Store, id: PlanId) -> Result<Plan, Problem> {
    let bytes = store.document(id, PLAN_JSON)?;
    Plan::read(&bytes).map_err(|error| Problem::ours(format!("plan `{id}`: {error}")))
}
