//! Plans there have been, proposals that wait, and re-plans.

use super::layout::{self, Page};
use super::{Viewer, words};
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::snapshot::Snapshot;
use crate::solves::{SolveState, SolveView};
use crate::views::PlanView;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use elbowroom_store::{Page as StorePage, PlanHead};
use maud::{Markup, html};

/// Plans shown.
const SHOWN: u32 = 50;

/// The page.
pub async fn page(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    let listed = app.with_store(|store| store.plans(StorePage { before: None, limit: SHOWN })).await;
    let content = match listed {
        Ok(heads) => content(&app, viewer, &heads),
        Err(problem) => return Problem::into_response(problem),
    };
    layout::send(&app, viewer, &asked, &Page { path: "/plans", title: "Plans", content })
}

fn content(app: &App, viewer: Viewer, heads: &[PlanHead]) -> Markup {
    let snapshot = app.snapshot();
    html! {
        section #decisions data-live aria-label="What needs a decision" {
            (proposals(app, viewer, &snapshot))
            @if let Some(failed) = app.desk.list().first().filter(|solve| solve.state == SolveState::Failed) { (failure(failed)) }
        }
        @if viewer.may_write { section aria-labelledby="anew-name" { (plan_anew()) } }
        section #history data-live aria-labelledby="history-name" {
            h2 #history-name { "Every plan" }
            (history(app, heads, &snapshot))
        }
    }
}

fn plan_anew() -> Markup {
    html! {
        h2 #anew-name { "Plan anew" }
        p { "Reads the shop's files as they are now, carries over what the shop floor reported, and proposes a plan. Nothing changes until somebody publishes it." }
        form.stack data-api="/api/v1/solves" data-numbers="seconds" data-done="planning has begun" {
            label for="reason" { "Why" }
            input #reason name="reason" type="text" maxlength="200" placeholder="die late, rush order, cell down";
            label for="seconds" { "Seconds to search" }
            input #seconds name="seconds" type="number" min="1" max="3600" value="20" required;
            label for="asker" { "Your name" }
            input #asker name="by" type="text" maxlength="60" autocomplete="name" data-remember="name";
            button.big type="submit" { "Plan anew" }
        }
    }
}

/// Proposals that wait, and the re-plan that runs.
pub fn proposals(app: &App, viewer: Viewer, snapshot: &Snapshot) -> Markup {
    let running = app.desk.running().and_then(|id| app.desk.follow(id)).map(|solve| solve.borrow().clone());
    html! {
        @if let Some(solve) = running { (progress(&solve, viewer)) }
        @for head in &snapshot.proposals { (proposal(app, viewer, snapshot, head)) }
    }
}

fn progress(solve: &SolveView, viewer: Viewer) -> Markup {
    html! {
        div.note {
            h2 { "Planning anew" }
            p {
                (solve.by) " asked for it" @if !solve.reason.is_empty() { " (" (solve.reason) ")" } ". "
                span data-solve={ "/api/v1/solves/" (solve.id) "/events" } { "It may take " (solve.seconds) " s." }
            }
            @if viewer.may_write {
                form data-api={ "/api/v1/solves/" (solve.id) } data-method="DELETE" data-done="planning ends with the best plan so far" {
                    button.plain type="submit" { "End now with the best so far" }
                }
            }
        }
    }
}

fn failure(solve: &SolveView) -> Markup {
    html! {
        div.note {
            h2 { "The last re-plan found no plan" }
            p { (solve.problem.as_deref().unwrap_or_default()) }
            ul { @for finding in &solve.findings { li.finding { (finding) } } }
        }
    }
}

fn proposal(app: &App, viewer: Viewer, snapshot: &Snapshot, head: &PlanHead) -> Markup {
    let zone = snapshot.published.as_ref().map_or(app.setup.zone, |published| published.zone);
    let view = PlanView::of(head, zone);
    html! {
        div.note {
            h2 { "Plan " (view.id) " waits for a decision" }
            p {
                (words::counted(view.late_orders as usize, "late order")) ", "
                (words::money(view.total_cost, &view.currency)) ". Made by " (view.made.by) ", " (words::moment(&view.made.at))
                @if !view.reason.is_empty() { ": " (view.reason) } "."
                @if view.based_on != snapshot.version().0 { " " strong { "It was begun before the present plan was published." } }
            }
            (against(snapshot, &view))
            @if viewer.may_write { (decisions(snapshot, &view)) }
        }
    }
}

/// A proposal against the present plan.
fn against(snapshot: &Snapshot, view: &PlanView) -> Markup {
    let Some(present) = &snapshot.published else { return html! {} };
    let figures = &present.head.figures;
    html! {
        p { "The present plan: " (words::counted(figures.late_orders as usize, "late order")) ", " (words::money(figures.total_cost, &view.currency)) "." }
    }
}

fn decisions(snapshot: &Snapshot, view: &PlanView) -> Markup {
    let seen = snapshot.published.as_ref().and_then(|published| published.rendered.tag().to_str().ok());
    let path = |verb: &str| format!("/api/v1/plans/{}/{verb}", view.id);
    let name = format!("decider-{}", view.id);
    html! {
        form.row data-api=(path("publish")) data-match=[seen] data-done={ "plan " (view.id) " is published" } {
            label for=(name) { "Your name" }
            input #(name) name="by" type="text" maxlength="60" autocomplete="name" data-remember="name";
            button.big type="submit" { "Publish" span.sr { " plan " (view.id) } }
        }
        form.row data-api=(path("discard")) data-done={ "plan " (view.id) " is put aside" } {
            button.plain type="submit" { "Put aside" span.sr { " plan " (view.id) } }
        }
    }
}

fn history(app: &App, heads: &[PlanHead], snapshot: &Snapshot) -> Markup {
    let zone = snapshot.published.as_ref().map_or(app.setup.zone, |published| published.zone);
    html! {
        div.wide.listed tabindex="0" role="group" aria-label="Every plan" {
            table {
                thead { tr {
                    th scope="col" { "Plan" } th scope="col" { "Outcome" } th scope="col" { "Version" } th scope="col" { "Made" } th scope="col" { "Why" }
                    th scope="col" { "Decided" } th scope="col" { "Late" } th scope="col" { "Cost" } th scope="col" { "Files" }
                } }
                tbody { @for head in heads { (history_row(&PlanView::of(head, zone))) } }
            }
        }
    }
}

fn history_row(view: &PlanView) -> Markup {
    let file = |name: &str| format!("/api/v1/plans/{}/documents/{name}", view.id);
    html! {
        tr {
            th scope="row" { (view.id) }
            td data-label="Outcome" { (view.outcome) }
            td data-label="Version" { @if let Some(version) = view.version { (version) } @else { "\u{2013}" } }
            td data-label="Made" { (words::moment(&view.made.at)) ", " (view.made.by) }
            td.prose data-label="Why" { (view.reason) }
            td data-label="Decided" { @if let Some(settled) = &view.settled { (words::moment(&settled.at)) ", " (settled.by) } @else { "\u{2013}" } }
            td.number data-label="Late" { (view.late_orders) " of " (view.orders) }
            td.number data-label="Cost" { (words::money(view.total_cost, &view.currency)) }
            td data-label="Files" { a href=(file("plan.json")) { "plan" } " " a href=(file("problem.json")) { "problem" } " " a href=(file("schedule.json")) { "schedule" } }
        }
    }
}
