//! For whoever watches over the service.

use crate::app::App;
use crate::problem::Problem;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

/// The paths.
pub fn router() -> Router<App> {
    Router::new().route("/healthz", get(alive)).route("/readyz", get(ready)).route("/metrics", get(metrics))
}

const FRESH: (header::HeaderName, &str) = (header::CACHE_CONTROL, "no-store");

/// The program runs.
async fn alive() -> Response {
    ([FRESH], "ok\n").into_response()
}

/// A plan is there and the store answers.
async fn ready(State(app): State<App>) -> Result<Response, Problem> {
    app.with_store(|store| store.revision()).await?;
    if app.snapshot().published.is_none() {
        return Err(Problem::no_plan().with_status(StatusCode::SERVICE_UNAVAILABLE));
    }
    Ok(([FRESH], "ready\n").into_response())
}

/// Counters in Prometheus' text exposition format.
async fn metrics(State(app): State<App>) -> Response {
    let kind = (header::CONTENT_TYPE, "text/plain; version=0.0.4; charset=utf-8");
    ([FRESH, kind], app.metrics.text()).into_response()
}
