//! The published plan, earlier ones, proposals, and the decision about them.

use super::asked::{By, Numbered, Sent, Wanted, limit, maybe_text};
use super::orders::Limit;
use super::route::{Operation, Route};
use super::{Listed, shown, zone};
use crate::app::App;
use crate::document::Plan;
use crate::problem::Problem;
use crate::rendered::{Asker, JSON, Rendered};
use crate::snapshot::Snapshot;
use crate::views::PlanView;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use elbowroom_store::{Page, PlanId, Version};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A plan's head and the names of its documents.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlanDetail {
    /// The head.
    #[serde(flatten)]
    pub plan: PlanView,
    /// Names of its documents: the plan, the problem, the schedule, and the shop's files it was made from.
    pub documents: Vec<String>,
}

/// A decision about a plan.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// Who decides.
    by: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Query {
    before: Option<i64>,
    limit: Option<u32>,
}

pub fn routes() -> Vec<Route> {
    vec![current_route(), list_route(), one_route(), document_route(), publish_route(), discard_route()]
}

fn current_route() -> Route {
    Route::new("/api/v1/plan").with(
        Operation::get("plan", "The published plan, as `elbowroom plan --json` prints it.")
            .answers::<Plan>(200, "The plan.")
            .conditional(),
        get(current),
    )
}

fn list_route() -> Route {
    Route::new("/api/v1/plans").with(
        Operation::get("plans", "Every plan there has been, newest first.")
            .query::<i64>("before", "Only plans with a smaller number.")
            .query::<Limit>("limit", "At most so many; 100 if not said.")
            .answers::<Listed<PlanView>>(200, "Plans.")
            .conditional(),
        get(list),
    )
}

fn one_route() -> Route {
    Route::new("/api/v1/plans/{id}").with(
        Operation::get("one_plan", "One plan, published or not, and the names of its documents.")
            .path::<i64>("id", "Number of the plan.")
            .answers::<PlanDetail>(200, "The plan.")
            .conditional(),
        get(one),
    )
}

fn document_route() -> Route {
    Route::new("/api/v1/plans/{id}/documents/{*name}").with(
        Operation::get("document", "A document of a plan, byte for byte as it was kept.")
            .path::<i64>("id", "Number of the plan.")
            .path::<String>("name", "Name of the document, such as plan.json.")
            .answers_as::<serde_json::Value>(200, "The document.", "application/json")
            .answers_as::<String>(200, "The document.", "text/plain")
            .conditional(),
        get(document),
    )
}

fn publish_route() -> Route {
    Route::new("/api/v1/plans/{id}/publish").with(
        Operation::post(
            "publish",
            "Makes a proposal the shop's plan, if nobody has published another meanwhile.",
        )
        .path::<i64>("id", "Number of the plan.")
        .header("If-Match", "Entity tag of /api/v1/plan as the decider saw it.", false)
        .header("If-None-Match", "`*` where no plan has been published yet.", false)
        .body::<Decision>()
        .answers::<PlanView>(200, "It is the shop's plan now."),
        post(publish),
    )
}

fn discard_route() -> Route {
    Route::new("/api/v1/plans/{id}/discard").with(
        Operation::post("discard", "Puts a proposal aside; it stays readable.")
            .path::<i64>("id", "Number of the plan.")
            .body::<Decision>()
            .answers::<PlanView>(200, "It has been put aside."),
        post(discard),
    )
}

/// The published plan as it lies ready.
pub fn ready(snapshot: &Snapshot) -> Result<&Rendered, Problem> {
    Ok(&snapshot.published.as_ref().ok_or_else(Problem::no_plan)?.rendered)
}

async fn current(State(app): State<App>, asked: Asker) -> Result<Response, Problem> {
    Ok(ready(&app.snapshot())?.answer(&asked))
}

async fn list(
    State(app): State<App>,
    Wanted(query): Wanted<Query>,
    asked: Asker,
) -> Result<Response, Problem> {
    let limit = limit(query.limit)?;
    let page = Page { before: query.before, limit: limit + 1 };
    let mut heads = app.with_store(move |store| store.plans(page)).await?;
    let more = heads.len() > limit as usize;
    heads.truncate(limit as usize);
    let last = heads.last().filter(|_| more);
    let next = last.map(|last| format!("/api/v1/plans?limit={limit}&before={}", last.id));
    let zone = zone(&app);
    let items = heads.iter().map(|head| PlanView::of(head, zone)).collect();
    Ok(shown(&asked, &Listed { items, next }))
}

async fn one(State(app): State<App>, Numbered(id): Numbered, asked: Asker) -> Result<Response, Problem> {
    let id = PlanId(id);
    let (head, documents) =
        app.with_store(move |store| Ok((store.plan(id)?, store.document_names(id)?))).await?;
    Ok(shown(&asked, &PlanDetail { plan: PlanView::of(&head, zone(&app)), documents }))
}

async fn document(
    State(app): State<App>,
    path: Result<Path<(i64, String)>, axum::extract::rejection::PathRejection>,
    asked: Asker,
) -> Result<Response, Problem> {
    let Ok(Path((id, name))) = path else { return Err(Problem::not_found("the path names no document")) };
    let kind =
        if name.ends_with(".json") { JSON } else { HeaderValue::from_static("text/plain; charset=utf-8") };
    let bytes = app.with_store(move |store| store.document(PlanId(id), &name)).await?;
    Ok(Rendered::new(kind, bytes).answer(&asked))
}

async fn publish(
    State(app): State<App>,
    by: By,
    Numbered(id): Numbered,
    asked: HeaderMap,
    Sent(decision): Sent<Decision>,
) -> Result<Response, Problem> {
    let expected = expected(&app.snapshot(), &asked)?;
    let signature = app.signature(by.signs(maybe_text("by", decision.by.as_deref())?.as_deref()));
    tracing::info!(plan = id, expected = expected.0, by = signature.by, "a plan is to be published");
    let head = app.write(move |store| store.publish(PlanId(id), expected, &signature)).await?;
    Ok(axum::Json(PlanView::of(&head, zone(&app))).into_response())
}

/// The version that the decider saw, by the entity tag sent along.
fn expected(snapshot: &Snapshot, asked: &HeaderMap) -> Result<Version, Problem> {
    let found = snapshot.published.as_ref();
    let holds = match (asked.get(header::IF_MATCH), asked.get(header::IF_NONE_MATCH)) {
        (Some(tag), _) => found.is_some_and(|published| published.rendered.is_named_by(tag)),
        (None, Some(none)) if none == "*" => found.is_none(),
        _ => return Err(unconditional()),
    };
    if holds { Ok(snapshot.version()) } else { Err(moved(snapshot)) }
}

fn unconditional() -> Problem {
    Problem::new(
        StatusCode::PRECONDITION_REQUIRED,
        "unconditional",
        "Say which plan you saw",
        "neither If-Match nor `If-None-Match: *` was sent",
    )
    .remedy(
        "send If-Match with the entity tag of /api/v1/plan, or `If-None-Match: *` where there is no plan yet",
    )
}

fn moved(snapshot: &Snapshot) -> Problem {
    Problem::new(
        StatusCode::PRECONDITION_FAILED,
        "plan-moved",
        "Another plan has been published meanwhile",
        format!("version {} of the plan is current now, not the one you saw", snapshot.version()),
    )
    .remedy("look at the plan that is current now, then decide again")
}

async fn discard(
    State(app): State<App>,
    by: By,
    Numbered(id): Numbered,
    Sent(decision): Sent<Decision>,
) -> Result<Response, Problem> {
    let signature = app.signature(by.signs(maybe_text("by", decision.by.as_deref())?.as_deref()));
    let head = app.write(move |store| store.discard(PlanId(id), &signature)).await?;
    Ok(axum::Json(PlanView::of(&head, zone(&app))).into_response())
}
