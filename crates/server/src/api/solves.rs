//! Re-plans: started, followed, ended early.

use super::asked::{By, Numbered, Sent, maybe_text};
use super::route::{Operation, Route};
use super::streams::Course;
use super::{events, placed, shown};
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::replan::Wish;
use crate::solves::{self, SolveView};
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use axum::routing::{delete, get, post};
use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A re-plan to start.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSolve {
    /// Why the shop is planned anew.
    reason: Option<String>,
    /// Who asks.
    by: Option<String>,
    /// Seconds that it may take, 0.1 to 3600.
    #[schemars(range(min = 0.1, max = 3600.0))]
    seconds: Option<f64>,
    /// Start of the pseudo-random numbers; 1 if not said.
    seed: Option<u64>,
    /// First day of the plan; the shop's if not said.
    start: Option<NaiveDate>,
}

/// All solves since the service was started.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Solves {
    /// Newest first.
    pub solves: Vec<SolveView>,
}

pub fn routes() -> Vec<Route> {
    vec![all_route(), one_route(), events_route()]
}

fn all_route() -> Route {
    Route::new("/api/v1/solves")
        .with(
            Operation::get("solves", "Re-plans since the service was started, newest first.")
                .answers::<Solves>(200, "The solves.")
                .conditional(),
            get(list),
        )
        .with(
            Operation::post("solve", "Starts a re-plan and returns at once; its plan waits to be published.")
                .body::<NewSolve>()
                .answers::<SolveView>(202, "It has begun."),
            post(start),
        )
}

fn one_route() -> Route {
    Route::new("/api/v1/solves/{id}")
        .with(
            Operation::get("one_solve", "How a re-plan stands.")
                .path::<i64>("id", "Number of the solve.")
                .answers::<SolveView>(200, "The solve.")
                .conditional(),
            get(one),
        )
        .with(
            Operation::delete(
                "stop_solve",
                "Ends a re-plan early; its best plan so far is kept as a proposal.",
            )
            .path::<i64>("id", "Number of the solve.")
            .answers::<SolveView>(202, "It has been asked to end."),
            delete(stop),
        )
}

fn events_route() -> Route {
    Route::new("/api/v1/solves/{id}/events").with(
        Operation::get("solve_events", "Server-sent events: `progress` now and then, `end` once.")
            .path::<i64>("id", "Number of the solve.")
            .answers_as::<Course>(200, "Events until the solve ends.", "text/event-stream"),
        get(events::solve),
    )
}

async fn list(State(app): State<App>, asked: Asker) -> Response {
    shown(&asked, &Solves { solves: app.desk.list() })
}

async fn start(State(app): State<App>, by: By, Sent(new): Sent<NewSolve>) -> Result<Response, Problem> {
    let wish = new.wish(&app, &by)?;
    let view = solves::start(&app, wish).map_err(|running| {
        Problem::new(
            StatusCode::CONFLICT,
            "solve-running",
            "A re-plan is running already",
            format!("solve `{running}` is running"),
        )
        .remedy("wait for it, or end it with DELETE")
        .header(header::LOCATION, place(running))
    })?;
    app.refreshed().await;
    Ok(placed(StatusCode::ACCEPTED, &format!("/api/v1/solves/{}", view.id), &view))
}

fn place(id: u64) -> HeaderValue {
    HeaderValue::try_from(format!("/api/v1/solves/{id}")).expect("digits make a header")
}

impl NewSolve {
    fn wish(&self, app: &App, by: &By) -> Result<Wish, Problem> {
        let seconds = self.seconds.unwrap_or(app.setup.solve_seconds);
        if !(0.1..=3600.0).contains(&seconds) {
            return Err(Problem::refused(format!("`seconds` is {seconds}; expected 0.1 to 3600")));
        }
        Ok(Wish {
            by: by.signs(maybe_text("by", self.by.as_deref())?.as_deref()),
            reason: maybe_text("reason", self.reason.as_deref())?.unwrap_or_default(),
            seconds,
            seed: self.seed.unwrap_or(1),
            start: self.start,
        })
    }
}

async fn one(State(app): State<App>, Numbered(id): Numbered, asked: Asker) -> Result<Response, Problem> {
    let solve = app.desk.follow(id.unsigned_abs()).ok_or_else(|| no_solve(id))?;
    let view = solve.borrow().clone();
    Ok(shown(&asked, &view))
}

async fn stop(State(app): State<App>, Numbered(id): Numbered) -> Result<Response, Problem> {
    if !app.desk.stop(id.unsigned_abs()) {
        return Err(no_solve(id));
    }
    let view = app.desk.follow(id.unsigned_abs()).map(|solve| solve.borrow().clone());
    let path = format!("/api/v1/solves/{id}");
    view.map(|view| placed(StatusCode::ACCEPTED, &path, &view)).ok_or_else(|| no_solve(id))
}

/// There is no such solve.
pub fn no_solve(id: i64) -> Problem {
    Problem::not_found(format!("there is no solve `{id}` since the service was started"))
        .remedy("GET /api/v1/solves lists them; their plans are under /api/v1/plans")
}
