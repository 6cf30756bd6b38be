//! Everything that could want new tools, with every way of making it.

use super::answer::Course;
use crate::promise::{Buy, Inquiry, Offer, Standing};
use elbowroom_problem::Availability;
use elbowroom_shop::part::Part;
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money};
use std::collections::BTreeMap;

/// Orders of a year where a forecast does not say in which lots it comes.
const LOTS_A_YEAR: u32 = 12;

/// An order, or a part's repeat demand.
pub(super) struct Case {
    pub(super) kind: CaseKind,
    /// Position of the part in the shop's list.
    pub(super) part: usize,
    /// Every way, soonest first; at least one, and one with tools to buy among them.
    pub(super) ways: Vec<CaseWay>,
}

/// What a case is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CaseKind {
    /// An order, by position in the book.
    Order(usize),
    /// So many pieces of a year beyond the order book.
    Repeat(u32),
}

/// One way of making a case.
pub(super) struct CaseWay {
    pub(super) course: Course,
    /// All tools that must be bought for it, whether the plan buys them already or not.
    pub(super) offered: Vec<Buy>,
    /// How many times its lot is made; 1 for an order.
    times: f64,
}

impl CaseWay {
    /// What it costs in all, tools to buy not included.
    pub(super) fn cost(&self) -> Money {
        (self.course.making + self.course.late_cost) * self.times
    }

    /// What a piece costs to make.
    pub(super) fn per_piece(&self) -> Money {
        let pieces: u32 = self.course.lots.iter().map(|lot| lot.quantity).sum();
        self.course.making * (1.0 / f64::from(pieces.max(1)))
    }

    pub(super) fn is_split(&self) -> bool {
        self.course.lots.len() > 1
    }

    /// Ids of the tools to buy.
    pub(super) fn tools(&self) -> Vec<String> {
        self.offered.iter().map(|buy| buy.tool.clone()).collect()
    }
}

impl Case {
    /// The cheapest way without new tools.
    pub(super) fn without(&self) -> Option<usize> {
        self.cheapest(|way| way.offered.is_empty())
    }

    /// The cheapest of some ways.
    pub(super) fn cheapest(&self, wanted: impl Fn(&CaseWay) -> bool) -> Option<usize> {
        let ways = self.ways.iter().enumerate().filter(|(_, way)| wanted(way));
        ways.min_by_key(|(_, way)| (way.cost(), way.course.finish)).map(|(at, _)| at)
    }
}

/// Every order that has not begun and every part with repeat demand, of which some way wants new tools.
pub(super) fn cases(standing: &Standing, threads: usize) -> Vec<Case> {
    let mut cases: Vec<Case> =
        standing.untouched().into_iter().filter_map(|order| order_case(standing, order, threads)).collect();
    let parts = 0..standing.shop().parts.len();
    let repeats: Vec<Case> = parts.filter_map(|part| repeat_case(standing, &cases, part, threads)).collect();
    cases.extend(repeats);
    cases
}

/// Whether some bending option of an order's job needs a tool that is offered.
fn wants_tools(standing: &Standing, order: usize) -> bool {
    let problem = standing.problem();
    let offered = |tool: &elbowroom_problem::ToolIdx| {
        matches!(problem.tool(*tool).availability, Availability::Offer { .. })
    };
    standing.job_of(order).is_some_and(|job| {
        let routes = problem.job(job).routes.iter();
        let options = routes.flat_map(|route| &route.operations).flat_map(|step| &step.options);
        options.filter_map(|option| option.on_cell()).any(|work| work.tools.iter().any(offered))
    })
}

fn order_case(standing: &Standing, order: usize, threads: usize) -> Option<Case> {
    if !wants_tools(standing, order) {
        return None;
    }
    let rest = standing.without(&[order])?;
    let asked = &standing.shop().orders[order];
    let inquiry = Inquiry {
        id: format!("{} again", asked.id),
        part: asked.part.clone(),
        quantity: asked.quantity,
        wanted: None,
        material: asked.material,
        customer: asked.customer.clone(),
    };
    let answer = rest.harmless_answer(&inquiry, threads).ok()?;
    let per_day = asked.late_cost_per_day.unwrap_or(answer.day_value);
    let due = standing.due(asked.promised);
    let ways = answer.offers.iter().map(|offer| way(offer, Some((due, per_day)), 1.0)).collect();
    let part = standing.shop().parts.iter().position(|part| part.id == asked.part)?;
    Some(Case { kind: CaseKind::Order(order), part, ways })
}

/// What the forecast expects beyond the book, made as the part's largest order is, or as a usual
/// order would be.
fn repeat_case(standing: &Standing, orders: &[Case], part: usize, threads: usize) -> Option<Case> {
    let found = &standing.shop().parts[part];
    let pieces = beyond_the_book(standing, found);
    if pieces == 0 {
        return None;
    }
    let quantity = |case: &&Case| case.ways[0].course.lots.iter().map(|lot| lot.quantity).sum::<u32>();
    let like = orders.iter().filter(|case| case.part == part).max_by_key(quantity);
    let ways = match like {
        Some(case) => case.ways.iter().map(|way| repeated(way, pieces, quantity(&case))).collect(),
        None => usual_order(standing, found, pieces, threads)?,
    };
    Some(Case { kind: CaseKind::Repeat(pieces), part, ways })
}

fn repeated(way: &CaseWay, pieces: u32, lot: u32) -> CaseWay {
    let course = Course { late: Minutes::ZERO, late_cost: Money::ZERO, ..way.course.clone() };
    CaseWay { course, offered: way.offered.clone(), times: f64::from(pieces) / f64::from(lot.max(1)) }
}

fn usual_order(standing: &Standing, part: &Part, pieces: u32, threads: usize) -> Option<Vec<CaseWay>> {
    let lot = part.forecast.and_then(|forecast| forecast.lot);
    let quantity = lot.unwrap_or(pieces.div_ceil(LOTS_A_YEAR)).clamp(1, pieces);
    let inquiry = Inquiry {
        id: format!("{} repeat", part.id),
        part: part.id.clone(),
        quantity,
        wanted: None,
        material: Some(standing.start()),
        customer: None,
    };
    let answer = standing.harmless_answer(&inquiry, threads).ok()?;
    let times = f64::from(pieces) / f64::from(quantity);
    let ways: Vec<CaseWay> = answer.offers.iter().map(|offer| way(offer, None, times)).collect();
    ways.iter().any(|way| !way.offered.is_empty()).then_some(ways)
}

/// Pieces of a year's forecast that are not in the book; none if it holds no longer.
pub(super) fn beyond_the_book(standing: &Standing, part: &Part) -> u32 {
    let over =
        part.forecast.and_then(|forecast| forecast.until).is_some_and(|until| until < standing.start());
    let yearly = if over { 0 } else { part.yearly_quantity.unwrap_or(0) };
    yearly.saturating_sub(booked(standing, part))
}

/// Pieces of a part in the order book.
pub(super) fn booked(standing: &Standing, part: &Part) -> u32 {
    let orders = standing.shop().orders.iter().filter(|order| order.part == part.id);
    orders.fold(0, |sum, order| sum.saturating_add(order.quantity))
}

fn way(offer: &Offer, due: Option<(Minute, Money)>, times: f64) -> CaseWay {
    let late = due.map_or(Minutes::ZERO, |(due, _)| due.until(offer.finish));
    let per_day = due.map_or(Money::ZERO, |(_, per_day)| per_day);
    let course = Course {
        lots: offer.lots.clone(),
        date: offer.date,
        finish: offer.finish,
        late,
        making: offer.cost.making + offer.cost.others,
        late_cost: per_day * (late.count() as f64 / MINUTES_PER_DAY as f64),
        tools: offer.offered.iter().map(|buy| buy.price).sum(),
    };
    CaseWay { course, offered: offer.offered.clone(), times }
}

/// Cases by the set of tools that some way of them would buy.
pub(super) fn by_set(cases: &[Case]) -> BTreeMap<Vec<String>, Vec<usize>> {
    let mut sets: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
    for (at, case) in cases.iter().enumerate() {
        for way in case.ways.iter().filter(|way| !way.offered.is_empty()) {
            let users = sets.entry(way.tools()).or_default();
            if !users.contains(&at) {
                users.push(at);
            }
        }
    }
    sets
}
