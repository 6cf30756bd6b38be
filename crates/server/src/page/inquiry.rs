//! Asking for a promise, and giving it.

use super::layout::{self, Page};
use super::{Viewer, words};
use crate::app::App;
use crate::rendered::Asker;
use crate::snapshot::Snapshot;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use elbowroom_store::{Inquiry, Page as StorePage};
use maud::{Markup, html};
use serde_json::Value;
use std::collections::BTreeMap;

/// Inquiries shown.
const SHOWN: u32 = 10;

/// The page.
pub async fn page(State(app): State<App>, viewer: Viewer, asked: Asker) -> Response {
    let listed = app.with_store(|store| store.inquiries(StorePage { before: None, limit: SHOWN })).await;
    let inquiries = match listed {
        Ok(inquiries) => inquiries,
        Err(problem) => return problem.into_response(),
    };
    let content = {
        let snapshot = app.snapshot();
        match &snapshot.published {
            Some(_) => content(&snapshot, viewer, &inquiries),
            None => layout::no_plan(&app),
        }
    };
    layout::send(&app, viewer, &asked, &Page { path: "/inquiry", title: "Inquiry", content })
}

fn content(snapshot: &Snapshot, viewer: Viewer, inquiries: &[Inquiry]) -> Markup {
    html! {
        @if viewer.may_write { section aria-labelledby="ask-name" { (form(snapshot)) } }
        section #answers data-live aria-labelledby="answers-name" {
            h2 #answers-name { "Answers" }
            @if inquiries.is_empty() { p { "Nothing has been asked yet." } }
            @for inquiry in inquiries { (answer(snapshot, viewer, inquiry)) }
        }
    }
}

fn form(snapshot: &Snapshot) -> Markup {
    let orders = snapshot.published.iter().flat_map(|published| &published.plan.orders);
    let parts: BTreeMap<&str, &str> =
        orders.map(|order| (order.part.as_str(), order.part_name.as_str())).collect();
    html! {
        h2 #ask-name { "When could we deliver?" }
        p { "Every way of making it is held against the published plan. Nothing is booked until an offer is accepted." }
        form.stack data-api="/api/v1/inquiries" data-numbers="quantity" data-done="answered below" {
            label for="part" { "Part" }
            input #part name="part" type="text" list="parts" maxlength="200" required autocomplete="off";
            datalist #parts { @for (part, name) in parts { option value=(part) { (name) } } }
            label for="quantity" { "Pieces" }
            input #quantity name="quantity" type="number" inputmode="numeric" min="1" max="10000000" required;
            label for="wanted" { "Wanted on (if said)" }
            input #wanted name="wanted" type="date";
            label for="customer" { "Customer (if known)" }
            input #customer name="customer" type="text" maxlength="200";
            label for="asker" { "Your name" }
            input #asker name="by" type="text" maxlength="60" autocomplete="name" data-remember="name";
            button.big type="submit" { "Ask" }
        }
    }
}

fn answer(snapshot: &Snapshot, viewer: Viewer, kept: &Inquiry) -> Markup {
    let inquiry = &kept.inquiry;
    let value: Value = serde_json::from_str(&inquiry.answer).unwrap_or_default();
    let current = inquiry.version == snapshot.version();
    html! {
        article.lot-card {
            h3 { "Inquiry " (kept.id) ": " (inquiry.quantity) " \u{d7} " (inquiry.part) }
            p {
                "Asked by " (inquiry.asked.by)
                @if let Some(customer) = &inquiry.customer { " for " (customer) }
                @if let Some(wanted) = inquiry.wanted { ", wanted on " (words::date(&wanted.to_string())) }
                "."
            }
            @if let Some(promise) = kept.promise { p.large { "\u{2713} Promised, as promise " (promise) "." } }
            p { "Promise " strong { (words::date(text(&value["promise"]))) } ". Made how: " (text(&value["reason"])) "." }
            (offers(&value, &format!("Offers, inquiry {}", kept.id)))
            @if viewer.may_write && kept.promise.is_none() {
                @if current { (choices(kept, &value)) } @else { p { "Another plan has been published since: ask again." } }
            }
        }
    }
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

/// All offers of an answer, as a table of this name.
pub fn offers(answer: &Value, name: &str) -> Markup {
    let recommended = answer["recommended"].as_u64();
    html! {
        div.wide.wordy tabindex="0" role="group" aria-label=(name) {
            table {
                thead { tr {
                    th scope="col" { "Offer" } th scope="col" { "Soonest" } th scope="col" { "Made" } th scope="col" { "To buy" }
                    th scope="col" { "Cost" } th scope="col" { "Per piece" } th scope="col" { "What binds" }
                } }
                tbody {
                    @for (number, offer) in list(&answer["offers"]).iter().enumerate() {
                        (offer_row(answer, number, offer, recommended == Some(number as u64)))
                    }
                }
            }
        }
    }
}

fn offer_row(answer: &Value, number: usize, offer: &Value, recommended: bool) -> Markup {
    let currency = text(&answer["currency"]);
    let price = offer["cost"]["price_per_piece"].as_f64().or(offer["cost"]["per_piece"].as_f64());
    html! {
        tr {
            th scope="row" { (number + 1) @if recommended { " (recommended)" } }
            td data-label="Promise" { (words::date(text(&offer["date"]))) }
            td data-label="Made" {
                @for lot in list(&offer["lots"]) {
                    div { (lot["quantity"]) " \u{d7} " (text(&lot["process"])) " on " (text(&lot["cell"])) }
                }
            }
            td data-label="To buy" { @for buy in list(&offer["buys"]) { div { (text(&buy["tool"])) } } @if list(&offer["buys"]).is_empty() { "nothing" } }
            td.number data-label="Cost" { (words::money(offer["cost"]["total"].as_f64().unwrap_or_default(), currency)) }
            td.number data-label="Per piece" { @if let Some(price) = price { (format!("{price:.2}")) } }
            td.prose data-label="What binds" { (text(&offer["binding"]["text"])) }
        }
    }
}

fn choices(kept: &Inquiry, answer: &Value) -> Markup {
    let recommended = answer["recommended"].as_u64().unwrap_or_default();
    let select = format!("offer-{}", kept.id);
    html! {
        form.row data-api={ "/api/v1/inquiries/" (kept.id) "/accept" } data-numbers="offer" data-done={ "inquiry " (kept.id) " is promised" } {
            label for=(select) { "Offer" }
            select #(select) name="offer" {
                @for (number, offer) in list(&answer["offers"]).iter().enumerate() {
                    option value=(number) selected[number as u64 == recommended] { (number + 1) ", " (words::date(text(&offer["date"]))) }
                }
            }
            button.big type="submit" { "Promise it" span.sr { ", inquiry " (kept.id) } }
        }
    }
}
