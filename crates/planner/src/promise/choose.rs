//! Which offer to make, and why.

use super::answer::Offer;
use crate::words::listed;
use chrono::NaiveDate;
use elbowroom_bending::process::Process;
use elbowroom_units::Money;

/// What the choice depends on.
#[derive(Clone, Copy)]
pub(crate) struct Terms<'t> {
    /// What a day is worth.
    pub(crate) day_value: Money,
    /// The date that the customer would like.
    pub(crate) wanted: Option<NaiveDate>,
    pub(crate) currency: &'t str,
}

/// Index and reason of the offer with the least cost, days counted in money: days after the wanted
/// date, or after the soonest offer where no date is wanted. In doubt the sooner one.
pub(crate) fn choose(offers: &[Offer], terms: Terms<'_>) -> (usize, String) {
    let soonest = offers.iter().map(|offer| offer.date).min().unwrap_or(NaiveDate::MAX);
    let anchor = terms.wanted.map_or(soonest, |wanted| wanted.max(soonest));
    let weight = |offer: &Offer| {
        let days = (offer.date - anchor).num_days().max(0);
        (offer.cost.total + terms.day_value * days as f64, offer.finish)
    };
    let all = offers.iter().enumerate();
    let best = all.clone().min_by_key(|(_, offer)| weight(offer)).map_or(0, |(at, _)| at);
    // What a planner asks next: and in quite another way?
    let others = all.filter(|(at, _)| *at != best).map(|(_, offer)| offer);
    let rival =
        others.min_by_key(|offer| (kind(offer) == kind(&offers[best]), offer.lots.len(), weight(offer)));
    (best, reason(&offers[best], rival, terms))
}

/// What makes offers different in kind: processes, and whether tools are bought.
fn kind(offer: &Offer) -> (bool, Vec<Process>) {
    (offer.buys_tools(), offer.lots.iter().map(|lot| lot.process).collect())
}

fn reason(chosen: &Offer, rival: Option<&Offer>, terms: Terms<'_>) -> String {
    let (subject, verdict) = (name(chosen), wanted(chosen, terms));
    match rival {
        None => format!("{subject} is the only way there is{verdict}"),
        Some(rival) => format!("{subject} is {}{verdict}", compared(chosen, rival, terms)),
    }
}

/// How the offer stands to the wanted date.
fn wanted(chosen: &Offer, terms: Terms<'_>) -> String {
    let Some(wanted) = terms.wanted else { return String::new() };
    match (chosen.date - wanted).num_days() {
        late @ 1.. => {
            format!("; it is done {} after the wanted date, as early as is worth paying for", days(late))
        }
        _ => "; it is done by the wanted date".to_owned(),
    }
}

fn compared(chosen: &Offer, rival: &Offer, terms: Terms<'_>) -> String {
    let gained = (rival.date - chosen.date).num_days();
    let time = match gained {
        1.. => format!("{} sooner", days(gained)),
        0 => "on the same day".to_owned(),
        _ => format!("{} later", days(-gained)),
    };
    let saved = rival.cost.total - chosen.cost.total;
    let money = if rival.cost.total.same_as(chosen.cost.total) {
        "for the same money".to_owned()
    } else if saved > Money::ZERO {
        format!("{saved} {} cheaper", terms.currency)
    } else {
        format!("{} {} dearer", Money::ZERO - saved, terms.currency)
    };
    let worth = format!("a day counts {} {}", terms.day_value, terms.currency);
    let bargain = (gained >= 0) == (saved >= Money::ZERO);
    let why = if bargain { String::new() } else { format!(" ({worth})") };
    format!("{time} and {money} than {}{why}", name(rival))
}

fn days(count: i64) -> String {
    if count == 1 { "1 day".to_owned() } else { format!("{count} days") }
}

/// An offer in a few words: `rotary draw on draw-2`, `... with CP-28.6 to buy`.
pub(crate) fn name(offer: &Offer) -> String {
    let lots: Vec<String> = offer
        .lots
        .iter()
        .map(|lot| match offer.lots.len() {
            1 => format!("{} on {}", lot.process, lot.cell),
            _ => format!("{} by {} on {}", lot.quantity, lot.process, lot.cell),
        })
        .collect();
    let buys: Vec<&str> = offer.buys.iter().map(|buy| buy.tool.as_str()).collect();
    let lots = listed(&lots, lots.len());
    if buys.is_empty() { lots } else { format!("{lots} with {} to buy", listed(&buys, 3)) }
}
