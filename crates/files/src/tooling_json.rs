//! The tooling question's answer for other people's programs.
//!
//! Keys are in snake case; durations are whole minutes (`..._min`); money is a plain number in
//! `currency`.

use crate::promise_json::lot;
use elbowroom_planner::promise::Buy;
use elbowroom_planner::tooling::{
    Course, DieSet, LateCase, OrderCase, PartCase, Second, Tooling, Verdict, Worn,
};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Money;
use serde_json::{Value, json};

/// An answer as JSON text, indented, with a line break at its end.
#[must_use]
pub fn tooling_json(answer: &Tooling, currency: &str, clock: &PlanClock) -> String {
    let idle = answer
        .idle
        .iter()
        .map(|tool| json!({ "tool": tool.tool, "kind": tool.kind.name(), "parts": tool.parts }));
    let value = json!({
        "format": "elbowroom-tooling/1",
        "currency": currency,
        "buy": answer.buy,
        "cost": answer.cost.amount(),
        "cost_without": answer.cost_without.map(Money::amount),
        "sets": answer.sets.iter().map(|found| set(found, clock)).collect::<Vec<_>>(),
        "idle": idle.collect::<Vec<_>>(),
        "worn": answer.worn.iter().map(worn).collect::<Vec<_>>(),
        "seconds": answer.seconds.iter().map(second).collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}

fn set(set: &DieSet, clock: &PlanClock) -> Value {
    json!({
        "tools": set.tools.iter().map(buy).collect::<Vec<_>>(),
        "price": set.price.amount(),
        "buy": set.buy,
        "plan_buys": set.plan_buys,
        "reason": set.reason,
        "order_by": set.order_by.map(|date| date.to_string()),
        "orders": set.orders.iter().map(|case| order(case, clock)).collect::<Vec<_>>(),
        "parts": set.parts.iter().map(part).collect::<Vec<_>>(),
        "two_weeks_late": set.two_weeks_late.iter().map(|case| late(case, clock)).collect::<Vec<_>>(),
    })
}

fn buy(buy: &Buy) -> Value {
    json!({
        "tool": buy.tool,
        "price": buy.price.amount(),
        "lead_min": buy.lead.count(),
        "estimated": buy.estimated,
    })
}

fn order(case: &OrderCase, clock: &PlanClock) -> Value {
    let told = |found: &Option<Course>| found.as_ref().map(|found| course(found, clock));
    let decision = match case.decision {
        Verdict::Wait => "wait",
        Verdict::Without => "without",
        Verdict::Both => "both",
        Verdict::Other => "other_tools",
    };
    json!({
        "order": case.order,
        "part": case.part,
        "quantity": case.quantity,
        "promised": case.promised.to_string(),
        "wait": told(&case.wait),
        "without": told(&case.without),
        "both": told(&case.both),
        "decision": decision,
    })
}

fn course(course: &Course, clock: &PlanClock) -> Value {
    json!({
        "date": course.date.to_string(),
        "finish": clock.text(course.finish),
        "finish_minute": course.finish.get(),
        "late_min": course.late.count(),
        "making": course.making.amount(),
        "late_cost": course.late_cost.amount(),
        "tools": course.tools.amount(),
        "lots": course.lots.iter().map(|part| lot(part, clock)).collect::<Vec<_>>(),
    })
}

fn part(part: &PartCase) -> Value {
    json!({
        "part": part.part,
        "booked": part.booked,
        "yearly": part.yearly,
        "saving_per_piece": part.saving.map(Money::amount),
        "break_even": part.break_even,
        "chance": part.chance,
    })
}

fn late(case: &LateCase, clock: &PlanClock) -> Value {
    json!({
        "order": case.order,
        "finish": case.finish.map(|finish| clock.text(finish)),
        "late_min": case.late.count(),
        "extra_cost": case.extra_cost.amount(),
    })
}

fn worn(tool: &Worn) -> Value {
    json!({
        "tool": tool.tool,
        "kind": tool.kind.name(),
        "bends": tool.bends,
        "limit": tool.limit,
        "planned": tool.planned,
        "yearly": tool.yearly,
        "worn_out": tool.worn_out.map(|date| date.to_string()),
        "order_by": tool.order_by.map(|date| date.to_string()),
        "near": tool.near,
    })
}

fn second(second: &Second) -> Value {
    let orders =
        second.orders.iter().map(|(order, gain)| json!({ "order": order, "sooner_min": gain.count() }));
    json!({
        "tool": second.tool,
        "orders": orders.collect::<Vec<_>>(),
        "saved": second.saved.amount(),
        "price": second.price.amount(),
        "lead_min": second.lead.count(),
    })
}
