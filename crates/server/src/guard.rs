//! What stands before every request: who calls, under which name, how often, and how it went.

use crate::LARGEST_BODY;
use crate::app::App;
use crate::page::refused;
use crate::problem::Problem;
use crate::tokens::{Caller, Right};
use axum::extract::{DefaultBodyLimit, MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::{IpAddr, Ipv4Addr};
use std::time::{Duration, Instant};

/// The cookie in which a browser keeps its token.
pub const COOKIE: &str = "elbowroom_token";

/// Address of whoever is at the other end of the connection.
#[derive(Clone, Copy, Debug)]
pub struct Peer(pub IpAddr);

/// Paths that anybody may see: they tell nothing about the shop.
const OPEN: [&str; 8] = [
    "/healthz",
    "/readyz",
    "/login",
    "/api/v1/openapi.json",
    "/assets/style.css",
    "/assets/live.js",
    "/assets/mark.svg",
    "/logout",
];

/// Lets a request through to its handler, or answers it here.
pub async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let began = Instant::now();
    let method = request.method().clone();
    let path = request.extensions().get::<MatchedPath>().cloned();
    let name = path.as_ref().map_or("unknown", MatchedPath::as_str);
    let for_person = wants_page(&request);
    let mut response = match admitted(&app, request, name) {
        Ok(request) => answered(&app, next.run(request)).await,
        Err(refusal) => *refusal,
    };
    if for_person {
        response = refused::as_page(response);
    }
    protect(&mut response);
    let (status, took) = (response.status(), began.elapsed());
    app.metrics.counters(name, word(&method), status.as_str()).count(took);
    log(&method, name, status, took);
    response
}

/// What every answer carries: browsers are to take it for what it says it is.
pub fn protect(response: &mut Response) {
    response.headers_mut().insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
}

/// Whether a look goes through at a path that is not open to anybody.
pub fn may_look(app: &App, headers: &HeaderMap, peer: IpAddr) -> Result<(), Problem> {
    host_is_ours(app, headers)?;
    if !app.setup.tokens.is_empty() {
        caller(app, headers, peer)?;
    }
    Ok(())
}

/// The answer, if it is worked out in time. Streams of events are answered at once, and go on.
async fn answered(app: &App, answer: impl Future<Output = Response>) -> Response {
    let longest = app.setup.patience.answer;
    tokio::time::timeout(longest, answer).await.unwrap_or_else(|_| too_slow(longest))
}

/// The method for counting; whatever clients make up is one word.
fn word(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::DELETE => "DELETE",
        _ => "other",
    }
}

/// Tells the log how a request went.
pub fn log(method: &Method, path: &str, status: StatusCode, took: Duration) {
    let took_us = took.as_micros() as u64;
    if status == StatusCode::INTERNAL_SERVER_ERROR {
        tracing::error!(method = word(method), path, status = status.as_u16(), took_us, "answered");
    } else if status.is_server_error() {
        // Not ready, full, too slow: said to whoever asked, and no fault of this program.
        tracing::warn!(method = word(method), path, status = status.as_u16(), took_us, "answered");
    } else if *method == Method::GET {
        tracing::debug!(method = "GET", path, status = status.as_u16(), took_us, "answered");
    } else {
        tracing::info!(method = word(method), path, status = status.as_u16(), took_us, "answered");
    }
}

/// The request with its caller noted, or the answer that refuses it.
fn admitted(app: &App, mut request: Request, path: &str) -> Result<Request, Box<Response>> {
    let boxed = |problem: Problem| Box::new(problem.into_response());
    host_is_ours(app, request.headers()).map_err(boxed)?;
    let looks = matches!(*request.method(), Method::GET | Method::HEAD);
    if !looks {
        comes_from_here(request.headers()).map_err(boxed)?;
        DefaultBodyLimit::max(LARGEST_BODY).apply(&mut request);
    }
    let peer = request.extensions().get::<Peer>().map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |peer| peer.0);
    if !looks {
        app.writing.take(peer, Instant::now()).map_err(|wait| boxed(too_often(wait)))?;
    }
    if app.setup.tokens.is_empty() {
        request.extensions_mut().insert(Caller { name: None, right: Right::Write });
    } else if !OPEN.contains(&path) {
        let caller = caller(app, request.headers(), peer).map_err(|problem| refusal(problem, &request))?;
        if !looks && caller.right < Right::Write {
            return Err(boxed(may_only_look()));
        }
        request.extensions_mut().insert(caller);
    }
    Ok(request)
}

/// Whoever has no token is sent to the login page if a page was asked for.
fn refusal(problem: Problem, request: &Request) -> Box<Response> {
    if wants_page(request) && problem.status() == StatusCode::UNAUTHORIZED {
        return Box::new(axum::response::Redirect::to("/login").into_response());
    }
    Box::new(problem.into_response())
}

/// Whether a browser asks for a page.
fn wants_page(request: &Request) -> bool {
    let accept = request.headers().get(header::ACCEPT).and_then(|accept| accept.to_str().ok());
    accept.is_some_and(|accept| accept.contains("text/html")) && !request.uri().path().starts_with("/api/")
}

/// Refuses names that are not the service's own: another site's page may have been led here by its
/// name server.
fn host_is_ours(app: &App, headers: &HeaderMap) -> Result<(), Problem> {
    if app.setup.hosts.is_empty() {
        return Ok(());
    }
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    if app.setup.hosts.contains(without_port(host)) {
        return Ok(());
    }
    Err(Problem::new(
        StatusCode::MISDIRECTED_REQUEST,
        "host",
        "The service does not go by this name",
        "the header Host names another host",
    )
    .remedy("use the address that the service printed at its start, or start it with --host NAME"))
}

fn without_port(host: &str) -> &str {
    match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    }
}

/// Refuses writes that a browser sends on behalf of another site.
fn comes_from_here(headers: &HeaderMap) -> Result<(), Problem> {
    let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
    let Some(origin) = text(header::ORIGIN) else { return Ok(()) };
    let own = origin.split_once("://").map(|(_, host)| host);
    if own.is_some() && own == text(header::HOST) {
        return Ok(());
    }
    Err(Problem::new(
        StatusCode::FORBIDDEN,
        "origin",
        "Another site may not write here",
        "the header Origin names another site",
    ))
}

fn caller(app: &App, headers: &HeaderMap, peer: IpAddr) -> Result<Caller, Problem> {
    let Some(token) = token(headers) else { return Err(unauthorized("no token was sent")) };
    if app.guessing.is_empty(peer, Instant::now()) {
        return Err(too_often(Duration::from_secs(5)));
    }
    app.setup.tokens.caller(token).ok_or_else(|| {
        let _ = app.guessing.take(peer, Instant::now());
        tracing::warn!(peer = %peer, "a wrong token was sent");
        unauthorized("the token is not known")
    })
}

/// The token of a request: `Authorization: Bearer`, else the browser's cookie.
fn token(headers: &HeaderMap) -> Option<&str> {
    let bearer = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok());
    if let Some(token) = bearer.and_then(|value| value.strip_prefix("Bearer ")) {
        return Some(token.trim());
    }
    let cookies = headers.get(header::COOKIE)?.to_str().ok()?;
    cookies
        .split(';')
        .filter_map(|cookie| cookie.trim().split_once('='))
        .find(|(name, _)| *name == COOKIE)
        .map(|(_, token)| token)
}

fn unauthorized(detail: &str) -> Problem {
    Problem::new(StatusCode::UNAUTHORIZED, "token", "A token is needed", detail)
        .remedy("send the header `Authorization: Bearer TOKEN`, or log in at /login")
        .header(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer realm=\"elbowroom\""))
}

fn may_only_look() -> Problem {
    Problem::new(
        StatusCode::FORBIDDEN,
        "read-only-token",
        "This token may only read",
        "this token may only read",
    )
    .remedy("use a token that may write")
}

fn too_often(wait: Duration) -> Problem {
    let seconds = wait.as_secs_f64().ceil().max(1.0) as u64;
    Problem::new(
        StatusCode::TOO_MANY_REQUESTS,
        "too-often",
        "Too many requests from this address",
        format!("wait {seconds} s"),
    )
    .header(header::RETRY_AFTER, HeaderValue::from(seconds))
}

fn too_slow(longest: Duration) -> Response {
    Problem::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "too-slow",
        "The request took too long",
        format!("it was broken off after {} s", longest.as_secs()),
    )
    .into_response()
}
