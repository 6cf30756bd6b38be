//! Orders, the tooling question, and load.

use super::layout::{self, Page};
use super::{Viewer, risks, words};
use crate::app::App;
use crate::document::{Course, Load, NoTooling, Order, Plan, Purchase};
use crate::rendered::Asker;
use crate::views::{OrderView, Views};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

/// A page made of the published plan.
fn page(
    app: &App,
    viewer: Viewer,
    asked: &Asker,
    (path, title): (&str, &str),
    content: fn(&Plan, &Views) -> Markup,
) -> Response {
    let content = {
        let snapshot = app.snapshot();
        match (&snapshot.published, &snapshot.views) {
            (Some(published), Some(views)) => content(&published.plan, views),
            _ => layout::no_plan(app),
        }
    };
    layout::send(app, viewer, asked, &Page { path, title, content })
}

/// Every order.
pub async fn orders(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    page(&app, viewer, &asked, ("/orders", "Orders"), |plan, views| {
        html! {
            section #orders data-live aria-label="Orders" { (order_table(views)) }
            @if !plan.left_out.is_empty() {
                section #left-out data-live aria-labelledby="left-out-name" {
                    h2 #left-out-name { "Orders that cannot be made" }
                    ul { @for out in &plan.left_out { li { strong { (out.order) } " (" (out.part) "): " (out.reasons.join("; ")) } } }
                }
            }
        }
    })
}

fn order_table(views: &Views) -> Markup {
    html! {
        div.wide.listed tabindex="0" role="group" aria-label="Orders" {
            table {
                thead { tr {
                    th scope="col" { "Order" } th scope="col" { "State" } th scope="col" { "Customer" } th scope="col" { "Part" }
                    th scope="col" { "Pieces" } th scope="col" { "Promised" } th scope="col" { "Planned finish" }
                    th scope="col" { "Slack" } th scope="col" { "Kept in" } th scope="col" { "Bent on" }
                } }
                tbody { @for view in &views.orders { (order_row(view)) } }
            }
        }
    }
}

fn order_row(view: &OrderView) -> Markup {
    let order: &Order = &view.order;
    html! {
        tr {
            th scope="row" { (order.id) }
            td data-label="State" { (view.state.word()) @if view.at_risk { ", at risk" } }
            td.name data-label="Customer" { (order.customer.as_deref().unwrap_or("\u{2013}")) }
            td.name data-label="Part" { (order.part_name) }
            td.number data-label="Pieces" { (order.quantity) }
            td data-label="Promised" { (words::date(&order.promised)) }
            td data-label="Planned finish" { (words::moment(&order.finish)) }
            td data-label="Slack" { @if order.is_late { strong { "late by " (words::length(order.lateness_min)) } } @else { (words::length(view.slack_min)) } }
            td data-label="Kept in" { (risks::kept(view)) }
            td data-label="Bent on" { (order.bend_cell.as_deref().unwrap_or("\u{2013}")) }
        }
    }
}

/// The tooling question.
pub async fn tooling(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    page(&app, viewer, &asked, ("/tooling", "Tooling"), |plan, _| {
        html! {
            section #buy data-live aria-labelledby="buy-name" {
                h2 #buy-name { "To buy" }
                @if plan.purchases.is_empty() { p { "This plan buys no tools." } } @else { (purchases(plan)) }
            }
            section #without data-live aria-labelledby="without-name" {
                h2 #without-name { "Wait for dies, or go without" }
                @if plan.no_tooling.is_empty() { p { "No order has to choose between waiting for new dies and going without." } }
                @else { (questions(plan)) }
            }
        }
    })
}

fn purchases(plan: &Plan) -> Markup {
    html! {
        div.wide.listed tabindex="0" role="group" aria-label="Tools to buy" {
            table {
                thead { tr {
                    th scope="col" { "Tool" } th scope="col" { "Kind" } th scope="col" { "Order by" } th scope="col" { "Price" }
                    th scope="col" { "First use" } th scope="col" { "For" }
                } }
                tbody { @for purchase in &plan.purchases { (purchase_row(plan, purchase)) } }
            }
        }
    }
}

fn purchase_row(plan: &Plan, purchase: &Purchase) -> Markup {
    html! {
        tr {
            th scope="row" { (purchase.tool) }
            td data-label="Kind" { (purchase.kind) }
            td data-label="Order by" { (words::date(&purchase.order_by)) }
            td data-label="Price" { (words::money(purchase.price, &plan.currency)) @if purchase.estimated { " (estimate)" } }
            td data-label="First use" { (words::moment(&purchase.first_use)) }
            td.prose data-label="For" { (purchase.orders.join(", ")) }
        }
    }
}

fn questions(plan: &Plan) -> Markup {
    html! {
        div.wide.listed tabindex="0" role="group" aria-label="Orders that could wait for dies or go without" {
            table {
                thead { tr {
                    th scope="col" { "Order" } th scope="col" { "Without new dies" } th scope="col" { "Waiting for dies" }
                    th scope="col" { "Going without is" } th scope="col" { "This plan" } th scope="col" { "Dies" }
                } }
                tbody { @for question in &plan.no_tooling { (question_row(plan, question)) } }
            }
        }
    }
}

fn question_row(plan: &Plan, question: &NoTooling) -> Markup {
    let (sooner, cheaper) = (question.sooner, question.cheaper);
    let verdict = match (sooner, cheaper) {
        (true, true) => "sooner and cheaper",
        (true, false) => "sooner, not cheaper",
        (false, true) => "cheaper, not sooner",
        (false, false) => "neither sooner nor cheaper",
    };
    html! {
        tr {
            th scope="row" { (question.order) }
            td data-label="Without new dies" { (course(&question.without, &plan.currency)) }
            td data-label="Waiting for dies" { (course(&question.waiting, &plan.currency)) }
            td data-label="Going without is" { (verdict) }
            td data-label="This plan" { (if question.plan_waits { "waits" } else { "goes without" }) }
            td.prose data-label="Dies" { (question.tools.join(", ")) }
        }
    }
}

fn course(course: &Course, currency: &str) -> Markup {
    html! { (words::moment(&course.finish)) ", " (words::money(course.cost, currency)) br; span.quiet { (course.process) " on " (course.cell) } }
}

/// Load by cell and week.
pub async fn load(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    page(&app, viewer, &asked, ("/load", "Load"), |plan, _| {
        html! {
            section #load data-live aria-label="Load" {
                div.wide.listed tabindex="0" role="group" aria-label="Load" {
                    table {
                        thead { tr {
                            th scope="col" { "Cell" } th scope="col" { "Week" } th scope="col" { "Running" } th scope="col" { "Changing over" }
                            th scope="col" { "Open" } th scope="col" { "Used" }
                        } }
                        tbody { @for load in &plan.loads { (load_row(plan, load)) } }
                    }
                }
            }
        }
    })
}

fn load_row(plan: &Plan, load: &Load) -> Markup {
    let name = plan.cell(&load.cell).map_or(load.cell.as_str(), |cell| cell.name.as_str());
    let used = load.run_min + load.setup_min;
    let percent = if load.open_min > 0 { (100 * used + load.open_min / 2) / load.open_min } else { 0 };
    let hours = |minutes: i64| format!("{:.1} h", minutes as f64 / 60.0);
    html! {
        tr {
            th scope="row" { (name) }
            td data-label="Week" { (load.week) }
            td.number data-label="Running" { (hours(load.run_min)) }
            td.number data-label="Changing over" { (hours(load.setup_min)) }
            td.number data-label="Open" { (hours(load.open_min)) }
            td.used data-label="Used" {
                svg.gauge viewBox="0 0 100 10" aria-hidden="true" preserveAspectRatio="none" {
                    rect.open x="0" y="0" width="100" height="10" {}
                    rect.run x="0" y="0" width=(percent.clamp(0, 100)) height="10" {}
                }
                " " (percent) " %" @if percent > 95 { strong { " full" } }
            }
        }
    }
}
