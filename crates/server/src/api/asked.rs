//! What a client sent, read strictly: what cannot be understood is a problem with a remedy.

use crate::app::App;
use crate::problem::Problem;
use crate::tokens::Caller;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use serde::de::DeserializeOwned;
use std::time::Duration;

/// A JSON body.
pub struct Sent<T>(pub T);

impl<T: DeserializeOwned> FromRequest<App> for Sent<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, app: &App) -> Result<Self, Problem> {
        let kind = request
            .headers()
            .get(header::CONTENT_TYPE)
            .and_then(|kind| kind.to_str().ok())
            .unwrap_or_default();
        if kind.split(';').next().map(str::trim) != Some("application/json") {
            return Err(no_json());
        }
        let longest = app.setup.patience.body;
        let arrived = tokio::time::timeout(longest, Bytes::from_request(request, app)).await;
        let bytes = arrived.map_err(|_| too_slow(longest))?.map_err(|refused| {
            match refused.into_response_status() {
                StatusCode::PAYLOAD_TOO_LARGE => too_large(),
                _ => broken_off(),
            }
        })?;
        serde_json::from_slice(&bytes).map(Self).map_err(|error| unreadable(&error))
    }
}

/// The status of a refusal to read a body.
trait Status {
    fn into_response_status(self) -> StatusCode;
}

impl Status for axum::extract::rejection::BytesRejection {
    fn into_response_status(self) -> StatusCode {
        axum::response::IntoResponse::into_response(self).status()
    }
}

fn no_json() -> Problem {
    Problem::new(
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        "not-json",
        "Only JSON is understood",
        "the header Content-Type is not application/json",
    )
}

fn too_large() -> Problem {
    Problem::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "too-large",
        "The request is too large",
        format!("a body may have at most {} KiB", crate::LARGEST_BODY >> 10),
    )
}

fn too_slow(longest: Duration) -> Problem {
    Problem::new(
        StatusCode::REQUEST_TIMEOUT,
        "sent-too-slowly",
        "The request did not arrive in time",
        format!("its body was not there within {} s", longest.as_secs_f64()),
    )
    .remedy("send it again")
}

fn broken_off() -> Problem {
    Problem::new(
        StatusCode::BAD_REQUEST,
        "broken-off",
        "The request broke off",
        "its body did not arrive whole",
    )
}

fn unreadable(error: &serde_json::Error) -> Problem {
    if error.is_data() {
        return Problem::refused(error.to_string()).remedy("GET /api/v1/openapi.json says what may be sent");
    }
    Problem::new(StatusCode::BAD_REQUEST, "no-json", "This is no JSON", error.to_string())
}

/// Parameters of a query.
pub struct Wanted<T>(pub T);

impl<T: DeserializeOwned> FromRequestParts<App> for Wanted<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Problem> {
        let read = Query::<T>::from_request_parts(parts, app).await;
        read.map(|Query(value)| Self(value)).map_err(|refused| {
            Problem::new(
                StatusCode::BAD_REQUEST,
                "query",
                "The query cannot be understood",
                refused.body_text(),
            )
            .remedy("GET /api/v1/openapi.json says what may be asked")
        })
    }
}

/// A part of the path.
pub struct Named(pub String);

impl FromRequestParts<App> for Named {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Problem> {
        let read = axum::extract::Path::<String>::from_request_parts(parts, app).await;
        read.map(|path| Self(path.0)).map_err(|_| Problem::not_found("the path is no text"))
    }
}

/// A number in the path.
pub struct Numbered(pub i64);

impl FromRequestParts<App> for Numbered {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Problem> {
        let Named(text) = Named::from_request_parts(parts, app).await?;
        let number = text.parse().ok().filter(|number| *number > 0);
        number.map(Self).ok_or_else(|| Problem::not_found("the path has no number where one belongs"))
    }
}

/// Whoever sent the request; the guard has let it through.
pub struct By(pub Caller);

impl FromRequestParts<App> for By {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Problem> {
        let caller = parts.extensions.get::<Caller>().cloned();
        caller.map(Self).ok_or_else(|| Problem::ours("a request without caller came through"))
    }
}

impl By {
    /// The name to sign with: the one given, and that of the token.
    pub fn signs(&self, given: Option<&str>) -> String {
        match (given.map(str::trim).filter(|name| !name.is_empty()), &self.0.name) {
            (Some(given), Some(token)) if given != token => format!("{given} ({token})"),
            (Some(given), _) => given.to_owned(),
            (None, Some(token)) => token.clone(),
            (None, None) => "unnamed".to_owned(),
        }
    }
}

/// Longest text of a field, in characters.
const LONGEST_TEXT: usize = 200;

/// A text that people wrote: not too long, and nothing that is no text.
///
/// # Errors
/// What is wrong with it.
pub fn text(name: &str, value: &str) -> Result<String, Problem> {
    let value = value.trim();
    if value.chars().count() > LONGEST_TEXT {
        return Err(Problem::refused(format!("`{name}` has more than {LONGEST_TEXT} characters")));
    }
    if value.chars().any(char::is_control) {
        return Err(Problem::refused(format!("`{name}` has characters that are no text")));
    }
    Ok(value.to_owned())
}

/// As [`text`], where nothing may be said.
///
/// # Errors
/// What is wrong with it.
pub fn maybe_text(name: &str, value: Option<&str>) -> Result<Option<String>, Problem> {
    let text = value.map(|value| text(name, value)).transpose()?;
    Ok(text.filter(|text| !text.is_empty()))
}

/// How many things one part of a list has.
///
/// # Errors
/// If fewer than 1 or more than 500 are asked for.
pub fn limit(asked: Option<u32>) -> Result<u32, Problem> {
    match asked.unwrap_or(100) {
        limit @ 1..=500 => Ok(limit),
        other => Err(Problem::new(
            StatusCode::BAD_REQUEST,
            "query",
            "The query cannot be understood",
            format!("`limit` is {other}; expected 1 to 500"),
        )),
    }
}
