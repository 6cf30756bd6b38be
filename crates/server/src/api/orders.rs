//! Orders with planned finish, slack, and how far they have come.

use super::asked::{Named, Wanted, limit};
use super::route::{Operation, Route};
use super::{Listed, published, shown};
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::views::{OrderState, OrderView};
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use schemars::JsonSchema;
use serde::Deserialize;

/// Which orders.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Query {
    late: Option<bool>,
    at_risk: Option<bool>,
    state: Option<WantedState>,
    after: Option<String>,
    limit: Option<u32>,
}

/// How far orders have come.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum WantedState {
    NotBegun,
    UnderWay,
    Stopped,
    Finished,
}

impl WantedState {
    const fn state(self) -> OrderState {
        match self {
            Self::NotBegun => OrderState::NotBegun,
            Self::UnderWay => OrderState::UnderWay,
            Self::Stopped => OrderState::Stopped,
            Self::Finished => OrderState::Finished,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::NotBegun => "not_begun",
            Self::UnderWay => "under_way",
            Self::Stopped => "stopped",
            Self::Finished => "finished",
        }
    }
}

pub fn routes() -> Vec<Route> {
    vec![
        Route::new("/api/v1/orders").with(
            Operation::get("orders", "Orders with planned finish, slack, and how far they have come.")
                .query::<bool>("late", "Only orders that are late by the plan, or only those that are not.")
                .query::<bool>("at_risk", "Only orders whose promise is at risk, or only those whose is not.")
                .query::<WantedState>("state", "Only orders that have come so far.")
                .query::<String>("after", "Only orders after this one in the order book.")
                .query::<Limit>("limit", "At most so many; 100 if not said.")
                .answers::<Listed<OrderView>>(200, "Orders in the order book's order.")
                .conditional(),
            get(orders),
        ),
        Route::new("/api/v1/orders/{id}").with(
            Operation::get("order", "One order.")
                .path::<String>("id", "Id of the order.")
                .answers::<OrderView>(200, "The order.")
                .conditional(),
            get(order),
        ),
    ]
}

/// How many things one part of a list has.
#[derive(JsonSchema)]
#[schemars(transparent)]
#[allow(dead_code, reason = "it is only described")]
pub struct Limit(#[schemars(range(min = 1, max = 500))] u32);

async fn orders(
    State(app): State<App>,
    Wanted(query): Wanted<Query>,
    asked: Asker,
) -> Result<Response, Problem> {
    let limit = limit(query.limit)? as usize;
    let snapshot = app.snapshot();
    let all = &published(&snapshot)?.1.orders;
    let first = match &query.after {
        Some(after) => {
            1 + all.iter().position(|view| view.order.id == *after).ok_or_else(|| no_order(after))?
        }
        None => 0,
    };
    let mut found: Vec<OrderView> =
        all[first..].iter().filter(|view| query.admits(view)).take(limit + 1).cloned().collect();
    let more = found.len() > limit;
    found.truncate(limit);
    let last = found.last().filter(|_| more);
    let next = last.map(|last| query.next(&last.order.id, limit));
    Ok(shown(&asked, &Listed { items: found, next }))
}

impl Query {
    fn admits(&self, view: &OrderView) -> bool {
        self.late.is_none_or(|late| view.order.is_late == late)
            && self.at_risk.is_none_or(|at_risk| view.at_risk == at_risk)
            && self.state.is_none_or(|state| view.state == state.state())
    }

    fn next(&self, after: &str, limit: usize) -> String {
        let mut path = format!("/api/v1/orders?limit={limit}&after={}", encoded(after));
        if let Some(late) = self.late {
            path += &format!("&late={late}");
        }
        if let Some(at_risk) = self.at_risk {
            path += &format!("&at_risk={at_risk}");
        }
        if let Some(state) = self.state {
            path += &format!("&state={}", state.word());
        }
        path
    }
}

/// A text as part of a path or query (RFC 3986, 2.1).
pub fn encoded(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~');
    let one = |byte: u8| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") };
    text.bytes().map(one).collect()
}

async fn order(State(app): State<App>, Named(id): Named, asked: Asker) -> Result<Response, Problem> {
    let snapshot = app.snapshot();
    let orders = &published(&snapshot)?.1.orders;
    let order = orders.iter().find(|view| view.order.id == id).ok_or_else(|| no_order(&id))?;
    Ok(shown(&asked, order))
}

fn no_order(id: &str) -> Problem {
    Problem::not_found(format!("there is no order `{id}` in the plan"))
        .remedy("GET /api/v1/orders lists them")
}
