//! The answer to an inquiry, for whoever has the customer on the phone.

use crate::lists::chances::in_100;
use crate::lists::money;
use crate::table::{Table, number, prose, word};
use crate::text::render;
use crate::when::{day, lateness};
use elbowroom_planner::promise::{Answer, Forced, Harm, Offer};
use elbowroom_units::Money;

/// Orders named that forcing makes late; beyond so many they are counted.
const NAMED: usize = 4;

/// An answer as text no wider than `width`: the recommendation, then every way in a table.
#[must_use]
pub fn text(answer: &Answer, currency: &str, width: usize) -> String {
    let mut out = render::wrap(&crate::clean::plain(&question(answer)), width).join("\n") + "\n\n";
    for line in recommendation(answer, currency) {
        out += &(render::wrap(&crate::clean::plain(&line), width).join("\n") + "\n");
    }
    out.push('\n');
    out += &render::table(&offers(answer, currency), width);
    out.push('\n');
    out += &render::table(&limits(answer, currency), width);
    if !answer.refused.is_empty() {
        let more = answer.refused.len().saturating_sub(NAMED);
        let more =
            if more > 0 { format!("; and {more} more reasons (`--json` has them)") } else { String::new() };
        let first = &answer.refused[..answer.refused.len().min(NAMED)];
        let refused = format!("Ruled out: {}{more}", first.join("; "));
        out += &("\n".to_owned() + &render::wrap(&crate::clean::plain(&refused), width).join("\n") + "\n");
    }
    out
}

fn question(answer: &Answer) -> String {
    let asked = &answer.inquiry;
    let customer = asked.customer.as_ref().map_or_else(String::new, |name| format!(" for {name}"));
    let wanted = asked.wanted.map_or_else(String::new, |date| format!(", wanted {}", day(date)));
    let tube = asked.material.map_or_else(String::new, |date| format!("; its tube is here on {}", day(date)));
    format!("{} of {}{customer}{wanted}{tube} ({})", asked.quantity, asked.part, asked.id)
}

fn recommendation(answer: &Answer, currency: &str) -> Vec<String> {
    let best = answer.best();
    let mut lines = vec![told(answer, currency), format!("Made how: {}.", answer.reason)];
    let cost = &best.cost;
    let mut parts = vec![format!("making {}", cost.making)];
    if cost.tools > Money::ZERO {
        parts.push(format!("tools {}", cost.tools));
    }
    if !cost.others.same_as(Money::ZERO) {
        parts.push(format!("other orders' changeovers {}", dearer(cost.others, "")));
    }
    parts.push(cost.tube.map_or_else(|| "tube not priced".to_owned(), |tube| format!("tube {tube}")));
    let price = cost.price_per_piece.map_or_else(
        || format!("{} a piece at cost (shop.toml states no margin)", money(cost.per_piece, currency)),
        |price| format!("price {} a piece", money(price, currency)),
    );
    lines.push(format!("Cost {}: {}; {price}.", money(cost.total, currency), parts.join(", ")));
    if let Some(kept) = best.kept {
        lines.push(format!(
            "How sure: finished by {} in 50 of 100 cases, by {} in 80, by {} in 95.",
            day(kept.in_50),
            day(kept.in_80),
            day(kept.in_95)
        ));
    }
    lines.push(format!("What binds: {}.", best.binding.text));
    lines
}

/// The date to tell the customer, which is the one that is booked, and what speaks for it.
fn told(answer: &Answer, currency: &str) -> String {
    let (best, told) = (answer.best(), answer.told(answer.best()));
    let date = format!("Promise {}", day(told));
    let soonest = if told > best.date {
        format!("the soonest would be {}", day(best.date))
    } else {
        "the soonest that makes no other order late".to_owned()
    };
    let Some(advised) = best.advised else {
        return match answer.inquiry.wanted {
            Some(wanted) if wanted == told && told > best.date => format!("{date}, as wanted; {soonest}."),
            _ => format!("{date}: {soonest}."),
        };
    };
    format!(
        "{date}: kept in {} of 100 cases; {:.0} of 100 are enough where a late day costs {} and promising a day \
         later {}; {soonest}.",
        in_100(advised.kept),
        100.0 * advised.worth,
        money(advised.late_day, currency),
        money(advised.later_day, currency)
    )
}

/// Every way, soonest first; the recommended one marked.
#[must_use]
pub fn offers(answer: &Answer, currency: &str) -> Table {
    let columns = [
        word(""),
        prose("Made how"),
        word("Soonest"),
        word("Not before"),
        number("Cost"),
        number("A piece"),
        word("Kept in 80 of 100"),
    ];
    let sure = |offer: &Offer| offer.kept.map_or_else(String::new, |kept| day(kept.in_80));
    let caption = format!("Ways of making it (costs and prices in {currency}; > is recommended)");
    let mut table = Table::new(caption, "there is no way", &columns);
    for (at, offer) in answer.offers.iter().enumerate() {
        let price = offer.cost.price_per_piece.unwrap_or(offer.cost.per_piece);
        let cells = vec![
            numbered(answer, at),
            made(offer),
            day(offer.date),
            day(offer.not_before),
            offer.cost.total.to_string(),
            price.to_string(),
            sure(offer),
        ];
        table.push(cells, at == answer.recommended);
    }
    table.note = Some(
        "Soonest: the first date for which no order that is on time becomes late, and no late one later. Not before: no plan \
         could keep an earlier date on this way, not even in an empty shop."
            .to_owned(),
    );
    table
}

/// What stands in the way of each, and what it would do to others if it were forced in.
#[must_use]
pub fn limits(answer: &Answer, currency: &str) -> Table {
    let columns = [word(""), prose("What binds"), prose("Forced in")];
    let mut table = Table::new("And sooner?", "there is no way", &columns);
    for (at, offer) in answer.offers.iter().enumerate() {
        let forced = offer.forced.as_ref().map_or_else(|| "-".to_owned(), |forced| force(forced, currency));
        let cells = vec![numbered(answer, at), offer.binding.text.clone(), forced];
        table.push(cells, at == answer.recommended);
    }
    table.note =
        Some("Forced in: before other work, which keeps its sequence, at the least cost in all.".to_owned());
    table
}

fn numbered(answer: &Answer, at: usize) -> String {
    let mark = if at == answer.recommended { ">" } else { "" };
    format!("{mark}{}", at + 1)
}

fn made(offer: &Offer) -> String {
    let lots: Vec<String> = offer
        .lots
        .iter()
        .map(|lot| match offer.lots.len() {
            1 => format!("{} on {}", lot.process, lot.cell),
            _ => format!("{} by {}: {} on {}", lot.quantity, day(lot.date), lot.process, lot.cell),
        })
        .collect();
    let mut text = lots.join(", then ") + &bought(offer);
    if !offer.awaits.is_empty() {
        text += &format!("; waits for {}", offer.awaits.join(", "));
    }
    text
}

/// The tools to buy: one or two by name, more as a sum.
fn bought(offer: &Offer) -> String {
    let mark = |estimated: bool| if estimated { "~" } else { "" };
    if offer.buys.len() <= 2 {
        let each = offer.buys.iter().map(|buy| {
            let mark = mark(buy.estimated);
            format!("; buy {} ({mark}{}, {mark}{})", buy.tool, buy.price, buy.lead)
        });
        return each.collect();
    }
    let mark = mark(offer.buys.iter().any(|buy| buy.estimated));
    let price: Money = offer.buys.iter().map(|buy| buy.price).sum();
    let lead = offer.buys.iter().map(|buy| buy.lead).max().unwrap_or_default();
    format!("; buy {} tools ({mark}{price}, {mark}{lead})", offer.buys.len())
}

fn force(forced: &Forced, currency: &str) -> String {
    let harms: Vec<String> = forced.harms.iter().take(NAMED).map(harm).collect();
    let more = forced.harms.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let whom = if harms.is_empty() { "nobody is late".to_owned() } else { harms.join(", ") + &more };
    format!("{}: {whom}; {}", day(forced.date), dearer(forced.extra_cost, currency))
}

/// `3.81 EUR more`, `3.81 EUR less`, `for the same money`.
fn dearer(extra: Money, currency: &str) -> String {
    let amount = if currency.is_empty() { extra.abs().to_string() } else { money(extra.abs(), currency) };
    match extra.cmp(&Money::ZERO) {
        _ if extra.abs() < Money::new(0.005) => "for the same money".to_owned(),
        std::cmp::Ordering::Less => format!("{amount} less"),
        _ => format!("{amount} more"),
    }
}

fn harm(harm: &Harm) -> String {
    format!("{} {}", harm.order, lateness(harm.becomes_late))
}
