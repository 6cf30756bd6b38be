//! The interface for programs, under `/api/v1`.
//!
//! [`routes`] is the one list of what can be asked; both the router and the OpenAPI document are
//! made from it, so nothing is served that is not described.

mod asked;
mod cells;
mod events;
mod inquiries;
mod openapi;
mod orders;
mod plans;
mod promises;
mod reports;
pub mod route;
mod solves;
mod status;
mod streams;

pub use cells::no_cell;
pub use orders::encoded;

use crate::app::App;
use crate::front::Find;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::snapshot::{Published, Snapshot};
use crate::views::Views;
use axum::Router;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use route::Route;
use schemars::JsonSchema;
use serde::Serialize;

/// Documents that lie ready, by the path of their look (`front`).
pub const READY: [(&str, Find); 2] = [("/api/v1/status", status::ready), ("/api/v1/plan", plans::ready)];

/// Everything that can be asked.
#[must_use]
pub fn routes() -> Vec<Route> {
    let mut routes = status::routes();
    routes.extend(plans::routes());
    routes.extend(cells::routes());
    routes.extend(orders::routes());
    routes.extend(reports::routes());
    routes.extend(solves::routes());
    routes.extend(inquiries::routes());
    routes.extend(promises::routes());
    routes
}

/// The router of everything that can be asked, and of its description.
pub fn router() -> Router<App> {
    let document = std::sync::Arc::new(openapi::rendered());
    let description = get(move |asked: Asker| std::future::ready(document.answer(&asked)));
    let router = Router::new().route("/api/v1/openapi.json", description);
    routes().into_iter().fold(router, |router, route| router.route(route.path, route.handler))
}

/// One part of a list.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "ListOf{T}")]
pub struct Listed<T> {
    /// The things asked for.
    pub items: Vec<T>,
    /// Path of the next part; `null` at the end.
    pub next: Option<String>,
}

/// A value as JSON, or `304` if the client has it.
fn shown(asked: &Asker, value: &impl Serialize) -> Response {
    crate::rendered::Rendered::json(value).answer(asked)
}

/// Something new, with its path.
fn created(path: &str, value: &impl Serialize) -> Response {
    placed(axum::http::StatusCode::CREATED, path, value)
}

fn placed(status: axum::http::StatusCode, path: &str, value: &impl Serialize) -> Response {
    let headers = [(header::LOCATION, path.to_owned()), (header::CACHE_CONTROL, "no-store".to_owned())];
    (status, headers, axum::Json(value)).into_response()
}

/// The published plan.
fn published(snapshot: &Snapshot) -> Result<(&Published, &Views), Problem> {
    match (&snapshot.published, &snapshot.views) {
        (Some(published), Some(views)) => Ok((published, views)),
        _ => Err(Problem::no_plan()),
    }
}

/// Where local times hold.
fn zone(app: &App) -> chrono_tz::Tz {
    app.snapshot().published.as_ref().map_or(app.setup.zone, |published| published.zone)
}
