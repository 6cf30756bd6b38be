//! What every part of compiling looks up: the clock and where things stand in the shop's lists.

use super::Request;
use chrono::{Days, NaiveDate};
use elbowroom_bending::material::Material;
use elbowroom_bending::process::Process;
use elbowroom_problem::{CellIdx, CrewIdx};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_shop::underway::Underway;
use elbowroom_shop::{Shop, Terms};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money};
use std::collections::HashMap;

/// A shop with its lists indexed by id; read only.
pub(crate) struct Frame<'a> {
    pub(crate) shop: &'a Shop,
    pub(crate) clock: PlanClock,
    parts: HashMap<&'a str, usize>,
    tubes: HashMap<&'a str, usize>,
    customers: HashMap<&'a str, Money>,
    underway: HashMap<&'a str, &'a Underway>,
}

impl<'a> Frame<'a> {
    pub(crate) fn new(shop: &'a Shop, request: &Request) -> Self {
        Self {
            shop,
            clock: PlanClock::new(shop.terms.time_zone, request.start),
            parts: positions(shop.parts.iter().map(|part| part.id.as_str())),
            tubes: positions(shop.tubes.iter().map(|tube| tube.id.as_str())),
            customers: shop.customers.iter().map(|c| (c.id.as_str(), c.late_cost_per_day)).collect(),
            underway: shop.underway.iter().map(|underway| (underway.order.as_str(), underway)).collect(),
        }
    }

    /// Position of a part in the shop's list.
    pub(crate) fn part_position(&self, id: &str) -> Option<usize> {
        self.parts.get(id).copied()
    }

    /// The part of an order, with its position.
    pub(crate) fn part_of(&self, order: &Order) -> Option<(usize, &'a Part)> {
        self.part_position(&order.part).map(|position| (position, &self.shop.parts[position]))
    }

    /// The tube of a part.
    pub(crate) fn tube_of(&self, part: &Part) -> Option<&'a StockTube> {
        self.tubes.get(part.tube.as_str()).map(|position| &self.shop.tubes[*position])
    }

    /// The material of a tube.
    pub(crate) fn material_of(&self, tube: &StockTube) -> Option<&'a Material> {
        self.shop.materials.iter().find(|material| material.id == tube.material)
    }

    /// How far an order has come, if it has begun.
    pub(crate) fn underway(&self, order: &str) -> Option<&'a Underway> {
        self.underway.get(order).copied()
    }

    /// What a late day of an order costs: its own word, else its customer's, else the shop's.
    pub(crate) fn late_cost(&self, order: &Order) -> Money {
        let customer = order.customer.as_deref().and_then(|id| self.customers.get(id).copied());
        order.late_cost_per_day.or(customer).unwrap_or(self.shop.terms.late_cost_per_day)
    }

    /// Cells that do a kind of work, in the shop's order.
    pub(crate) fn cells_for(&self, work: WorkKind) -> impl Iterator<Item = CellIdx> + use<'_> {
        let cells = self.shop.cells.iter().enumerate();
        cells.filter(move |(_, cell)| cell.work == work).map(|(position, _)| CellIdx::new(position))
    }

    /// How a cell bends, if it does.
    pub(crate) fn process_of(&self, cell: CellIdx) -> Option<Process> {
        match self.shop.cells[cell.get()].work {
            WorkKind::Bend(process) => Some(process),
            _ => None,
        }
    }

    /// The crew of a name.
    pub(crate) fn crew(&self, id: Option<&str>) -> Option<CrewIdx> {
        let id = id?;
        self.shop.crews.iter().position(|crew| crew.id == id).map(CrewIdx::new)
    }

    /// When what comes on a date can be used.
    pub(crate) fn received(&self, date: NaiveDate) -> Minute {
        self.clock.minute(date, self.shop.terms.receive_by)
    }

    /// When an order promised for a date must be finished.
    pub(crate) fn due(&self, date: NaiveDate) -> Minute {
        self.clock.minute(date, self.shop.terms.ship_by)
    }

    /// When a tool ordered on the plan's first day can be used.
    pub(crate) fn arrival_of_offer(&self, lead: Minutes) -> Minute {
        arrival(&self.clock, &self.shop.terms, self.clock.start(), lead).max(Minute::ZERO)
    }
}

/// When something ordered on a day can be used: after its lead time in whole days, begun ones
/// counted, from the time at which the shop receives.
pub(crate) fn arrival(clock: &PlanClock, terms: &Terms, ordered: NaiveDate, lead: Minutes) -> Minute {
    let days = lead.count().max(0).cast_unsigned().div_ceil(MINUTES_PER_DAY.cast_unsigned());
    let date = ordered.checked_add_days(Days::new(days)).unwrap_or(NaiveDate::MAX);
    clock.minute(date, terms.receive_by)
}

fn positions<'s>(ids: impl Iterator<Item = &'s str>) -> HashMap<&'s str, usize> {
    ids.enumerate().map(|(position, id)| (id, position)).collect()
}
