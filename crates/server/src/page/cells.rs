//! Cells: an overview, and for each cell a page to be read across the shop and used with gloves.

use super::layout::{self, Page};
use super::{Viewer, chart, words};
use crate::api::encoded;
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::views::{CellView, TaskView};
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use elbowroom_store::StepState;
use maud::{Markup, html};

/// Reasons offered for a stop, in the order of how often shops hear them.
const REASONS: [&str; 8] = [
    "waiting for tube",
    "waiting for the setter",
    "tool worn or broken",
    "machine fault",
    "quality: parts out of limits",
    "waiting for inspection",
    "other order first",
    "break or end of shift",
];

/// All cells.
pub async fn overview(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    let content = {
        let snapshot = app.snapshot();
        match &snapshot.views {
            Some(views) => html! {
                section #cells data-live aria-label="Cells" {
                    ul.cards { @for cell in &views.cells { (card(cell)) } }
                }
            },
            None => layout::no_plan(&app),
        }
    };
    layout::send(&app, viewer, &asked, &Page { path: "/cells", title: "Cells", content })
}

fn card(cell: &CellView) -> Markup {
    html! {
        li {
            h2 { a href={ "/cells/" (encoded(&cell.id)) } { (cell.name) } }
            p.quiet { (cell.work) ", " (cell.finished) " of " (words::counted(cell.tasks, "lot")) " finished" }
            @match cell.now.first() {
                Some(task) => p { strong { (chart::sign(task.progress.state)) (state_word(task)) ": " } (short(task)) },
                None => p { strong { "Nothing started" } },
            }
            @if let Some(task) = cell.next.first() { p { "Next: " (short(task)) ", " (words::short_moment(&task.task.setup_start)) } }
        }
    }
}

fn state_word(task: &TaskView) -> &'static str {
    match task.progress.state {
        StepState::Stopped => "Stopped",
        StepState::Running => "Running",
        StepState::Finished => "Finished",
        StepState::Planned => "Planned",
    }
}

fn short(task: &TaskView) -> String {
    format!("{}, {} \u{d7} {}", task.task.order, task.task.quantity, task.part_name)
}

/// One cell.
pub async fn page(
    State(app): State<App>,
    viewer: Viewer,
    asked: Asker,
    path: Option<Path<String>>,
) -> Response {
    let id = path.map(|Path(id)| id).unwrap_or_default();
    let (title, content) = {
        let snapshot = app.snapshot();
        let Some(views) = &snapshot.views else {
            return layout::send(
                &app,
                viewer,
                &asked,
                &Page { path: "/cells", title: "Cell", content: layout::no_plan(&app) },
            );
        };
        let Some(at) = views.cells.iter().position(|cell| cell.id == id) else {
            return no_cell(&id).into_response();
        };
        (views.cells[at].name.clone(), view(&views.cells[at], &views.tasks[at], viewer))
    };
    layout::send(&app, viewer, &asked, &Page { path: "/cells", title: &title, content })
}

fn no_cell(id: &str) -> Problem {
    crate::api::no_cell(id)
}

fn view(cell: &CellView, tasks: &[TaskView], viewer: Viewer) -> Markup {
    html! {
        div.cell-view {
            section #now data-live aria-labelledby="now-name" {
                h2 #now-name { "Now" }
                @if cell.now.is_empty() { p.large { "Nothing started." } }
                @for task in &cell.now { (lot(cell, task, viewer)) }
            }
            section #next data-live aria-labelledby="next-name" {
                h2 #next-name { "Next" }
                @match cell.next.split_first() {
                    Some((first, rest)) => {
                        (lot(cell, first, viewer))
                        @if !rest.is_empty() { ol.then { @for task in rest { li { (then(task)) } } } }
                    }
                    None => p.large { "Nothing more is planned here." },
                }
            }
            section #list data-live aria-labelledby="list-name" {
                h2 #list-name { "Dispatch list" }
                (dispatch(tasks))
                p { a href={ "/api/v1/cells/" (encoded(&cell.id)) "/calendar.ics" } { "This list as a calendar" } ", to be subscribed to" }
            }
        }
    }
}

/// A lot with what to mount and what can be reported.
fn lot(cell: &CellView, view: &TaskView, viewer: Viewer) -> Markup {
    let task = &view.task;
    html! {
        article class={ "lot-card " (view.progress.state.word()) } {
            h3 { span.order { (task.order) } " " span.state { (chart::sign(view.progress.state)) (state_word(view)) } }
            p.large { (task.quantity) " \u{d7} " (view.part_name) " (" (task.part) "), " (task.step) }
            dl.pairs {
                @if !task.mount.is_empty() { div { dt { "Mount" } dd { (task.mount.join(", ")) } } }
                @if !task.tools.is_empty() && task.mount.is_empty() { div { dt { "Tools on" } dd { (task.tools.join(", ")) } } }
                div { dt { "Start" } dd { (task.start_quantity) " pieces" } }
                div { dt { "Planned" } dd { (words::moment(&task.setup_start)) " to " (words::moment(&task.end)) } }
                @if view.is_late { div { dt { "\u{2691} Late" } dd { "Its order will be late." } } }
                @if view.progress.good + view.progress.scrap > 0 {
                    div { dt { "Made" } dd { (view.progress.good) " good, " (view.progress.scrap) " scrap" } }
                }
                @if let Some(reason) = &view.progress.stopped_because { div { dt { "Stopped" } dd { (reason) } } }
            }
            @if viewer.may_write { (actions(cell, view)) }
        }
    }
}

fn actions(cell: &CellView, view: &TaskView) -> Markup {
    let state = view.progress.state;
    html! {
        div.actions {
            @if state != StepState::Running { (start(cell, view)) }
            @if state == StepState::Running { (stop(cell, view)) }
            (finish(cell, view))
            @if let Some(report) = view.progress.last_report { (withdraw(cell, view, report)) }
        }
    }
}

/// Fields that every report has.
fn same(cell: &CellView, view: &TaskView, event: &str) -> Markup {
    html! {
        input type="hidden" name="order" value=(view.task.order);
        input type="hidden" name="step" value=(view.task.step);
        input type="hidden" name="cell" value=(cell.id);
        input type="hidden" name="by" value=(cell.id);
        input type="hidden" name="event" value=(event);
    }
}

fn start(cell: &CellView, view: &TaskView) -> Markup {
    let again = view.progress.state == StepState::Stopped;
    html! {
        form data-api="/api/v1/reports" data-key data-done={ (view.task.order) " started" } {
            (same(cell, view, "started"))
            button.big type="submit" { "\u{25b6} " (if again { "Go on" } else { "Start" }) span.sr { " " (view.task.order) } }
        }
    }
}

fn stop(cell: &CellView, view: &TaskView) -> Markup {
    html! {
        details {
            summary.big { "\u{2016} Stop" span.sr { " " (view.task.order) } }
            form data-api="/api/v1/reports" data-key data-done={ (view.task.order) " stopped" } {
                (same(cell, view, "stopped"))
                fieldset {
                    legend { "Why?" }
                    @for reason in REASONS { button.big type="submit" name="reason" value=(reason) { (reason) } }
                }
            }
        }
    }
}

fn finish(cell: &CellView, view: &TaskView) -> Markup {
    let id = |name: &str| format!("{name}-{}-{}", view.task.order, view.task.step).replace(' ', "_");
    html! {
        details {
            summary.big { "\u{2713} Finish" span.sr { " " (view.task.order) } }
            form data-api="/api/v1/reports" data-key data-numbers="good scrap" data-done={ (view.task.order) " finished" } {
                (same(cell, view, "finished"))
                (number(&id("good"), "good", "Good pieces", view.task.quantity))
                (number(&id("scrap"), "scrap", "Scrap", view.progress.scrap))
                button.big type="submit" { "\u{2713} Finished" }
            }
        }
    }
}

/// A number with keys large enough for gloves.
fn number(id: &str, name: &str, label: &str, value: u32) -> Markup {
    html! {
        div.number {
            label for=(id) { (label) }
            button.big type="button" data-step="-1" data-for=(id) { "\u{2212}" span.sr { " one fewer: " (label) } }
            input #(id) type="number" inputmode="numeric" name=(name) value=(value) min="0" max="1000000" required;
            button.big type="button" data-step="1" data-for=(id) { "+" span.sr { " one more: " (label) } }
        }
    }
}

fn withdraw(cell: &CellView, view: &TaskView, report: i64) -> Markup {
    html! {
        form data-api="/api/v1/reports" data-key data-numbers="withdraws" data-done="the last report was withdrawn" {
            (same(cell, view, "withdrawn"))
            input type="hidden" name="withdraws" value=(report);
            button.big.plain type="submit" { "\u{21a9} Undo the last report" span.sr { " of " (view.task.order) } }
        }
    }
}

fn then(view: &TaskView) -> Markup {
    html! { strong { (view.task.order) } " " (view.task.quantity) " \u{d7} " (view.part_name) ", " (words::short_moment(&view.task.setup_start)) }
}

fn dispatch(tasks: &[TaskView]) -> Markup {
    html! {
        div.wide.listed tabindex="0" role="group" aria-label="Dispatch list" {
            table {
                thead { tr {
                    th scope="col" { "Order" } th scope="col" { "State" } th scope="col" { "Part" } th scope="col" { "Pieces" }
                    th scope="col" { "From" } th scope="col" { "Run" } th scope="col" { "To" } th scope="col" { "Mount" }
                } }
                tbody { @for task in tasks { (dispatch_row(task)) } }
            }
        }
    }
}

fn dispatch_row(view: &TaskView) -> Markup {
    let task = &view.task;
    html! {
        tr {
            th scope="row" { (task.order) @if view.is_late { " \u{2691}" span.sr { " late" } } }
            td data-label="State" { (chart::sign(view.progress.state)) (state_word(view)) }
            td data-label="Part" { (view.part_name) }
            td.number data-label="Pieces" { (task.quantity) }
            td data-label="From" { (words::moment(&task.setup_start)) }
            td data-label="Run" { (words::short_moment(&task.run_start)) }
            td data-label="To" { (words::moment(&task.end)) }
            td.prose data-label="Mount" { (task.mount.join(", ")) }
        }
    }
}
