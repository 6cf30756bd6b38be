//! What the plan cuts: blanks by tube, day and where their tube comes from.

use super::Supply;
use crate::compile::StepKind;
use crate::readback::Source;
use crate::timeline::At;
use chrono::NaiveDate;
use elbowroom_problem::JobIdx;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::StockTube;
use elbowroom_units::{Minute, Mm};
use std::collections::BTreeMap;

/// Where and when something is cut: tube by its position in the shop's list, day, supply.
pub(super) type Group = (usize, NaiveDate, Supply);

/// Blanks of one order.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Need {
    /// Position of the order in the order book.
    pub order: usize,
    pub length: Mm,
    pub count: u32,
    pub cut: Minute,
}

/// All blanks that are still to be cut, by group in order of time.
pub(super) fn needs(source: &Source<'_>) -> BTreeMap<Group, Vec<Need>> {
    let mut groups: BTreeMap<Group, Vec<Need>> = BTreeMap::new();
    let jobs = (0..source.key.jobs.len()).map(JobIdx::new);
    for at in jobs.flat_map(|job| source.line.of_job(job)) {
        if let Some((group, need)) = need(source, *at) {
            groups.entry(group).or_default().push(need);
        }
    }
    groups.values_mut().for_each(|needs| needs.sort_by_key(|need| need.order));
    groups
}

/// What a step cuts, unless it is no cutting, or is under way: then its bars are on the saw.
fn need(source: &Source<'_>, at: At) -> Option<(Group, Need)> {
    let placed = source.line.placed(at);
    let step = source.key.step(placed.option);
    if step.kind != StepKind::Cut || source.line.is_pinned(at) {
        return None;
    }
    let length = source.key.route(placed.option).blank?;
    let order = source.key.job(placed.option.job).order;
    let asked = &source.shop.orders[order];
    let part = source.shop.parts.iter().find(|part| part.id == asked.part)?;
    let tube = source.shop.tubes.iter().position(|tube| tube.id == part.tube)?;
    let supply = supply(source, asked, &source.shop.tubes[tube]);
    let day = source.clock.date(placed.run_start);
    Some(((tube, day, supply), Need { order, length, count: step.pieces, cut: placed.run_start }))
}

fn supply(source: &Source<'_>, order: &Order, tube: &StockTube) -> Supply {
    match order.material.filter(|date| *date > source.clock.start()) {
        Some(date) => Supply::Coming(date),
        None if tube.on_hand.is_some() => Supply::Counted,
        None => Supply::NotCounted,
    }
}
