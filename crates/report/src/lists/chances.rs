//! How sure dates are, promises at risk with what was tried for them, cells that run out of time.

use super::money;
use crate::table::{Table, number, prose, word};
use crate::when::day;
use elbowroom_planner::plan::{Confidence, OrderChance, OrderPlan, Plan, Remedy, Risk};
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_units::{Minutes, Money};

/// Promises at risk, those first that are expected to cost most. Empty without a confidence.
#[must_use]
pub fn risks(plan: &Plan) -> Table {
    let columns = [
        word("Order"),
        word("Promised"),
        number("Kept in 100"),
        word("In the plan"),
        number("Expected cost"),
        prose("Cheapest remedy that was tried"),
        prose("Others"),
    ];
    let percent = plan.confidence.as_ref().map_or(0.0, |sure| 100.0 * sure.at_risk_below);
    let caption = format!(
        "Promises at risk: kept in fewer than {percent:.0} of 100 cases (costs in {})",
        plan.currency
    );
    let mut table = Table::new(caption, "no promise is at risk", &columns);
    for risk in plan.confidence.iter().flat_map(|sure| &sure.risks) {
        let order = plan.orders.iter().find(|order| order.id == risk.order);
        let cells = vec![
            risk.order.clone(),
            order.map_or_else(String::new, |order| day(order.promised)),
            in_100(risk.kept),
            in_plan(risk),
            risk.expected_cost.to_string(),
            first_remedy(plan, risk),
            other_remedies(plan, risk),
        ];
        table.push(cells, risk.late_in_plan > Minutes::ZERO);
    }
    table.note = plan.confidence.as_ref().map(note);
    table
}

fn note(sure: &Confidence) -> String {
    format!(
        "The plan was carried out {} times by chance, as dispatched: nobody replans, and a lot that cannot \
         begin at its turn lets the next one go first. How far times, scrap, breakdowns, material and tools \
         stray is said in uncertainty.toml.",
        sure.runs
    )
}

/// A share as cases of 100; 100 only for all of them.
#[must_use]
pub fn in_100(share: f64) -> String {
    let cases = 100.0 * share;
    let rounded = if cases < 100.0 { cases.round().min(99.0) } else { 100.0 };
    format!("{rounded:.0}")
}

fn in_plan(risk: &Risk) -> String {
    if risk.late_in_plan > Minutes::ZERO {
        format!("late by {}", risk.late_in_plan)
    } else {
        "in time".to_owned()
    }
}

fn first_remedy(plan: &Plan, risk: &Risk) -> String {
    match (risk.remedies.first(), risk.all_tried) {
        (Some(remedy), _) => told(plan, remedy),
        (None, true) => "nothing that was tried helps without making another order late".to_owned(),
        (None, false) => "not tried".to_owned(),
    }
}

fn other_remedies(plan: &Plan, risk: &Risk) -> String {
    risk.remedies.iter().skip(1).map(|remedy| told(plan, remedy)).collect::<Vec<_>>().join("; ")
}

/// What to do, how sure the promise is then, and what it costs.
#[must_use]
pub fn told(plan: &Plan, remedy: &Remedy) -> String {
    let mut text =
        format!("{}: kept in {} of 100, {}", remedy.text, in_100(remedy.kept), extra(plan, remedy));
    if !remedy.puts_at_risk.is_empty() {
        text += &format!("; puts {} at risk", remedy.puts_at_risk.join(", "));
    }
    text
}

/// What a remedy costs more than the plan, or saves.
#[must_use]
pub fn extra(plan: &Plan, remedy: &Remedy) -> String {
    let cost = money(remedy.cost.abs(), &plan.currency);
    match remedy.cost.cmp(&Money::ZERO) {
        _ if remedy.cost.abs() < Money::new(0.005) => "at no cost".to_owned(),
        std::cmp::Ordering::Less => format!("saves {cost}"),
        _ => format!("+{cost}"),
    }
}

/// How sure every order is, the least sure first.
#[must_use]
pub fn chances(plan: &Plan) -> Table {
    let columns = [
        word("Order"),
        word("Part"),
        word("Promised"),
        number("Kept in 100"),
        word("Date kept in 50"),
        word("Date kept in 80"),
        word("Date kept in 95"),
    ];
    let mut table = Table::new("How sure every promise is", "nothing has been carried out", &columns);
    for (order, chance) in least_sure_first(plan) {
        let cells = vec![
            order.id.clone(),
            order.part.clone(),
            day(order.promised),
            in_100(chance.kept),
            day(chance.dates.in_50),
            day(chance.dates.in_80),
            day(chance.dates.in_95),
        ];
        let at_risk = plan.confidence.as_ref().is_some_and(|sure| chance.kept < sure.at_risk_below);
        table.push(cells, at_risk);
    }
    table
}

/// Orders with their chances, the least sure first.
#[must_use]
pub fn least_sure_first(plan: &Plan) -> Vec<(&OrderPlan, &OrderChance)> {
    let chances = plan.confidence.iter().flat_map(|sure| &sure.orders);
    let mut pairs: Vec<_> = chances
        .filter_map(|chance| Some((plan.orders.iter().find(|order| order.id == chance.order)?, chance)))
        .collect();
    pairs.sort_by(|a, b| a.1.kept.total_cmp(&b.1.kept));
    pairs
}

/// How often each cell has not done by the end of a week what is planned until then.
#[must_use]
pub fn out_of_time(plan: &Plan) -> Table {
    let columns = [word("Week"), word("Cell"), number("Out of time in 100")];
    let caption = "Cells that have not done by the end of the week what is planned until then";
    let mut table = Table::new(caption, "nothing has been carried out", &columns);
    let mut cells: Vec<_> = plan.confidence.iter().flat_map(|sure| &sure.cells).collect();
    cells.sort_by(|a, b| a.week.cmp(&b.week).then(b.out_of_time.total_cmp(&a.out_of_time)));
    for chance in cells {
        let week = IsoWeek::new(chance.week.0, chance.week.1)
            .map_or_else(|_| format!("{:04}-W{:02}", chance.week.0, chance.week.1), |week| week.to_string());
        table.push(vec![week, chance.cell.clone(), in_100(chance.out_of_time)], false);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_of_100_is_said_only_of_all() {
        assert_eq!(in_100(0.0), "0");
        assert_eq!(in_100(0.834), "83");
        assert_eq!(in_100(0.998), "99");
        assert_eq!(in_100(1.0), "100");
    }
}
