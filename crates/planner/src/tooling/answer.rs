//! What the shop should know about its tools.

use crate::promise::{Buy, Lot};
use chrono::NaiveDate;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_units::{Minute, Minutes, Money};

/// The tooling question answered for the whole shop.
#[derive(Clone, Debug)]
pub struct Tooling {
    /// Sets of tools that orders or forecasts want and the shop lacks.
    pub sets: Vec<DieSet>,
    /// Ids of all tools that are worth buying, for all demand together.
    pub buy: Vec<String>,
    /// What the purchases and all cases cost together, the best there is.
    pub cost: Money,
    /// What the cases would cost if nothing were bought; `None` where some cannot do without.
    pub cost_without: Option<Money>,
    /// Tools that stand idle.
    pub idle: Vec<Idle>,
    /// Tools whose wear is counted, the nearest to its limit first.
    pub worn: Vec<Worn>,
    /// Dies of which a second one would save late days.
    pub seconds: Vec<Second>,
}

/// Tools that are bought together.
#[derive(Clone, Debug)]
pub struct DieSet {
    /// The tools.
    pub tools: Vec<Buy>,
    /// Their prices together.
    pub price: Money,
    /// Whether buying them is worth it, for all demand together.
    pub buy: bool,
    /// Whether the plan that stands buys them.
    pub plan_buys: bool,
    /// Orders that could use them.
    pub orders: Vec<OrderCase>,
    /// Parts that could use them, with the quantity at which they pay.
    pub parts: Vec<PartCase>,
    /// The last day on which ordering them keeps the promises of the orders that wait for them;
    /// `None` if no order does, or it is too late for one already.
    pub order_by: Option<NaiveDate>,
    /// What happens to the orders that wait for them if they come two weeks late.
    pub two_weeks_late: Vec<LateCase>,
    /// The decision and its reason in a sentence.
    pub reason: String,
}

/// An order that could use a set of tools.
#[derive(Clone, Debug)]
pub struct OrderCase {
    /// Id of the order.
    pub order: String,
    /// Id of its part.
    pub part: String,
    /// Pieces.
    pub quantity: u32,
    /// Date promised.
    pub promised: NaiveDate,
    /// Waiting for the tools.
    pub wait: Option<Course>,
    /// Going without any new tools.
    pub without: Option<Course>,
    /// A first lot without, the rest with them.
    pub both: Option<Course>,
    /// What is best for all orders together.
    pub decision: Verdict,
}

/// What an order does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It waits for these tools.
    Wait,
    /// It goes without new tools.
    Without,
    /// A first lot goes without, the rest waits.
    Both,
    /// It uses other new tools.
    Other,
}

/// One course for an order.
#[derive(Clone, Debug)]
pub struct Course {
    /// The lots.
    pub lots: Vec<Lot>,
    /// When all of it can be promised without harm to others.
    pub date: NaiveDate,
    /// When its last step ends.
    pub finish: Minute,
    /// How late that is.
    pub late: Minutes,
    /// Making it, other orders' changeovers included, tools to buy not.
    pub making: Money,
    /// Being late.
    pub late_cost: Money,
    /// Tools that must be bought for it.
    pub tools: Money,
}

impl Course {
    /// All of it.
    #[must_use]
    pub fn total(&self) -> Money {
        self.making + self.late_cost + self.tools
    }
}

/// A part that could use a set of tools.
#[derive(Clone, Debug)]
pub struct PartCase {
    /// Id of the part.
    pub part: String,
    /// Pieces in the order book.
    pub booked: u32,
    /// Pieces forecast for a year, those in the book among them.
    pub yearly: Option<u32>,
    /// What a piece costs less with the tools; negative: more. `None`: it cannot be made without.
    pub saving: Option<Money>,
    /// Pieces of a year at which the tools pay for themselves within it; `None`: never, or it
    /// cannot be made without.
    pub break_even: Option<u64>,
    /// How probable it is that a year brings so many, where the forecast says how far it may stray.
    pub chance: Option<f64>,
}

/// An order whose tools come two weeks late.
#[derive(Clone, Debug)]
pub struct LateCase {
    /// Id of the order.
    pub order: String,
    /// When it would be finished; `None`: not before the plan's end.
    pub finish: Option<Minute>,
    /// How late that is.
    pub late: Minutes,
    /// What being late costs more than with the tools in time.
    pub extra_cost: Money,
}

/// A tool that nobody needs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Idle {
    /// Id of the tool.
    pub tool: String,
    /// What it is.
    pub kind: ToolKind,
    /// Parts of the book that it would serve and that nobody orders or forecasts.
    pub parts: Vec<String>,
}

/// A tool whose bends are counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Worn {
    /// Id of the tool.
    pub tool: String,
    /// What it is.
    pub kind: ToolKind,
    /// Bends so far.
    pub bends: u64,
    /// Bends after which it is worn out.
    pub limit: u64,
    /// Bends that this plan adds.
    pub planned: u64,
    /// Bends that a year of forecast adds.
    pub yearly: u64,
    /// The day on which it is worn out, by plan and forecast; `None`: not within ten years.
    pub worn_out: Option<NaiveDate>,
    /// The day by which another one should be ordered, at the usual lead time.
    pub order_by: Option<NaiveDate>,
    /// Whether that is soon: within the plan's weeks or a quarter of a year, whichever is longer.
    pub near: bool,
}

/// A die that late orders wait for.
#[derive(Clone, Debug, PartialEq)]
pub struct Second {
    /// Id of the tool.
    pub tool: String,
    /// Orders that would be less late with another one, and by how much.
    pub orders: Vec<(String, Minutes)>,
    /// Late cost saved by it, if each order had it to itself.
    pub saved: Money,
    /// The usual price.
    pub price: Money,
    /// The usual lead time.
    pub lead: Minutes,
}
