//! Cells: now, next, and the whole dispatch list.

use super::asked::Named;
use super::route::{Operation, Route};
use super::{published, shown};
use crate::app::App;
use crate::base::calendar_name;
use crate::problem::Problem;
use crate::rendered::{Asker, Rendered};
use crate::views::{CellView, TaskView};
use axum::extract::State;
use axum::http::HeaderValue;
use axum::response::Response;
use axum::routing::get;
use schemars::JsonSchema;
use serde::Serialize;

/// All cells.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Cells {
    /// In the shop's order.
    pub cells: Vec<CellView>,
}

/// A cell with its whole dispatch list.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CellList {
    /// The cell, now and next.
    #[serde(flatten)]
    pub cell: CellView,
    /// Every lot in order of time.
    pub list: Vec<TaskView>,
}

pub fn routes() -> Vec<Route> {
    vec![
        Route::new("/api/v1/cells").with(
            Operation::get("cells", "Every cell: what it does now, and what comes next.")
                .answers::<Cells>(200, "The cells.")
                .conditional(),
            get(cells),
        ),
        Route::new("/api/v1/cells/{id}").with(
            Operation::get("cell", "A cell with its whole dispatch list.")
                .path::<String>("id", "Id of the cell.")
                .answers::<CellList>(200, "The cell.")
                .conditional(),
            get(cell),
        ),
        Route::new("/api/v1/cells/{id}/calendar.ics").with(
            Operation::get(
                "cell_calendar",
                "A cell's dispatch list as a calendar to subscribe to (RFC 5545).",
            )
            .path::<String>("id", "Id of the cell.")
            .answers_as::<String>(200, "The calendar.", "text/calendar")
            .conditional(),
            get(calendar),
        ),
    ]
}

async fn cells(State(app): State<App>, asked: Asker) -> Result<Response, Problem> {
    let snapshot = app.snapshot();
    Ok(shown(&asked, &Cells { cells: published(&snapshot)?.1.cells.clone() }))
}

async fn cell(State(app): State<App>, Named(id): Named, asked: Asker) -> Result<Response, Problem> {
    let snapshot = app.snapshot();
    let views = published(&snapshot)?.1;
    let at = views.cells.iter().position(|cell| cell.id == id).ok_or_else(|| no_cell(&id))?;
    Ok(shown(&asked, &CellList { cell: views.cells[at].clone(), list: views.tasks[at].clone() }))
}

async fn calendar(State(app): State<App>, Named(id): Named, asked: Asker) -> Result<Response, Problem> {
    let plan = {
        let snapshot = app.snapshot();
        let (published, views) = published(&snapshot)?;
        views.cells.iter().find(|cell| cell.id == id).ok_or_else(|| no_cell(&id))?;
        published.head.id
    };
    let bytes = app.with_store(move |store| store.document(plan, &calendar_name(&id))).await?;
    Ok(Rendered::new(HeaderValue::from_static("text/calendar; charset=utf-8"), bytes).answer(&asked))
}

/// There is no such cell.
pub fn no_cell(id: &str) -> Problem {
    Problem::not_found(format!("there is no cell `{id}` in the plan")).remedy("GET /api/v1/cells lists them")
}
