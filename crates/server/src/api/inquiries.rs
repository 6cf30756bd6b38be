//! Inquiries: asked, answered at once, accepted.

use super::asked::{By, Numbered, Sent, Wanted, limit, maybe_text, text};
use super::orders::Limit;
use super::promises::PromiseView;
use super::route::{Operation, Route};
use super::{Listed, created, shown, zone};
use crate::app::App;
use crate::problem::Problem;
use crate::promises::remember;
use crate::rendered::Asker;
use crate::replan::PromisedOrder;
use crate::standing::{Held, held};
use crate::views::SignatureView;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};
use chrono::NaiveDate;
use chrono_tz::Tz;
use elbowroom_files::{part_meant, promise_value};
use elbowroom_planner::promise::{Answer, Inquiry, InquiryFault};
use elbowroom_store::{self as store, InquiryId, NewInquiry, NewPromise, Page};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::sync::PoisonError;

/// A customer's question.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Id of the part.
    part: String,
    /// Pieces.
    quantity: u32,
    /// The date wished for.
    wanted: Option<NaiveDate>,
    /// The date on which the tube is in the house; it is, if not said and enough is on hand.
    material: Option<NaiveDate>,
    /// Id of the customer.
    customer: Option<String>,
    /// Id that the order would get; a free one if not said.
    order: Option<String>,
    /// Who asks.
    by: Option<String>,
}

/// A question and its answer.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct InquiryView {
    /// Its number.
    pub id: i64,
    /// Who asked, and when.
    pub asked: SignatureView,
    /// Id of the part.
    pub part: String,
    /// Pieces.
    pub quantity: u32,
    /// The date wished for.
    pub wanted: Option<String>,
    /// Id of the customer.
    pub customer: Option<String>,
    /// The published plan on which it was answered.
    pub version: i64,
    /// The answer, as `elbowroom promise --json` prints it.
    pub answer: Value,
    /// Number of the promise that came of it.
    pub promise: Option<i64>,
}

/// An offer is taken.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Which of the answer's offers, from 0; the recommended one if not said.
    offer: Option<usize>,
    /// Who promises.
    by: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Query {
    before: Option<i64>,
    limit: Option<u32>,
}

impl Query {
    /// The page to read, with one thing more than asked for, and how many were asked for.
    fn page(&self) -> Result<(Page, usize), Problem> {
        let limit = limit(self.limit)?;
        Ok((Page { before: self.before, limit: limit + 1 }, limit as usize))
    }
}

pub fn routes() -> Vec<Route> {
    vec![all_route(), one_route(), accept_route()]
}

fn all_route() -> Route {
    Route::new("/api/v1/inquiries")
        .with(
            Operation::get("inquiries", "What was asked and answered, newest first.")
                .query::<i64>("before", "Only inquiries with a smaller number.")
                .query::<Limit>("limit", "At most so many; 100 if not said.")
                .answers::<Listed<InquiryView>>(200, "Inquiries.")
                .conditional(),
            get(list),
        )
        .with(
            Operation::post(
                "inquire",
                "Asks when so many pieces of a part could be promised; nothing is booked.",
            )
            .body::<Question>()
            .answers::<InquiryView>(201, "The answer."),
            post(ask),
        )
}

fn one_route() -> Route {
    Route::new("/api/v1/inquiries/{id}").with(
        Operation::get("inquiry", "One inquiry with its answer.")
            .path::<i64>("id", "Number of the inquiry.")
            .answers::<InquiryView>(200, "The inquiry.")
            .conditional(),
        get(one),
    )
}

fn accept_route() -> Route {
    Route::new("/api/v1/inquiries/{id}/accept").with(
        Operation::post(
            "accept",
            "Gives the promise: later inquiries and every re-plan take it into account.",
        )
        .path::<i64>("id", "Number of the inquiry.")
        .body::<Acceptance>()
        .answers::<PromiseView>(201, "It is promised."),
        post(accept),
    )
}

async fn list(
    State(app): State<App>,
    Wanted(query): Wanted<Query>,
    asked: Asker,
) -> Result<Response, Problem> {
    let (page, limit) = query.page()?;
    let mut found = app.with_store(move |store| store.inquiries(page)).await?;
    let more = found.len() > limit;
    found.truncate(limit);
    let last = found.last().filter(|_| more);
    let next = last.map(|last| format!("/api/v1/inquiries?limit={limit}&before={}", last.id));
    let zone = zone(&app);
    Ok(shown(&asked, &Listed { items: found.iter().map(|one| InquiryView::of(one, zone)).collect(), next }))
}

async fn one(State(app): State<App>, Numbered(id): Numbered, asked: Asker) -> Result<Response, Problem> {
    let found = app.with_store(move |store| store.inquiry(InquiryId(id))).await?;
    Ok(shown(&asked, &InquiryView::of(&found, zone(&app))))
}

async fn ask(State(app): State<App>, by: By, Sent(question): Sent<Question>) -> Result<Response, Problem> {
    let signature = app.signature(by.signs(maybe_text("by", question.by.as_deref())?.as_deref()));
    let inquiry = question.read()?;
    let (asking, version) = (app.clone(), app.snapshot().version());
    let (inquiry, answer) = waiting(move || {
        let held = held(&asking)?;
        let inquiry = named(&held, inquiry);
        let answer = answer(&asking, &held, &inquiry)?;
        Ok((inquiry, answer_value(&held, &answer)))
    })
    .await?;
    let new = NewInquiry {
        asked: signature,
        customer: inquiry.customer,
        part: inquiry.part,
        quantity: inquiry.quantity,
        wanted: inquiry.wanted,
        version,
        answer: answer.to_string(),
    };
    let kept = app.write(move |store| store.keep_inquiry(&new)).await?;
    Ok(created(&format!("/api/v1/inquiries/{}", kept.id), &InquiryView::of(&kept, zone(&app))))
}

/// Does something that takes a while on a thread that may wait.
async fn waiting<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|error| Problem::ours(format!("the work was broken off: {error}")))?
}

impl Question {
    fn read(&self) -> Result<Inquiry, Problem> {
        Ok(Inquiry {
            id: maybe_text("order", self.order.as_deref())?.unwrap_or_default(),
            part: text("part", &self.part)?,
            quantity: self.quantity,
            wanted: self.wanted,
            material: self.material,
            customer: maybe_text("customer", self.customer.as_deref())?,
        })
    }
}

/// The inquiry with an order id that nobody has.
fn named(held: &Held, inquiry: Inquiry) -> Inquiry {
    if !inquiry.id.is_empty() {
        return inquiry;
    }
    let orders = &held.standing.shop().orders;
    let taken = |id: &str| orders.iter().any(|order| order.id == id);
    let free = (1..).map(|number| format!("I-{number}")).find(|id| !taken(id));
    Inquiry { id: free.unwrap_or_default(), ..inquiry }
}

fn answer(app: &App, held: &Held, inquiry: &Inquiry) -> Result<Answer, Problem> {
    held.standing.answer(inquiry, app.setup.solve_threads).map_err(|fault| {
        let meant = match &fault {
            InquiryFault::UnknownPart { part } => part_meant(held.standing.shop(), part),
            _ => None,
        };
        Problem::refused(fault.to_string()).remedy(meant.unwrap_or_else(|| fault.remedy()))
    })
}

fn answer_value(held: &Held, answer: &Answer) -> Value {
    promise_value(answer, &held.standing.shop().terms.currency, &held.clock)
}

async fn accept(
    State(app): State<App>,
    by: By,
    Numbered(id): Numbered,
    Sent(acceptance): Sent<Acceptance>,
) -> Result<Response, Problem> {
    let given = app.signature(by.signs(maybe_text("by", acceptance.by.as_deref())?.as_deref()));
    let giving = app.clone();
    let promise = waiting(move || {
        let _one_at_a_time = giving.holder.giving.lock().unwrap_or_else(PoisonError::into_inner);
        let asked = giving.setup.store.inquiry(InquiryId(id))?;
        let new = promised(&giving, &asked, &acceptance, given)?;
        let promise = giving.setup.store.promise(&new)?;
        giving.refresh();
        Ok(remember(giving.setup.store.as_ref(), promise)?)
    })
    .await?;
    let view = PromiseView::of(&promise, zone(&app), app.snapshot().views.as_ref());
    Ok(created(&format!("/api/v1/promises?before={}&limit=1", view.id + 1), &view))
}

/// The promise, if the answer would still be the same now.
fn promised(
    app: &App,
    asked: &store::Inquiry,
    acceptance: &Acceptance,
    given: store::Signature,
) -> Result<NewPromise, Problem> {
    if let Some(promise) = asked.promise {
        return Err(store::StoreError::AlreadyPromised { inquiry: asked.id, promise }.into());
    }
    let told: Value = serde_json::from_str(&asked.inquiry.answer)
        .map_err(|error| Problem::ours(format!("the answer to inquiry `{}`: {error}", asked.id)))?;
    let held = held(app)?;
    let inquiry = asked_again(asked, &told);
    let answer = answer(app, &held, &inquiry)?;
    let chosen = acceptance.offer.unwrap_or(told["recommended"].as_u64().unwrap_or_default() as usize);
    let now = answer_value(&held, &answer);
    if told["offers"][chosen].is_null() {
        return Err(Problem::refused(format!("the answer has no offer {chosen}")));
    }
    if now["offers"][chosen] != told["offers"][chosen] {
        return Err(answer_changed());
    }
    let offer = &answer.offers[chosen];
    let orders = held.standing.orders_of(&answer, offer);
    let way = json!({
        "offer": now["offers"][chosen],
        "orders": orders.iter().map(PromisedOrder::of).collect::<Vec<_>>(),
    });
    Ok(NewPromise {
        inquiry: asked.id,
        given,
        order: inquiry.id,
        date: answer.told(offer),
        way: way.to_string(),
    })
}

/// The question as it was answered: with the order id and material date of the answer.
fn asked_again(asked: &store::Inquiry, told: &Value) -> Inquiry {
    let inquiry = &asked.inquiry;
    Inquiry {
        id: told["order"].as_str().unwrap_or_default().to_owned(),
        part: inquiry.part.clone(),
        quantity: inquiry.quantity,
        wanted: inquiry.wanted,
        material: told["material"].as_str().and_then(|date| date.parse().ok()),
        customer: inquiry.customer.clone(),
    }
}

fn answer_changed() -> Problem {
    Problem::new(
        StatusCode::CONFLICT,
        "answer-changed",
        "The answer would be another now",
        "something was promised or published since this inquiry was answered",
    )
    .remedy("ask again")
}

impl InquiryView {
    fn of(kept: &store::Inquiry, zone: Tz) -> Self {
        let inquiry = &kept.inquiry;
        Self {
            id: kept.id.0,
            asked: SignatureView::of(&inquiry.asked, zone),
            part: inquiry.part.clone(),
            quantity: inquiry.quantity,
            wanted: inquiry.wanted.map(|date| date.to_string()),
            customer: inquiry.customer.clone(),
            version: inquiry.version.0,
            answer: serde_json::from_str(&inquiry.answer).unwrap_or_default(),
            promise: kept.promise.map(|promise| promise.0),
        }
    }
}
