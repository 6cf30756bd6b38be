//! What was promised, to whom, when and why.

use super::layout::{self, Page};
use super::{Viewer, inquiry, words};
use crate::api::encoded;
use crate::app::App;
use crate::promises::{Now, Remembered, remembered, sought};
use crate::rendered::Asker;
use crate::snapshot::Snapshot;
use crate::views::{OrderState, SignatureView};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use chrono::NaiveDate;
use chrono_tz::Tz;
use elbowroom_store::Page as StorePage;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::Value;

/// Promises shown at once.
const SHOWN: u32 = 25;

/// Which promises. Days are texts: an empty field of the form is no day.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    from: String,
    #[serde(default)]
    until: String,
    #[serde(default)]
    about: String,
    before: Option<i64>,
}

impl Asked {
    fn day(text: &str) -> Option<NaiveDate> {
        text.parse().ok()
    }

    fn is_all(&self) -> bool {
        self.from.is_empty() && self.until.is_empty() && self.about.is_empty() && self.before.is_none()
    }

    fn earlier(&self, before: i64) -> String {
        let [from, until, about] = [&self.from, &self.until, &self.about].map(|text| encoded(text));
        format!("/promises?from={from}&until={until}&about={about}&before={before}")
    }
}

/// The page.
pub async fn page(
    State(app): State<App>,
    viewer: Viewer,
    asked: Asker,
    query: Result<Query<Asked>, QueryRejection>,
) -> Response {
    let wanted = query.map(|Query(wanted)| wanted).unwrap_or_default();
    let zone = app.snapshot().published.as_ref().map_or(app.setup.zone, |published| published.zone);
    let sought = sought(Asked::day(&wanted.from), Asked::day(&wanted.until), Some(&wanted.about), zone);
    let part = StorePage { before: wanted.before, limit: SHOWN + 1 };
    let found = match app.with_store(move |store| remembered(store, &sought, part)).await {
        Ok(found) => found,
        Err(problem) => return problem.into_response(),
    };
    let content = content(&app.snapshot(), &wanted, &found, zone);
    layout::send(&app, viewer, &asked, &Page { path: "/promises", title: "Promises", content })
}

fn content(snapshot: &Snapshot, wanted: &Asked, found: &[Remembered], zone: Tz) -> Markup {
    let shown = &found[..found.len().min(SHOWN as usize)];
    let last = shown.last().filter(|_| found.len() > shown.len());
    html! {
        section aria-label="Which promises" { (form(wanted)) }
        section #promises data-live aria-label="Promises" {
            @if shown.is_empty() {
                p { @if wanted.is_all() { "Nothing has been promised yet." } @else { "No promise was given that fits." } }
            }
            @for kept in shown { (promise(snapshot, kept, zone)) }
            @if let Some(last) = last { p { a href=(wanted.earlier(last.promise.id.0)) { "Earlier promises" } } }
        }
    }
}

fn form(wanted: &Asked) -> Markup {
    html! {
        form.search method="get" action="/promises" {
            div.field { label for="from" { "Given from" } input #from name="from" type="date" value=(wanted.from); }
            div.field { label for="until" { "until" } input #until name="until" type="date" value=(wanted.until); }
            div.field { label for="about" { "Order, part or customer" } input #about name="about" type="search" maxlength="200" value=(wanted.about); }
            button type="submit" { "Find" }
        }
    }
}

fn promise(snapshot: &Snapshot, kept: &Remembered, zone: Tz) -> Markup {
    let (given, asked) = (&kept.promise.promise, &kept.asked.inquiry);
    let (answer, way) = (kept.answer(), kept.way());
    let signed = SignatureView::of(&given.given, zone);
    html! {
        article.lot-card {
            h2 { "Order " (given.order) ": " (words::full_date(&given.date.to_string())) }
            p {
                (asked.quantity) " \u{d7} " (asked.part)
                @if let Some(customer) = &asked.customer { " for " (customer) }
                ". Promised by " (signed.by) " on " (words::full_moment(&signed.at)) "."
            }
            dl.pairs {
                div { dt { "Why then" } dd { (text(&answer["reason"])) } }
                div { dt { "Made" } dd { (made(&way["offer"])) } }
                @if let Some(date) = asked.wanted { div { dt { "Wished for" } dd { (words::full_date(&date.to_string())) } } }
                div { dt { "Known then" } dd { (plan(kept)) } }
                div { dt { "Now" } dd { (now(snapshot.views.as_ref().and_then(|views| kept.now(views)).as_ref())) } }
            }
            details {
                summary { "All offers that were weighed" span.sr { " for order " (given.order) } }
                (inquiry::offers(&answer, &format!("Offers for order {}", given.order)))
            }
        }
    }
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

/// The way of making that was promised.
fn made(offer: &Value) -> Markup {
    let lots = offer["lots"].as_array().map(Vec::as_slice).unwrap_or_default();
    let buys = offer["buys"].as_array().map(Vec::as_slice).unwrap_or_default();
    html! {
        @for lot in lots {
            div { (lot["quantity"]) " \u{d7} " (text(&lot["process"])) " on " (text(&lot["cell"])) ", finished " (words::full_moment(text(&lot["finish"]))) }
        }
        @for buy in buys { div { "buys " (text(&buy["tool"])) } }
    }
}

/// The plan on which it was worked out, with everything that was known of the shop.
fn plan(kept: &Remembered) -> Markup {
    let id = kept.plan.id;
    let file = |name: &str| format!("/api/v1/plans/{id}/documents/{name}");
    html! {
        "version " (kept.promise.version) " of the plan, by " (kept.plan.made.by) ": "
        a href=(file("plan.json")) { "plan" span.sr { " " (id) } } ", "
        a href=(file("inputs/orders.csv")) { "order book" span.sr { " of plan " (id) } } ", "
        a href={ "/api/v1/plans/" (id) } { "all its files" span.sr { ", plan " (id) } }
    }
}

fn now(now: Option<&Now>) -> Markup {
    html! {
        @match now {
            None => "not in the present plan",
            Some(now) if now.state == OrderState::Finished => "\u{2713} finished",
            Some(now) => {
                (now.state.word()) ", to be finished " (words::full_moment(&now.finish))
                @if now.is_late { ": " strong { "\u{2691} later than promised" } }
            }
        }
    }
}
