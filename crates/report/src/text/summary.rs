//! What a planner wants to know first, on one screen.

use super::render::wrap;
use crate::charts::machine_time::weeks;
use crate::clean::plain;
use crate::lists::chances::{extra, in_100};
use crate::lists::orders::{cause, latest_first};
use crate::lists::tooling::most_urgent_first;
use crate::lists::{NO_BREAK, money, tube};
use crate::when::day;
use elbowroom_planner::plan::{Cause, LeftOut, Load, NoTooling, OrderPlan, Plan, Purchase, Remedy, Risk};
use elbowroom_units::{Minutes, Money};
use std::collections::BTreeMap;

/// Width of the column of headings.
const HEADING: usize = 12;
/// Most tools and orders named one by one.
const MOST_NAMED: usize = 3;

/// Headings and sentences, the most wanted first.
#[must_use]
pub fn facts(plan: &Plan) -> Vec<(&'static str, String)> {
    let mut facts = vec![("Orders", orders(plan))];
    facts.extend(worst(plan).map(|text| ("Worst", text)));
    facts.extend(at_risk(plan));
    facts.push(("Cost", cost(plan)));
    facts.push(("Proven", proven(plan)));
    facts.push(("Buy", buy(plan)));
    facts.extend(tube::in_short(plan).map(|text| ("Tube", text)));
    facts.extend(without_tooling(plan).map(|text| ("No tooling", text)));
    facts.extend(bottleneck(plan).map(|text| ("Bottleneck", text)));
    facts.extend(left_out(plan).map(|text| ("Left out", text)));
    facts
}

/// The summary as text no wider than `width`.
#[must_use]
pub fn text(plan: &Plan, width: usize) -> String {
    let mut lines = wrap(&plain(&headline(plan)), width);
    lines.push(String::new());
    for (heading, text) in facts(plan) {
        let indent = if width > 3 * HEADING { HEADING } else { 2 };
        let words = wrap(&plain(&text), width.saturating_sub(indent));
        if indent < HEADING {
            lines.push(heading.to_owned());
        }
        for (i, line) in words.into_iter().enumerate() {
            let lead = if i == 0 && indent == HEADING { heading } else { "" };
            lines.push(format!("{lead:<indent$}{line}"));
        }
    }
    lines.join("\n") + "\n"
}

/// Shop, first day and weeks.
#[must_use]
pub fn headline(plan: &Plan) -> String {
    let weeks = if plan.weeks == 1 { "1 week".to_owned() } else { format!("{} weeks", plan.weeks) };
    format!("{}: plan from {} for {weeks}", plan.shop, day(plan.start))
}

fn orders(plan: &Plan) -> String {
    let late = plan.orders.iter().filter(|order| order.is_late()).count();
    let mut text =
        format!("{} planned: {} on time, {late} late", plan.orders.len(), plan.orders.len() - late);
    if !plan.left_out.is_empty() {
        text += &format!("; {} left out", plan.left_out.len());
    }
    text
}

fn worst(plan: &Plan) -> Option<String> {
    let late = latest_first(plan);
    let order = late.first()?;
    let mut text = format!("{} is {} late (promised {})", order.id, order.lateness(), day(order.promised));
    if let Some(reason) = &order.late {
        text += &format!(": {}", reason.text.trim_end_matches('.'));
    }
    let others = causes(&late);
    if late.len() > 1 && !others.is_empty() {
        text += &format!(". All late orders by what holds them up: {others}");
    }
    Some(text)
}

/// How many promises are at risk, and on a line each what helps the first of them that can be helped.
fn at_risk(plan: &Plan) -> Vec<(&'static str, String)> {
    let Some(sure) = &plan.confidence else { return Vec::new() };
    let percent = 100.0 * sure.at_risk_below;
    if sure.risks.is_empty() {
        return vec![("At risk", format!("no promise: each is kept in at least {percent:.0} of 100 cases"))];
    }
    let promises = if sure.risks.len() == 1 { "promise is" } else { "promises are" };
    let mut first = format!("{} {promises} kept in fewer than {percent:.0} of 100 cases", sure.risks.len());
    // Those with a remedy first: they are what somebody can do something about.
    let cured =
        sure.risks.iter().filter_map(|risk| Some((risk, risk.remedies.first().filter(|best| best.cures)?)));
    let named: Vec<_> =
        cured.take(MOST_NAMED).map(|(risk, best)| ("Remedy", remedied(plan, risk, best))).collect();
    if named.is_empty() {
        let most = &sure.risks[0];
        first += &format!("; most to lose: {} ({} in 100)", most.order, in_100(most.kept));
    }
    std::iter::once(("At risk", first)).chain(named).collect()
}

/// `O-2041: Saturday 2026-12-12 on wash-1: kept in 91 instead of 12, +410.00 EUR`.
fn remedied(plan: &Plan, risk: &Risk, best: &Remedy) -> String {
    let (now, then) = (in_100(risk.kept), in_100(best.kept));
    format!("{}: {}: kept in {then} instead of {now}, {}", risk.order, best.brief, extra(plan, best))
}

/// How many orders wait for what, the commonest cause first.
fn causes(late: &[&OrderPlan]) -> String {
    let mut counts = BTreeMap::new();
    for reason in late.iter().filter_map(|order| order.late.as_ref()) {
        *counts.entry(reason.cause).or_insert(0) += 1;
    }
    let mut counts: Vec<_> = counts.into_iter().collect();
    counts.sort_by_key(|&(_, count)| std::cmp::Reverse(count));
    counts.into_iter().map(|(why, count)| format!("{count} {}", cause(why))).collect::<Vec<_>>().join(", ")
}

fn cost(plan: &Plan) -> String {
    let sum = &plan.money;
    let parts = [
        ("running", sum.run),
        ("changing over", sum.setup),
        ("outside work", sum.outside),
        ("tools to buy", sum.purchases),
        ("being late", sum.late),
    ];
    let named = parts
        .iter()
        .filter(|part| part.1 != Money::ZERO)
        .map(|(name, amount)| format!("{name} {}", unbroken(*amount)));
    format!("{}: {}", money(sum.total, &plan.currency), named.collect::<Vec<_>>().join(", "))
}

fn unbroken(amount: Money) -> String {
    amount.to_string().replace(' ', &NO_BREAK.to_string())
}

fn proven(plan: &Plan) -> String {
    let Some(bound) = plan.lower_bound else {
        return "how much cheaper a plan could be is not known".to_owned();
    };
    let gap = plan.money.total - bound;
    if gap <= Money::ZERO || bound.same_as(plan.money.total) {
        return "no plan for these orders costs less".to_owned();
    }
    let share = 100.0 * gap.amount() / plan.money.total.amount();
    let bound = money(bound, &plan.currency);
    format!(
        "no plan for these orders costs less than {bound}: at most {share:.1}\u{A0}% could still be saved"
    )
}

fn buy(plan: &Plan) -> String {
    let tools = most_urgent_first(plan);
    if tools.is_empty() {
        return "nothing".to_owned();
    }
    let one = |tool: &&Purchase| {
        let about = if tool.estimated { "about " } else { "" };
        format!("{} ({about}{}) by {}", tool.tool, money(tool.price, &plan.currency), day(tool.order_by))
    };
    named(tools.iter().map(one).collect(), "; ")
}

/// The first few of a list, and how many more there are.
fn named(mut list: Vec<String>, between: &str) -> String {
    let more = list.len().saturating_sub(MOST_NAMED);
    list.truncate(MOST_NAMED);
    if more > 0 {
        list.push(format!("and {more} more"));
    }
    list.join(between)
}

fn without_tooling(plan: &Plan) -> Option<String> {
    let flags = &plan.no_tooling;
    if flags.is_empty() {
        return None;
    }
    let count = |keep: &dyn Fn(&NoTooling) -> bool| flags.iter().filter(|f| keep(f)).count();
    let (sooner, cheaper) = (count(&|flag| flag.sooner()), count(&|flag| flag.cheaper()));
    let without = count(&|flag| !flag.plan_waits);
    Some(format!(
        "{} could be bent without new tools, {sooner} of them sooner and {cheaper} cheaper than by waiting; \
         the plan does so for {without}",
        plural(flags.len(), "order")
    ))
}

fn plural(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// The cell that late orders wait for longest; where none does, the cell that is fullest over the
/// plan's weeks.
fn bottleneck(plan: &Plan) -> Option<String> {
    let mut sums: Vec<(&str, Minutes, Minutes)> = Vec::new();
    let weeks = weeks(plan);
    let shown = |load: &&Load| weeks.iter().any(|week| load.week == (week.year(), week.number()));
    plan.loads.iter().filter(shown).for_each(|load| add(&mut sums, load));
    sums.retain(|sum| sum.2 > Minutes::ZERO);
    let share = |sum: &(&str, Minutes, Minutes)| sum.1.hours() / sum.2.hours();
    let fullest = sums.iter().max_by(|a, b| share(a).total_cmp(&share(b)))?;
    let waits = waits(plan);
    let longest = waits.iter().max_by_key(|wait| wait.1);
    let longest = longest.and_then(|wait| Some((wait, sums.iter().find(|sum| sum.0 == wait.0)?)));
    let (held_up, sum) = longest.map_or((0, fullest), |(wait, sum)| (wait.2, sum));
    let name = plan.cells.iter().find(|cell| cell.id == sum.0).map_or(sum.0, |cell| &cell.name);
    let (work, open) = (sum.1.hours(), sum.2.hours());
    let load = format!("{work:.1} h of work in {open:.1} h open ({:.0}\u{A0}%)", 100.0 * share(sum));
    Some(match held_up {
        0 => format!("{name} is the fullest cell: {load}"),
        1 => format!("{name}, for which 1 late order waits: {load}"),
        _ => format!("{name}, for which {held_up} late orders wait: {load}"),
    })
}

/// How long late orders wait for busy cells, and how many orders do: by cell, in the plan's order.
fn waits(plan: &Plan) -> Vec<(&str, Minutes, usize)> {
    let mut waits: Vec<_> = plan.cells.iter().map(|cell| (cell.id.as_str(), Minutes::ZERO, 0)).collect();
    for order in &plan.orders {
        let Some(late) = order.late.as_ref().filter(|late| late.cause == Cause::Cell) else { continue };
        let place = order.steps.iter().find(|step| step.name == late.step).map(|step| step.place.as_str());
        if let Some(wait) = waits.iter_mut().find(|wait| Some(wait.0) == place) {
            wait.1 += late.waited;
            wait.2 += 1;
        }
    }
    waits.retain(|wait| wait.2 > 0);
    waits
}

fn add<'a>(sums: &mut Vec<(&'a str, Minutes, Minutes)>, load: &'a Load) {
    let work = load.run + load.setup;
    match sums.iter_mut().find(|sum| sum.0 == load.cell) {
        Some(sum) => {
            sum.1 += work;
            sum.2 += load.open;
        }
        None => sums.push((&load.cell, work, load.open)),
    }
}

/// Orders left out, each with its first reason.
fn left_out(plan: &Plan) -> Option<String> {
    let one = |order: &LeftOut| {
        let first = order.reasons.first().map_or("", String::as_str);
        let more = order.reasons.len().saturating_sub(1);
        let more = if more > 0 { format!(" (and {})", plural(more, "more reason")) } else { String::new() };
        format!("{}: {first}{more}", order.order)
    };
    let list: Vec<String> = plan.left_out.iter().map(one).collect();
    (!list.is_empty()).then(|| named(list, ". "))
}
