//! Tools to buy, and orders that could go without.

use super::{ids, money};
use crate::table::{Table, number, prose, word};
use crate::when::{day, moment};
use elbowroom_planner::plan::{Course, NoTooling, Plan, Purchase};

/// Tools to buy, the most urgent first.
#[must_use]
pub fn purchases(plan: &Plan) -> Table {
    let columns = [
        word("Order it by"),
        word("Tool"),
        word("Kind"),
        number("Price"),
        word("Lead time"),
        word("First used"),
        prose("For orders"),
    ];
    let caption =
        format!("Tooling to buy (prices in {}; ~ is an estimate, ask the tool maker)", plan.currency);
    let mut table = Table::new(caption, "nothing needs buying", &columns);
    for tool in most_urgent_first(plan) {
        let estimate = if tool.estimated { "~" } else { "" };
        let cells = vec![
            day(tool.order_by),
            tool.tool.clone(),
            tool.kind.to_string(),
            format!("{estimate}{}", tool.price),
            format!("{estimate}{}", tool.lead),
            moment(&plan.clock, tool.first_use),
            ids(&tool.orders),
        ];
        table.push(cells, false);
    }
    table
}

/// The tools to buy by the day on which they must be ordered.
#[must_use]
pub fn most_urgent_first(plan: &Plan) -> Vec<&Purchase> {
    let mut tools: Vec<_> = plan.purchases.iter().collect();
    tools.sort_by_key(|tool| tool.order_by);
    tools
}

/// Orders that could wait for new tools or go without them, with both ways.
#[must_use]
pub fn no_tooling(plan: &Plan) -> Table {
    let columns = [
        word("Order"),
        prose("Without new tools"),
        prose("Waiting for new tools"),
        prose("Tools to wait for"),
        prose("Without them it is"),
        prose("The plan"),
    ];
    let caption = "Orders that need not wait for new tooling";
    let empty = "no order finishes sooner or cheaper without new tooling";
    let mut table = Table::new(caption, empty, &columns);
    for flag in &plan.no_tooling {
        let cells = vec![
            flag.order.clone(),
            course(plan, &flag.without),
            course(plan, &flag.waiting),
            ids(&flag.tools),
            gain(plan, flag),
            decision(flag),
        ];
        table.push(cells, flag.sooner() && flag.cheaper() && flag.plan_waits);
    }
    table
}

fn course(plan: &Plan, course: &Course) -> String {
    let finish = moment(&plan.clock, course.finish);
    format!("{} on {}, {finish}, {}", course.process, course.cell, money(course.cost, &plan.currency))
}

/// How the way without new tools compares: sooner or later, cheaper or dearer.
#[must_use]
pub fn gain(plan: &Plan, flag: &NoTooling) -> String {
    let time = flag.waiting.finish - flag.without.finish;
    let time = match time.count() {
        0 => "as soon".to_owned(),
        1.. => format!("{time} sooner"),
        _ => format!("{} later", flag.without.finish - flag.waiting.finish),
    };
    let (with, without) = (flag.waiting.cost, flag.without.cost);
    let cost = if with.same_as(without) {
        "as dear".to_owned()
    } else if flag.cheaper() {
        format!("{} cheaper", money(with - without, &plan.currency))
    } else {
        format!("{} dearer", money(without - with, &plan.currency))
    };
    format!("{time}, {cost}")
}

/// Which way the plan takes, and the reason that speaks for it.
#[must_use]
pub fn decision(flag: &NoTooling) -> String {
    match (flag.plan_waits, flag.sooner(), flag.cheaper()) {
        (false, true, true) => "goes without: sooner and cheaper",
        (false, true, false) => "goes without: sooner",
        (false, false, true) => "goes without: cheaper",
        (false, false, false) => "goes without: other orders need the time or the money more",
        (true, false, _) => "waits: sooner with the new tools",
        (true, true, false) => "waits: cheaper with the new tools",
        (true, true, true) => "waits: the new tools serve other orders as well",
    }
    .to_owned()
}
