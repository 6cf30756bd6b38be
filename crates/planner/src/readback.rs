//! Reads a verified schedule back as a plan in the shop's words.

mod dispatch;
mod loads;
pub(crate) mod money;
mod orders;
mod purchases;

pub(crate) use purchases::order_by;

use crate::compile::Key;
use crate::plan::{LeftOut, Plan};
use crate::timeline::Timeline;
use crate::tube::tube_plan;
use elbowroom_bending::tube::Tube;
use elbowroom_problem::JobIdx;
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::order::Order;
use elbowroom_units::{Minute, Money};

/// A schedule together with everything that gives its numbers their names.
#[derive(Clone, Copy)]
pub(crate) struct Source<'a> {
    pub(crate) shop: &'a Shop,
    pub(crate) clock: &'a PlanClock,
    pub(crate) key: &'a Key,
    pub(crate) line: &'a Timeline<'a>,
}

impl<'a> Source<'a> {
    /// The order that a job belongs to.
    pub(crate) fn order(&self, job: JobIdx) -> &'a Order {
        &self.shop.orders[self.key.job(job).order]
    }

    /// The tube of a part.
    fn tube(&self, part: &str) -> Option<&'a Tube> {
        let part = self.shop.parts.iter().find(|known| known.id == part)?;
        self.shop.tubes.iter().find(|tube| tube.id == part.tube).map(|stock| &stock.tube)
    }

    fn part_name(&self, id: &str) -> String {
        let part = self.shop.parts.iter().find(|part| part.id == id);
        part.map_or_else(String::new, |part| part.name.clone())
    }
}

/// The plan, still without the reasons for lateness and the question of going without new tools.
pub(crate) fn plan(source: &Source<'_>, weeks: u32, left_out: Vec<LeftOut>) -> Plan {
    let Source { shop, clock, line, .. } = *source;
    let loads = loads::loads(line, clock, weeks);
    Plan {
        shop: shop.terms.name.clone(),
        currency: shop.terms.currency.clone(),
        clock: *clock,
        start: clock.start(),
        weeks,
        cells: dispatch::cells(source, reach(source, weeks)),
        orders: orders::orders(source),
        left_out,
        purchases: purchases::purchases(source),
        no_tooling: Vec::new(),
        tube: tube_plan(source),
        loads,
        money: money::whole(line),
        lower_bound: line.schedule.lower_bound.map(Money::new),
        confidence: None,
    }
}

/// How far lists and charts reach: the weeks asked for, or the last step where that is later.
fn reach(source: &Source<'_>, weeks: u32) -> Minute {
    let days = chrono::Days::new(u64::from(weeks) * 7);
    let shown = source.clock.start().checked_add_days(days).unwrap_or(source.clock.start());
    let last = source.line.schedule.operations.iter().map(|placed| placed.end).max();
    source.clock.start_of(shown).max(last.unwrap_or(Minute::ZERO))
}
