//! Promises at risk and promises that are less sure, with what helps.

use super::words;
use crate::document::Plan;
use crate::views::{OrderState, OrderView, Views};
use maud::{Markup, html};

/// Orders whose promise is at risk, the worst first.
pub fn at_risk(plan: &Plan, views: &Views) -> Markup {
    let mut orders: Vec<&OrderView> =
        views.orders.iter().filter(|view| view.at_risk && view.state != OrderState::Finished).collect();
    orders.sort_by_key(|view| view.slack_min - view.behind_min);
    html! {
        @if orders.is_empty() {
            p { "None: every order is planned to be finished in time." }
        } @else {
            div.wide.wordy tabindex="0" role="group" aria-label="Promises at risk" {
                table {
                    thead { tr {
                        th scope="col" { "Order" } th scope="col" { "Customer" } th scope="col" { "Promised" }
                        th scope="col" { "Planned finish" } th scope="col" { "Late by" } th scope="col" { "Kept in" } th scope="col" { "Why, and what helps" }
                    } }
                    tbody { @for view in orders { (risk_row(plan, view)) } }
                }
            }
        }
    }
}

fn risk_row(plan: &Plan, view: &OrderView) -> Markup {
    let order = &view.order;
    let why = order.late.as_ref().map_or_else(
        || format!("{} behind its plan, more than its slack", words::length(view.behind_min)),
        |late| late.text.clone(),
    );
    html! {
        tr {
            th scope="row" { (order.id) }
            td.name data-label="Customer" { (order.customer.as_deref().unwrap_or("\u{2013}")) }
            td data-label="Promised" { (words::date(&order.promised)) }
            td data-label="Planned finish" { (words::moment(&order.finish)) }
            td data-label="Late by" { @if order.is_late { (words::length(order.lateness_min)) } @else { "not by plan" } }
            td data-label="Kept in" { (kept(view)) }
            td.prose data-label="Why, and what helps" { (why) @if let Some(helps) = helps(plan, &order.id) { br; strong { "Helps: " } (helps) } }
        }
    }
}

/// Orders that are in time by the plan, and whose promise is kept in too few cases all the same.
pub fn unsure(plan: &Plan, views: &Views) -> Markup {
    let mut orders: Vec<&OrderView> = views.orders.iter().filter(|view| view.is_only_unsure()).collect();
    orders.sort_by(|a, b| chance(a).total_cmp(&chance(b)));
    let least = plan.confidence.as_ref().map_or(0.0, |sure| sure.at_risk_below);
    html! {
        @if !orders.is_empty() {
            details #unsure {
                summary {
                    (words::counted(orders.len(), "further promise")) " in time by the plan, yet kept in fewer than " (words::of_100(least)) " cases"
                }
                div.wide.wordy tabindex="0" role="group" aria-label="Promises that are less sure" {
                    table {
                        thead { tr {
                            th scope="col" { "Order" } th scope="col" { "Customer" } th scope="col" { "Promised" } th scope="col" { "Kept in" }
                            th scope="col" { "Kept in 95 of 100" } th scope="col" { "What helps" }
                        } }
                        tbody { @for view in orders { (unsure_row(plan, view)) } }
                    }
                }
            }
        }
    }
}

fn unsure_row(plan: &Plan, view: &OrderView) -> Markup {
    let order = &view.order;
    html! {
        tr {
            th scope="row" { (order.id) }
            td.name data-label="Customer" { (order.customer.as_deref().unwrap_or("\u{2013}")) }
            td data-label="Promised" { (words::date(&order.promised)) }
            td data-label="Kept in" { (kept(view)) }
            td data-label="Kept in 95 of 100" { (safe_date(view).map_or_else(|| "\u{2013}".to_owned(), words::date)) }
            td.prose data-label="What helps" { (helps(plan, &order.id).unwrap_or_else(|| "not tried out".to_owned())) }
        }
    }
}

fn chance(view: &OrderView) -> f64 {
    view.confidence.as_ref().map_or(1.0, |chance| chance.kept)
}

/// In how many cases a promise is kept.
pub fn kept(view: &OrderView) -> String {
    view.confidence.as_ref().map_or_else(|| "\u{2013}".to_owned(), |chance| words::of_100(chance.kept))
}

/// The date that is kept in 95 of 100 cases.
fn safe_date(view: &OrderView) -> Option<&str> {
    let dates = &view.confidence.as_ref()?.dates;
    dates.iter().find(|date| date.cases_of_hundred == 95).map(|date| date.date.as_str())
}

/// The first of the remedies that were tried out for an order.
fn helps(plan: &Plan, order: &str) -> Option<String> {
    let risks = plan.confidence.as_ref()?.more.get("risks")?.as_array()?;
    let risk = risks.iter().find(|risk| risk["order"] == order)?;
    let best = risk["remedies"].as_array()?.first()?;
    let text = best["text"].as_str()?;
    let cost = best["cost"].as_f64().filter(|cost| *cost > 0.0);
    let cost = cost.map_or_else(String::new, |cost| format!(", {} more", words::money(cost, &plan.currency)));
    Some(format!("{text}: kept in {}{cost}", words::of_100(best["kept"].as_f64()?)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_remedy_is_told_with_its_chance_and_cost() {
        let money = json!({ "run": 0, "setup": 0, "outside": 0, "purchases": 0, "late": 0, "total": 0 });
        let remedy = json!({ "text": "a Saturday", "kept": 0.926, "cost": 1194.4 });
        let plan: Plan = serde_json::from_value(json!({
            "format": "elbowroom-plan/1", "shop": "S", "currency": "EUR", "time_zone": "UTC", "start": "2026-12-07",
            "weeks": 1, "money": money, "lower_bound": null, "cells": [], "orders": [], "left_out": [], "purchases": [],
            "no_tooling": [], "loads": [],
            "confidence": { "runs": 1, "at_risk_below": 0.8, "orders": [], "risks": [{ "order": "O-1", "remedies": [remedy] }] },
        }))
        .unwrap();
        assert_eq!(helps(&plan, "O-1").unwrap(), "a Saturday: kept in 93 of 100, 1\u{202f}194 EUR more");
        assert_eq!(helps(&plan, "O-0"), None);
    }
}
