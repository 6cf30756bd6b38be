//! Orders: when, how and where they are made, and why some are late.

use crate::table::{Table, number, prose, word};
use crate::when::{day, lateness, moment};
use elbowroom_planner::plan::{Cause, OrderPlan, Plan};
use std::cmp::Reverse;

/// Late orders, the latest first, each with what it waits for.
#[must_use]
pub fn late(plan: &Plan) -> Table {
    let columns = [
        word("Order"),
        word("Part"),
        word("Promised"),
        word("Finished"),
        word("Late by"),
        prose("Held up by"),
        prose("Why"),
    ];
    let mut table = Table::new("Late orders", "every order is finished by its promised date", &columns);
    for order in latest_first(plan) {
        let cause = order.late.as_ref().map_or("", |late| cause(late.cause));
        let why = order.late.as_ref().map_or_else(String::new, |late| late.text.clone());
        let cells = vec![
            order.id.clone(),
            order.part.clone(),
            day(order.promised),
            moment(&plan.clock, order.finish),
            order.lateness().to_string(),
            cause.to_owned(),
            why,
        ];
        table.push(cells, true);
    }
    table
}

/// The late orders, the latest first.
#[must_use]
pub fn latest_first(plan: &Plan) -> Vec<&OrderPlan> {
    let mut late: Vec<_> = plan.orders.iter().filter(|order| order.is_late()).collect();
    late.sort_by_key(|order| Reverse(order.lateness()));
    late
}

/// A cause in a few words.
#[must_use]
pub const fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::DieArrival => "a tool not yet in the house",
        Cause::DieInUse => "a tool in use elsewhere",
        Cause::Material => "its tube",
        Cause::Cell => "a busy cell",
        Cause::Setter => "the setter",
        Cause::Operator => "operators",
        Cause::DaysLeft => "too few days left",
        Cause::Choice => "dearer orders go first",
    }
}

/// All orders in the order book's order.
#[must_use]
pub fn all(plan: &Plan) -> Table {
    let columns = [
        word("Order"),
        word("Part"),
        number("Pieces"),
        word("Promised"),
        word("Finished"),
        word("Spare or late"),
        prose("How"),
        prose("Where"),
        number("Cost"),
    ];
    let caption = format!("All orders (cost in {}, lateness included)", plan.currency);
    let mut table = Table::new(caption, "no orders", &columns);
    for order in &plan.orders {
        let cells = vec![
            order.id.clone(),
            order.part.clone(),
            order.quantity.to_string(),
            day(order.promised),
            moment(&plan.clock, order.finish),
            standing(order),
            how(order).to_owned(),
            route(order),
            order.cost.to_string(),
        ];
        table.push(cells, order.is_late());
    }
    table
}

/// Spare time or lateness; lateness in capitals, so that it stands out without colour.
fn standing(order: &OrderPlan) -> String {
    let words = lateness(order.lateness());
    if order.is_late() { words.replace("late", "LATE") } else { words }
}

/// How an order is bent.
#[must_use]
pub fn how(order: &OrderPlan) -> &'static str {
    order.process.map_or("bent already", |process| process.name())
}

/// Where its steps are done, in order.
#[must_use]
pub fn route(order: &OrderPlan) -> String {
    let place = |step: &elbowroom_planner::plan::Step| {
        if step.outside { format!("{} (outside)", step.place) } else { step.place.clone() }
    };
    order.steps.iter().map(place).collect::<Vec<_>>().join(" > ")
}

/// Orders that cannot be made, with every reason.
#[must_use]
pub fn left_out(plan: &Plan) -> Table {
    let columns = [word("Order"), word("Part"), prose("Why it cannot be made")];
    let mut table = Table::new("Orders left out of the plan", "none; every order is planned", &columns);
    for order in &plan.left_out {
        table.push(vec![order.order.clone(), order.part.clone(), order.reasons.join("; ")], true);
    }
    table
}
