//! Errors for programs: problem details by RFC 9457.

use axum::Json;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use elbowroom_store::StoreError;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// A problem, in a box since most calls end without one.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem(Box<Details>);

/// A problem by RFC 9457, with a remedy.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Problem")]
pub struct Details {
    /// URI of the kind of problem; it is a name and leads nowhere.
    #[serde(rename = "type")]
    pub kind: String,
    /// The kind of problem in a few words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What went wrong this time.
    pub detail: String,
    /// What to do about it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remedy: String,
    /// A header that the answer carries besides.
    #[serde(skip)]
    header: Option<(HeaderName, HeaderValue)>,
}

impl Problem {
    /// A problem of a kind; `name` goes into its URI.
    pub fn new(status: StatusCode, name: &str, title: &str, detail: impl Into<String>) -> Self {
        Self(Box::new(Details {
            kind: format!("urn:elbowroom:problem:{name}"),
            title: title.to_owned(),
            status: status.as_u16(),
            detail: detail.into(),
            remedy: String::new(),
            header: None,
        }))
    }

    /// The same with a remedy.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.0.remedy = remedy.into();
        self
    }

    /// The same with a header.
    #[must_use]
    pub fn header(mut self, name: HeaderName, value: HeaderValue) -> Self {
        self.0.header = Some((name, value));
        self
    }

    /// There is no such thing.
    pub fn not_found(detail: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "not-found", "There is no such thing", detail)
    }

    /// What was sent cannot be understood or makes no sense.
    pub fn refused(detail: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, "refused", "What was sent cannot be accepted", detail)
    }

    /// No plan has been published yet.
    pub fn no_plan() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "no-plan",
            "No plan has been published yet",
            "no plan has been published yet",
        )
        .remedy("start a re-plan with POST /api/v1/solves, then publish what it proposes")
    }

    /// A fault of this program or its machine; the log says more.
    pub fn ours(detail: impl Into<String>) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "fault", "The service failed", detail)
            .remedy("look into the log of the service")
    }

    /// The same with another HTTP status.
    #[must_use]
    pub fn with_status(mut self, status: StatusCode) -> Self {
        self.0.status = status.as_u16();
        self
    }

    /// The kind of problem in a few words.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.0.title
    }

    /// What to do about it; empty if nothing is known.
    #[must_use]
    pub fn remedy_text(&self) -> &str {
        &self.0.remedy
    }

    /// What went wrong this time.
    #[must_use]
    pub fn detail(&self) -> &str {
        &self.0.detail
    }

    /// The HTTP status.
    #[must_use]
    pub fn status(&self) -> StatusCode {
        StatusCode::from_u16(self.0.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let (status, header) = (self.status(), self.0.header.clone());
        let mut response = (status, Json(&self.0)).into_response();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("application/problem+json"));
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
        if let Some((name, value)) = header {
            headers.insert(name, value);
        }
        // For a person who asked for a page (`page::refused`).
        response.extensions_mut().insert(self);
        response
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let (status, name, title) = kind(&error);
        if status.is_server_error() {
            tracing::error!(error = %error, remedy = error.remedy(), "the store failed");
        }
        Self::new(status, name, title, error.to_string()).remedy(error.remedy())
    }
}

fn kind(error: &StoreError) -> (StatusCode, &'static str, &'static str) {
    match error {
        StoreError::NotFound { .. } => (StatusCode::NOT_FOUND, "not-found", "There is no such thing"),
        StoreError::Moved { .. } => {
            (StatusCode::PRECONDITION_FAILED, "plan-moved", "Another plan has been published meanwhile")
        }
        StoreError::Settled { .. } => (StatusCode::CONFLICT, "settled", "This has been decided already"),
        StoreError::AlreadyPromised { .. } => {
            (StatusCode::CONFLICT, "already-promised", "This inquiry has been accepted already")
        }
        StoreError::OrderTaken { .. } => (StatusCode::CONFLICT, "order-taken", "This order number is taken"),
        StoreError::KeyReused { .. } => {
            (StatusCode::UNPROCESSABLE_ENTITY, "key-reused", "This key belongs to another report")
        }
        StoreError::Full { .. } => (StatusCode::INSUFFICIENT_STORAGE, "store-full", "No room left to record"),
        StoreError::ReadOnly { .. } => {
            (StatusCode::SERVICE_UNAVAILABLE, "store-read-only", "Nothing can be recorded now")
        }
        StoreError::Busy { .. } => (StatusCode::SERVICE_UNAVAILABLE, "store-busy", "The store is busy"),
        StoreError::Damaged { .. }
        | StoreError::NotAStore { .. }
        | StoreError::Newer { .. }
        | StoreError::Unreachable { .. } => {
            (StatusCode::INTERNAL_SERVER_ERROR, "store-fault", "The store cannot be used")
        }
    }
}

/// The answer to a path that leads nowhere.
pub async fn nowhere(uri: axum::http::Uri) -> Problem {
    let path: Cow<'_, str> = uri.path().chars().take(100).collect();
    Problem::not_found(format!("`{path}` leads nowhere")).remedy("GET /api/v1/openapi.json lists all paths")
}

/// The answer to a method that a path does not know.
pub async fn wrong_method(method: axum::http::Method) -> Problem {
    Problem::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "method",
        "This path does not know this method",
        format!("method `{method}` cannot be used here"),
    )
    .remedy("the header Allow lists what can")
}
