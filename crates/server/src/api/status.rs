//! The shop at a glance, tooling questions, and load.

use super::route::{Operation, Route};
use super::streams::Changes;
use super::{events, published, shown};
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::{Asker, Rendered};
use crate::snapshot::{Snapshot, Status};
use crate::views::{LoadView, ToolingView};
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;

pub fn routes() -> Vec<Route> {
    vec![
        Route::new("/api/v1/status").with(
            Operation::get("status", "The shop at a glance: plan, orders by state, cells now and next.")
                .answers::<Status>(200, "The status.")
                .conditional(),
            get(status),
        ),
        Route::new("/api/v1/tooling").with(
            Operation::get(
                "tooling",
                "Tools to buy by when, and orders that could wait for dies or go without.",
            )
            .answers::<ToolingView>(200, "The tooling question.")
            .conditional(),
            get(tooling),
        ),
        Route::new("/api/v1/load").with(
            Operation::get("load", "Hours of work against hours open, by cell and week.")
                .answers::<LoadView>(200, "The load.")
                .conditional(),
            get(load),
        ),
        Route::new("/api/v1/events").with(
            Operation::get("events", "Server-sent events: `change` whenever the status changes.")
                .answers_as::<Changes>(200, "Events until the client leaves.", "text/event-stream"),
            get(events::changes),
        ),
    ]
}

/// The status as it lies ready.
pub fn ready(snapshot: &Snapshot) -> Result<&Rendered, Problem> {
    Ok(&snapshot.status)
}

async fn status(State(app): State<App>, asked: Asker) -> Result<Response, Problem> {
    Ok(ready(&app.snapshot())?.answer(&asked))
}

async fn tooling(State(app): State<App>, asked: Asker) -> Result<Response, Problem> {
    let snapshot = app.snapshot();
    let plan = &published(&snapshot)?.0.plan;
    Ok(shown(
        &asked,
        &ToolingView {
            currency: plan.currency.clone(),
            purchases: plan.purchases.clone(),
            no_tooling: plan.no_tooling.clone(),
        },
    ))
}

async fn load(State(app): State<App>, asked: Asker) -> Result<Response, Problem> {
    let snapshot = app.snapshot();
    Ok(shown(&asked, &LoadView { loads: published(&snapshot)?.0.plan.loads.clone() }))
}
