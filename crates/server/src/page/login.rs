//! Logging in from a browser: the token goes into a cookie that no script can read.

use super::layout::{answer, head};
use crate::app::App;
use crate::guard::{COOKIE, Peer};
use crate::rendered::Asker;
use axum::Extension;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{DOCTYPE, Markup, html};
use std::time::Instant;

/// How long a browser stays logged in: a month.
const STAYS_S: u32 = 30 * 24 * 3600;

/// The page.
pub async fn page(asked: Asker) -> Response {
    answer(&asked, form(None))
}

fn form(fault: Option<&str>) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head("Log in", "Elbowroom"))
            body {
                main #content {
                    h1 { "Log in" }
                    @if let Some(fault) = fault { p role="alert" { strong { (fault) } } }
                    form.stack method="post" action="/login" {
                        label for="token" { "Token" }
                        input #token name="token" type="password" autocomplete="current-password" required;
                        button.big type="submit" { "Log in" }
                    }
                }
            }
        }
    }
}

/// Takes the token.
pub async fn enter(
    State(app): State<App>,
    peer: Option<Extension<Peer>>,
    asked: Asker,
    body: String,
) -> Response {
    let address = peer.map_or_else(|| [127, 0, 0, 1].into(), |Extension(peer)| peer.0);
    if app.guessing.is_empty(address, Instant::now()) {
        return refused(&asked, StatusCode::TOO_MANY_REQUESTS, "Too many wrong tokens; wait a few seconds.");
    }
    let token = body.split('&').find_map(|field| field.strip_prefix("token=")).unwrap_or_default();
    if app.setup.tokens.caller(token).is_none() {
        let _ = app.guessing.take(address, Instant::now());
        tracing::warn!(peer = %address, "a wrong token was sent");
        return refused(&asked, StatusCode::UNAUTHORIZED, "This token is not known.");
    }
    with_cookie(token, STAYS_S)
}

fn refused(asked: &Asker, status: StatusCode, why: &str) -> Response {
    let mut response = answer(asked, form(Some(why)));
    *response.status_mut() = status;
    response
}

/// Forgets the token.
pub async fn leave() -> Response {
    with_cookie("", 0)
}

fn with_cookie(token: &str, stays_s: u32) -> Response {
    let cookie = format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age={stays_s}");
    match HeaderValue::try_from(cookie) {
        Ok(cookie) => ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response(),
        Err(_) => StatusCode::BAD_REQUEST.into_response(),
    }
}
