//! What the shop can answer.

use super::inquiry::Inquiry;
use crate::confidence::DatesKept;
use chrono::NaiveDate;
use elbowroom_bending::process::Process;
use elbowroom_problem::Schedule;
use elbowroom_units::{Minute, Minutes, Money};

/// Every way of making what was asked for, and the one to take.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The question; `material` filled in where the tube must be ordered first.
    pub inquiry: Inquiry,
    /// The ways, soonest first; never empty.
    pub offers: Vec<Offer>,
    /// Index of the recommended one.
    pub recommended: usize,
    /// Why that one, in a sentence.
    pub reason: String,
    /// What a late day costs with this customer.
    pub day_value: Money,
    /// Cells that cannot bend the part, each reason once.
    pub refused: Vec<String>,
}

impl Answer {
    /// The recommended offer.
    #[must_use]
    pub fn best(&self) -> &Offer {
        &self.offers[self.recommended]
    }

    /// The date to tell the customer for an offer, and to book: the advised one where there is one, else
    /// the soonest; never before the one wanted.
    #[must_use]
    pub fn told(&self, offer: &Offer) -> NaiveDate {
        let date = offer.advised.map_or(offer.date, |advised| advised.date.max(offer.date));
        self.inquiry.wanted.map_or(date, |wanted| date.max(wanted))
    }
}

/// One way of making it.
#[derive(Clone, Debug)]
pub struct Offer {
    /// The lots: one, or a first lot without new dies and the rest with them.
    pub lots: Vec<Lot>,
    /// Tools to buy for it.
    pub buys: Vec<Buy>,
    /// The same with those that the plan buys anyway.
    pub offered: Vec<Buy>,
    /// Tools on order that it waits for.
    pub awaits: Vec<String>,
    /// The earliest date on which all of it can be promised without making an order that is on
    /// time late, or a late one later.
    pub date: NaiveDate,
    /// When its last step ends then.
    pub finish: Minute,
    /// No schedule keeps an earlier date on this way, not even in an empty shop.
    pub not_before: NaiveDate,
    /// An earlier date at the expense of others, where there is one.
    pub forced: Option<Forced>,
    /// What it costs.
    pub cost: Cost,
    /// What stands in the way of an earlier date.
    pub binding: Binding,
    /// The dates that are kept in 50, 80 and 95 of 100 cases, where that was asked for.
    pub kept: Option<DatesKept>,
    /// The date to tell the customer, where that was asked for and the shop says what waiting costs.
    pub advised: Option<Advised>,
    /// The plan with it, in the jobs of the plan and then the lots.
    pub(crate) schedule: Schedule,
}

impl Offer {
    /// Whether new tools have to be bought.
    #[must_use]
    pub fn buys_tools(&self) -> bool {
        !self.buys.is_empty()
    }
}

/// The date to tell a customer: so late that telling a later one would cost more than it saves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advised {
    /// The date; not before the one that harms nobody, nor before the one wanted.
    pub date: NaiveDate,
    /// How often a date is worth keeping, 0 to 1: the critical fractile.
    pub worth: f64,
    /// How often this date is kept, 0 to 1.
    pub kept: f64,
    /// What a day too late costs with this customer.
    pub late_day: Money,
    /// What promising a day later costs.
    pub later_day: Money,
}

/// A lot of an offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Pieces.
    pub quantity: u32,
    /// How it is bent.
    pub process: Process,
    /// Cell that bends it.
    pub cell: String,
    /// The date on which it can be promised.
    pub date: NaiveDate,
    /// When its last step ends.
    pub finish: Minute,
}

/// A tool to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Buy {
    /// Id of the tool.
    pub tool: String,
    /// Its price.
    pub price: Money,
    /// Calendar time from order to arrival.
    pub lead: Minutes,
    /// Whether price and lead are the shop's defaults and not a tool maker's word.
    pub estimated: bool,
}

/// What happens if it is forced in before other work.
#[derive(Clone, Debug, PartialEq)]
pub struct Forced {
    /// The date that could be promised then.
    pub date: NaiveDate,
    /// When its last step ends then.
    pub finish: Minute,
    /// Orders that become late, or later than they were.
    pub harms: Vec<Harm>,
    /// What the whole plan costs more than with the date that harms nobody.
    pub extra_cost: Money,
}

/// What forcing does to an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Harm {
    /// Id of the order.
    pub order: String,
    /// Date promised.
    pub promised: NaiveDate,
    /// How late it was before; zero: on time.
    pub was_late: Minutes,
    /// How late it becomes.
    pub becomes_late: Minutes,
}

/// What an offer costs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cost {
    /// Running, changing over and outside work of its own lots.
    pub making: Money,
    /// Tools bought for it.
    pub tools: Money,
    /// What it makes other orders cost more (or less): their changeovers differ.
    pub others: Money,
    /// Its tube, scrap and set-up pieces included, offcuts not; `None`: no price is listed.
    pub tube: Option<Money>,
    /// All of it.
    pub total: Money,
    /// For each piece, at cost.
    pub per_piece: Money,
    /// For each piece with the shop's margin; `None`: the shop states no margin.
    pub price_per_piece: Option<Money>,
}

impl Cost {
    /// What the plan would cost more: all but the tube.
    #[must_use]
    pub fn in_plan(&self) -> Money {
        self.making + self.tools + self.others
    }
}

/// What binds a date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Binding {
    /// What kind of thing it is.
    pub limit: Limit,
    /// How much sooner it could be without it; for [`Limit::Work`] the time the work takes.
    pub minutes: Minutes,
    /// A sentence for a planner.
    pub text: String,
}

/// Kinds of things that bind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Other work on its cells, tools and crews.
    OtherWork,
    /// A tool that is not in the house.
    ToolArrival,
    /// Its tube.
    Material,
    /// Nothing but the work itself, within the hours that the shop is open.
    Work,
}
