//! Streams of server-sent events.

use super::asked::Numbered;
use super::solves::no_solve;
use crate::app::App;
use crate::problem::Problem;
use crate::solves::{SolveState, SolveView};
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use std::convert::Infallible;
use tokio::sync::{mpsc, watch};
use tokio_stream::wrappers::ReceiverStream;

/// Streams open at once.
const MOST_STREAMS: i64 = 2_000;

/// The end to which events are sent; the stream counts as open until it is dropped.
struct Stream {
    app: App,
    sender: mpsc::Sender<Result<Event, Infallible>>,
    closing: watch::Receiver<bool>,
}

impl Stream {
    fn open(app: &App) -> Result<(Self, Response), Problem> {
        if app.metrics.streams.get() >= MOST_STREAMS {
            return Err(too_many());
        }
        app.metrics.streams.inc();
        let (sender, receiver) = mpsc::channel(4);
        let response = Sse::new(ReceiverStream::new(receiver)).keep_alive(KeepAlive::default());
        let response = ([(header::CACHE_CONTROL, "no-store")], response).into_response();
        Ok((Self { app: app.clone(), sender, closing: app.closing() }, response))
    }

    /// Sends an event; `false` if the client has left or the service closes.
    async fn send(&self, event: Event) -> bool {
        !*self.closing.borrow() && self.sender.send(Ok(event)).await.is_ok()
    }

    /// Waits for a change; `false` if the client has left or the service closes.
    async fn wait<T>(&mut self, source: &mut watch::Receiver<T>) -> bool {
        tokio::select! {
            changed = source.changed() => changed.is_ok(),
            () = self.sender.closed() => false,
            _ = self.closing.wait_for(|closing| *closing) => false,
        }
    }
}

impl Drop for Stream {
    fn drop(&mut self) {
        self.app.metrics.streams.dec();
    }
}

fn too_many() -> Problem {
    Problem::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "too-many-streams",
        "Too many streams of events",
        format!("{MOST_STREAMS} are open"),
    )
    .remedy("poll /api/v1/status with If-None-Match instead")
}

/// Tells whenever the status changes, and once at the beginning.
pub async fn changes(State(app): State<App>) -> Result<Response, Problem> {
    let (mut stream, response) = Stream::open(&app)?;
    let mut changes = app.changes();
    tokio::spawn(async move {
        loop {
            changes.borrow_and_update();
            let tag = stream.app.snapshot().status.tag().to_str().unwrap_or_default().to_owned();
            if !stream.send(Event::default().event("change").data(tag)).await
                || !stream.wait(&mut changes).await
            {
                return;
            }
        }
    });
    Ok(response)
}

/// Tells how a solve goes until it ends.
pub async fn solve(State(app): State<App>, Numbered(id): Numbered) -> Result<Response, Problem> {
    let mut solve = app.desk.follow(id.unsigned_abs()).ok_or_else(|| no_solve(id))?;
    let (mut stream, response) = Stream::open(&app)?;
    tokio::spawn(async move {
        loop {
            let view = solve.borrow_and_update().clone();
            let ended = view.state != SolveState::Running;
            if !stream.send(told(&view, ended)).await || ended || !stream.wait(&mut solve).await {
                return;
            }
        }
    });
    Ok(response)
}

fn told(view: &SolveView, ended: bool) -> Event {
    let event = Event::default().event(if ended { "end" } else { "progress" });
    event.json_data(view).unwrap_or_default()
}
