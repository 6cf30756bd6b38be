//! The service: status, live page, and an interface for programs.
//!
//! [`Service::open`] reads a shop's store, [`Service::run`] serves it until told to end. What is
//! shown is read from the store once (`snapshot`) and shared by all requests until something is
//! written; so the published plan is served at once after a restart, and polling costs next to
//! nothing. Re-plans run on threads of their own that give way to serving (`solves`).
//!
//! This crate decides nothing about plans: it hands the shop's files and the shop floor's reports
//! to the planner and keeps what comes back.

mod api;
mod app;
mod base;
mod document;
mod front;
mod guard;
mod health;
mod listen;
mod metrics;
mod page;
mod places;
mod problem;
mod promises;
mod rate;
mod rendered;
mod replan;
mod service;
mod snapshot;
mod solves;
mod standing;
mod tokens;
mod views;

pub use app::{App, Clock, Limits, Patience, Setup};
pub use base::{Base, Made, input};
pub use document::Plan;
pub use front::Front;
pub use listen::serve;
pub use replan::first_day;
pub use service::{Options, Service, ServiceError};
pub use snapshot::ReadError;
pub use tokens::{NewToken, Right, TokenFault, Tokens};

use axum::Router;
use axum::middleware::from_fn_with_state;

/// Largest body of a request, in bytes.
pub const LARGEST_BODY: usize = 64 << 10;

/// Every path and who answers it.
fn router(app: App) -> Router {
    Router::new()
        .merge(api::router())
        .merge(page::router())
        .merge(health::router())
        .fallback(problem::nowhere)
        .method_not_allowed_fallback(problem::wrong_method)
        .layer(from_fn_with_state(app.clone(), guard::guard))
        .with_state(app)
}
