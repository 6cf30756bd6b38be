//! The tooling question: which dies to buy, wait for or go without; which stand idle, wear out, or
//! are wanted twice.
//!
//! Every order of the plan that could be made with tools which the shop lacks is taken out and asked
//! for again ([`crate::promise`]): waiting for the tools, going without, or a first lot without and
//! the rest with them, each with its date, cost and lateness. Then one integer program ([`decide`])
//! chooses purchases and courses for all orders together, and for the repeat demand that the
//! forecasts of parts expect within a year beyond the order book.
//!
//! # What it does not see
//! Each order's courses are those beside all other orders as the plan has them. Repeat demand is
//! costed at the lot it comes in and finds the cells free.

mod answer;
mod arrival;
mod cases;
mod program;
mod rack;
mod sets;
mod worth;

pub use answer::{Course, DieSet, Idle, LateCase, OrderCase, PartCase, Second, Tooling, Verdict, Worn};
pub use program::{Choice, Decision, decide};
pub use worth::{break_even, chance_of, critical_fractile};

use crate::promise::Standing;
use cases::{Case, cases};
use elbowroom_units::Money;
use sets::sets;

/// Answers the tooling question for a plan that stands. `threads`: how many may look at ways side by
/// side; the answer is the same.
#[must_use]
pub fn tooling(standing: &Standing, threads: usize) -> Tooling {
    let cases = cases(standing, threads);
    let market = Market::new(&cases);
    let decision = decide(&market.prices, &market.choices(&cases));
    let bought = decision.as_ref().map(|decision| decision.buy.clone()).unwrap_or_default();
    let buy = market.ids.iter().zip(bought).filter(|(_, bought)| *bought).map(|(id, _)| id.clone());
    let cost = decision.as_ref().map_or(Money::ZERO, |decision| Money::new(decision.cost));
    let nothing = |case: &Case| case.without().map(|at| case.ways[at].cost());
    Tooling {
        buy: buy.collect(),
        cost,
        cost_without: cases.iter().map(nothing).sum(),
        sets: sets(standing, &cases, decision.as_ref()),
        idle: rack::idle(standing),
        worn: rack::worn(standing),
        seconds: rack::seconds(standing),
    }
}

/// All tools that some case would have to buy.
struct Market {
    ids: Vec<String>,
    prices: Vec<f64>,
}

impl Market {
    fn new(cases: &[Case]) -> Self {
        let offered = cases.iter().flat_map(|case| &case.ways).flat_map(|way| &way.offered);
        let mut tools: Vec<(String, f64)> =
            offered.map(|buy| (buy.tool.clone(), buy.price.amount())).collect();
        tools.sort_by(|a, b| a.0.cmp(&b.0));
        tools.dedup_by(|a, b| a.0 == b.0);
        let (ids, prices) = tools.into_iter().unzip();
        Self { ids, prices }
    }

    fn choices(&self, cases: &[Case]) -> Vec<Vec<Choice>> {
        let tool = |id: &String| self.ids.iter().position(|known| known == id);
        let choice = |way: &cases::CaseWay| Choice {
            cost: way.cost().amount(),
            tools: way.offered.iter().filter_map(|buy| tool(&buy.tool)).collect(),
        };
        cases.iter().map(|case| case.ways.iter().map(choice).collect()).collect()
    }
}
