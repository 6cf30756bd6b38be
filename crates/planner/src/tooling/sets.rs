//! Each set of tools: who could use it, when it pays, and what was decided.

use super::answer::{Course, DieSet, OrderCase, PartCase, Verdict};
use super::arrival::Waiting;
use super::cases::{Case, CaseKind, CaseWay, booked, by_set};
use super::program::Decision;
use super::worth::{break_even, chance_of};
use crate::promise::{Buy, Standing};
use crate::words::listed;
use elbowroom_units::Money;
use std::collections::BTreeSet;

/// Every set that some case could buy, those to be bought first, then by price.
pub(super) fn sets(standing: &Standing, cases: &[Case], decision: Option<&Decision>) -> Vec<DieSet> {
    let chosen = |at: usize| decision.map(|decision| decision.chosen[at]);
    let mut sets: Vec<DieSet> = by_set(cases)
        .into_iter()
        .map(|(tools, users)| {
            let users: Vec<(&Case, Option<usize>)> =
                users.into_iter().map(|at| (&cases[at], chosen(at))).collect();
            Shelf { standing, tools: &tools, users }.set()
        })
        .collect();
    sets.sort_by_key(|set| (!set.buy, set.price));
    sets
}

/// A set of tools with the cases that could use it, each with the way that it takes.
struct Shelf<'s> {
    standing: &'s Standing,
    tools: &'s [String],
    users: Vec<(&'s Case, Option<usize>)>,
}

impl Shelf<'_> {
    fn set(&self) -> DieSet {
        let tools = self.buys();
        let price: Money = tools.iter().map(|buy| buy.price).sum();
        let orders: Vec<OrderCase> =
            self.users.iter().filter_map(|(case, at)| self.order(case, *at)).collect();
        let parts = self.parts(price);
        let taken = self.users.iter().any(|(case, at)| at.is_some_and(|at| self.is_set(&case.ways[at])));
        let waiting = Waiting::new(self.standing, self.tools, self.waiting_orders());
        DieSet {
            plan_buys: self.tools.iter().all(|tool| self.standing.buys(tool)),
            order_by: waiting.as_ref().and_then(Waiting::order_by),
            two_weeks_late: waiting.as_ref().map_or_else(Vec::new, Waiting::two_weeks_late),
            reason: reason(taken, price, &orders, &parts, &self.standing.shop().terms.currency),
            buy: taken,
            tools,
            price,
            orders,
            parts,
        }
    }

    fn is_set(&self, way: &CaseWay) -> bool {
        way.tools() == self.tools
    }

    fn buys(&self) -> Vec<Buy> {
        let ways = self.users.iter().flat_map(|(case, _)| &case.ways);
        ways.into_iter().find(|way| self.is_set(way)).map_or_else(Vec::new, |way| way.offered.clone())
    }

    /// Orders that were decided to wait for the set.
    fn waiting_orders(&self) -> Vec<usize> {
        let waits = |(case, at): &(&Case, Option<usize>)| match (case.kind, at) {
            (CaseKind::Order(order), Some(at)) if self.is_set(&case.ways[*at]) => Some(order),
            _ => None,
        };
        self.users.iter().filter_map(waits).collect()
    }

    fn order(&self, case: &Case, chosen: Option<usize>) -> Option<OrderCase> {
        let CaseKind::Order(order) = case.kind else { return None };
        let asked = &self.standing.shop().orders[order];
        let course = |at: Option<usize>| at.map(|at| case.ways[at].course.clone());
        let decision = match chosen.map(|at| &case.ways[at]) {
            Some(way) if way.offered.is_empty() => Verdict::Without,
            Some(way) if self.is_set(way) && way.is_split() => Verdict::Both,
            Some(way) if self.is_set(way) => Verdict::Wait,
            _ => Verdict::Other,
        };
        Some(OrderCase {
            order: asked.id.clone(),
            part: asked.part.clone(),
            quantity: asked.quantity,
            promised: asked.promised,
            wait: course(case.cheapest(|way| self.is_set(way) && !way.is_split())),
            without: course(case.without()),
            both: course(case.cheapest(|way| self.is_set(way) && way.is_split())),
            decision,
        })
    }

    /// Parts that could use the set, each once.
    fn parts(&self, price: Money) -> Vec<PartCase> {
        let parts: BTreeSet<usize> = self.users.iter().map(|(case, _)| case.part).collect();
        parts.into_iter().map(|part| self.part(part, price)).collect()
    }

    fn part(&self, part: usize, price: Money) -> PartCase {
        let found = &self.standing.shop().parts[part];
        // The largest lot says most truly what a piece costs.
        let pieces = |case: &&Case| case.ways[0].course.lots.iter().map(|lot| lot.quantity).sum::<u32>();
        let case =
            self.users.iter().map(|(case, _)| *case).filter(|case| case.part == part).max_by_key(pieces);
        let per_piece = |at: Option<usize>| Some(case?.ways[at?].per_piece());
        let with = per_piece(case.and_then(|case| case.cheapest(|way| self.is_set(way) && !way.is_split())));
        let without = per_piece(case.and_then(Case::without));
        let saving = with.zip(without).map(|(with, without)| without - with);
        let even = saving.and_then(|saving| break_even(price, saving));
        let yearly = found.yearly_quantity;
        let chance = even.zip(yearly).and_then(|(even, yearly)| {
            let forecast = found.forecast?;
            let (low, high) = (forecast.low.unwrap_or(yearly), forecast.high.unwrap_or(yearly));
            Some(chance_of(even as f64, f64::from(low), f64::from(yearly), f64::from(high)))
        });
        let (part, booked) = (found.id.clone(), booked(self.standing, found));
        PartCase { part, booked, yearly, saving, break_even: even, chance }
    }
}

fn reason(buy: bool, price: Money, orders: &[OrderCase], parts: &[PartCase], currency: &str) -> String {
    let needs = |case: &&OrderCase| case.without.is_none();
    let forced: Vec<&str> = orders.iter().filter(needs).map(|case| case.order.as_str()).collect();
    if buy && !forced.is_empty() {
        return format!("buy: {} cannot be made without", listed(&forced, 4));
    }
    let saved = gain(orders);
    let pays = parts.iter().filter_map(|part| {
        let yearly = part.yearly.unwrap_or(0).max(part.booked);
        if part.saving.is_none() {
            return Some(format!("{} cannot be made without, {yearly} a year are expected", part.part));
        }
        let even = part.break_even?;
        Some(format!("{} pays from {even} pieces a year, {yearly} are expected", part.part))
    });
    let pays: Vec<String> = pays.collect();
    let pays = if pays.is_empty() { String::new() } else { format!("; {}", pays.join("; ")) };
    let open = if orders.is_empty() {
        "no open order wants them".to_owned()
    } else if saved > Money::ZERO {
        format!("the open orders save {saved} {currency} by them")
    } else {
        format!("the open orders lose {} {currency} by waiting for them", Money::ZERO - saved)
    };
    let verdict = if buy { "buy" } else { "do not buy" };
    format!("{verdict}: they cost {price} {currency}, {open}{pays}")
}

/// What the open orders save in making and lateness by waiting, where they have the choice.
fn gain(orders: &[OrderCase]) -> Money {
    let cost = |course: &Course| course.making + course.late_cost;
    let saved =
        orders.iter().filter_map(|case| Some(cost(case.without.as_ref()?) - cost(case.wait.as_ref()?)));
    saved.sum()
}
