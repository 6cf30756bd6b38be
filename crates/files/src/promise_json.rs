//! Answers to inquiries for other people's programs.
//!
//! Keys are in snake case; durations are whole minutes (`..._min`); money is a plain number in
//! `currency`; `cost.in_plan` is what the plan's own cost would grow by.

use elbowroom_planner::promise::{Answer, Binding, Cost, Forced, Harm, Limit, Lot, Offer};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Money;
use serde_json::{Value, json};

/// An answer as a JSON value. `currency`: code of all money; `clock`: the plan's.
#[must_use]
pub fn promise_value(answer: &Answer, currency: &str, clock: &PlanClock) -> Value {
    let asked = &answer.inquiry;
    json!({
        "order": asked.id,
        "part": asked.part,
        "quantity": asked.quantity,
        "wanted": asked.wanted.map(|date| date.to_string()),
        "material": asked.material.map(|date| date.to_string()),
        "customer": asked.customer,
        "currency": currency,
        "day_value": answer.day_value.amount(),
        "recommended": answer.recommended,
        "promise": answer.told(answer.best()).to_string(),
        "reason": answer.reason,
        "offers": answer.offers.iter().map(|found| offer(found, clock)).collect::<Vec<_>>(),
        "refused": answer.refused,
    })
}

fn offer(offer: &Offer, clock: &PlanClock) -> Value {
    let buys = offer.buys.iter().map(|buy| {
        json!({
            "tool": buy.tool,
            "price": buy.price.amount(),
            "lead_min": buy.lead.count(),
            "estimated": buy.estimated,
        })
    });
    json!({
        "date": offer.date.to_string(),
        "finish": clock.text(offer.finish),
        "finish_minute": offer.finish.get(),
        "not_before": offer.not_before.to_string(),
        "lots": offer.lots.iter().map(|part| lot(part, clock)).collect::<Vec<_>>(),
        "buys": buys.collect::<Vec<_>>(),
        "awaits": offer.awaits,
        "cost": cost(&offer.cost),
        "binding": binding(&offer.binding),
        "kept": offer.kept.map(|kept| {
            json!({
                "in_50": kept.in_50.to_string(),
                "in_80": kept.in_80.to_string(),
                "in_95": kept.in_95.to_string(),
            })
        }),
        "advised": offer.advised.map(|advised| {
            json!({
                "date": advised.date.to_string(),
                "worth": advised.worth,
                "kept": advised.kept,
                "late_day": advised.late_day.amount(),
                "later_day": advised.later_day.amount(),
            })
        }),
        "forced": offer.forced.as_ref().map(|found| forced(found, clock)),
    })
}

pub(crate) fn lot(lot: &Lot, clock: &PlanClock) -> Value {
    json!({
        "quantity": lot.quantity,
        "process": lot.process.name(),
        "cell": lot.cell,
        "date": lot.date.to_string(),
        "finish": clock.text(lot.finish),
        "finish_minute": lot.finish.get(),
    })
}

fn cost(cost: &Cost) -> Value {
    let amount = |money: Option<Money>| money.map(Money::amount);
    json!({
        "making": cost.making.amount(),
        "tools": cost.tools.amount(),
        "others": cost.others.amount(),
        "in_plan": cost.in_plan().amount(),
        "tube": amount(cost.tube),
        "total": cost.total.amount(),
        "per_piece": cost.per_piece.amount(),
        "price_per_piece": amount(cost.price_per_piece),
    })
}

fn binding(binding: &Binding) -> Value {
    json!({
        "limit": limit(binding.limit),
        "minutes": binding.minutes.count(),
        "text": binding.text,
    })
}

fn limit(limit: Limit) -> &'static str {
    match limit {
        Limit::OtherWork => "other_work",
        Limit::ToolArrival => "tool_arrival",
        Limit::Material => "material",
        Limit::Work => "work",
    }
}

fn forced(forced: &Forced, clock: &PlanClock) -> Value {
    json!({
        "date": forced.date.to_string(),
        "finish": clock.text(forced.finish),
        "finish_minute": forced.finish.get(),
        "extra_cost": forced.extra_cost.amount(),
        "harms": forced.harms.iter().map(harm).collect::<Vec<_>>(),
    })
}

fn harm(harm: &Harm) -> Value {
    json!({
        "order": harm.order,
        "promised": harm.promised.to_string(),
        "was_late_min": harm.was_late.count(),
        "becomes_late_min": harm.becomes_late.count(),
    })
}
