use super::{Source, money};
use crate::compile::arrival;
use crate::plan::Purchase;
use crate::timeline::At;
use chrono::NaiveDate;
use elbowroom_problem::{Availability, ToolIdx};
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeSet;

/// What to buy, first use first.
pub(crate) fn purchases(source: &Source<'_>) -> Vec<Purchase> {
    let mut list: Vec<Purchase> =
        source.line.schedule.purchases.iter().map(|tool| purchase(source, *tool)).collect();
    list.sort_by(|a, b| (a.first_use, &a.tool).cmp(&(b.first_use, &b.tool)));
    list
}

fn purchase(source: &Source<'_>, tool: ToolIdx) -> Purchase {
    let line = source.line;
    let users: Vec<At> = line.on_tool(tool).to_vec();
    let first_use = users.iter().map(|at| line.placed(*at).setup_start).min();
    let first_use = first_use.unwrap_or_else(|| usable_from(source, tool));
    let orders: BTreeSet<usize> =
        users.iter().map(|at| source.key.job(line.placed(*at).option.job).order).collect();
    let key = source.key.tool(tool);
    let lead = key.lead.unwrap_or(Minutes::ZERO);
    Purchase {
        tool: line.problem.tool(tool).id.clone(),
        kind: key.kind,
        price: money::price(line, tool),
        estimated: key.estimated,
        lead,
        order_by: order_by(source, lead, first_use),
        first_use,
        orders: orders.into_iter().map(|order| source.shop.orders[order].id.clone()).collect(),
    }
}

fn usable_from(source: &Source<'_>, tool: ToolIdx) -> Minute {
    match source.line.problem.tool(tool).availability {
        Availability::Offer { lead, .. } => lead,
        Availability::From(minute) => minute,
    }
}

/// The last day on which ordering still brings something in before its first use; the plan's start
/// at the earliest.
pub(crate) fn order_by(source: &Source<'_>, lead: Minutes, first_use: Minute) -> NaiveDate {
    let start = source.clock.start();
    let in_time = |day: &NaiveDate| arrival(source.clock, &source.shop.terms, *day, lead) <= first_use;
    // Later days only bring it later, so stop at the first that is too late.
    start.iter_days().take_while(in_time).last().unwrap_or(start)
}
