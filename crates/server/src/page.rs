//! The live page: HTML made here, one style sheet, one small script, nothing from elsewhere.
//!
//! Every region marked `data-live` is fetched again when the status changes, and put in place of
//! the old one. Forms marked `data-api` send their fields as JSON to the same interface that
//! programs use. State is always a word or a sign, never a colour alone.

mod assets;
mod axis;
mod board;
mod cells;
mod chart;
mod inquiry;
mod layout;
mod lists;
mod login;
mod plans;
mod promises;
pub mod refused;
mod risks;
mod words;

use crate::app::App;
use crate::tokens::{Caller, Right};
use axum::Router;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::routing::{get, post};
use std::convert::Infallible;

/// The pages.
pub fn router() -> Router<App> {
    Router::new()
        .route("/", get(board::page))
        .route("/cells", get(cells::overview))
        .route("/cells/{id}", get(cells::page))
        .route("/orders", get(lists::orders))
        .route("/tooling", get(lists::tooling))
        .route("/load", get(lists::load))
        .route("/inquiry", get(inquiry::page))
        .route("/promises", get(promises::page))
        .route("/plans", get(plans::page))
        .route("/login", get(login::page).post(login::enter))
        .route("/logout", post(login::leave))
        .merge(assets::router())
}

/// Whether whoever looks may write too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Viewer {
    may_write: bool,
    has_token: bool,
}

impl FromRequestParts<App> for Viewer {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Infallible> {
        let caller = parts.extensions.get::<Caller>();
        Ok(Self {
            may_write: caller.is_some_and(|caller| caller.right >= Right::Write),
            has_token: caller.is_some_and(|caller| caller.name.is_some()),
        })
    }
}
