//! A plan in the shop's own words: what every cell does when, when every order is finished, what
//! to buy, and why what is late is late.
//!
//! Times are plan minutes; [`Plan::clock`] turns them into local dates and times.

mod confidence;

pub use confidence::{CellChance, Confidence, DatesKept, OrderChance, Remedy, RemedyKind, Risk};

use crate::tube::TubePlan;
use chrono::{Days, NaiveDate};
use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::cell::WorkKind;
use elbowroom_units::{Minute, Minutes, Mm, Money};

/// A week or more of work for the whole shop; its schedule has passed the verifier.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Name of the shop.
    pub shop: String,
    /// Currency code of all money.
    pub currency: String,
    /// Turns plan minutes into local time.
    pub clock: PlanClock,
    /// Day of minute 0.
    pub start: NaiveDate,
    /// Weeks that lists and charts show; work may go on beyond.
    pub weeks: u32,
    /// Cells in the shop's order, each with its dispatch list.
    pub cells: Vec<CellPlan>,
    /// Orders in the order book's order.
    pub orders: Vec<OrderPlan>,
    /// Orders that cannot be made at all, and why; the rest is planned without them.
    pub left_out: Vec<LeftOut>,
    /// Tools to buy.
    pub purchases: Vec<Purchase>,
    /// Orders that could wait for new dies or go without them.
    pub no_tooling: Vec<NoTooling>,
    /// Bars to cut and to buy.
    pub tube: TubePlan,
    /// Hours of work against hours open, per cell and ISO week.
    pub loads: Vec<Load>,
    /// What the plan costs.
    pub money: MoneySum,
    /// What no plan can beat, where proved.
    pub lower_bound: Option<Money>,
    /// How sure its dates are; `None` where that has not been asked.
    pub confidence: Option<Confidence>,
}

impl Plan {
    /// The moment after the last day that lists show.
    #[must_use]
    pub fn end_of_weeks(&self) -> Minute {
        let days = Days::new(7 * u64::from(self.weeks.max(1)));
        self.clock.start_of(self.start.checked_add_days(days).unwrap_or(self.start))
    }
}

/// A cell's dispatch list.
#[derive(Clone, Debug)]
pub struct CellPlan {
    /// Id of the cell.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What it does.
    pub work: WorkKind,
    /// When it is open, as far as the plan reaches.
    pub open: Vec<(Minute, Minute)>,
    /// Its tasks in order of time.
    pub tasks: Vec<Task>,
}

/// One lot on one cell.
#[derive(Clone, Debug)]
pub struct Task {
    /// Id of the order.
    pub order: String,
    /// Id of the part.
    pub part: String,
    /// Pieces ordered.
    pub quantity: u32,
    /// Pieces to start, scrap and set-up pieces included.
    pub start_quantity: u32,
    /// Name of the step.
    pub step: String,
    /// When changing over begins; the run's start where there is none.
    pub setup_start: Minute,
    /// When the run begins.
    pub run_start: Minute,
    /// When it ends and the cell is free.
    pub end: Minute,
    /// Working time of changing over.
    pub changeover: Minutes,
    /// Working time of the run.
    pub run: Minutes,
    /// What its standard time was multiplied with because of times measured in the shop; else 1.
    pub setup_factor: f64,
    /// The same for the run.
    pub run_factor: f64,
    /// Ids of all tools it needs.
    pub tools: Vec<String>,
    /// Ids of the tools to put on now; the others are on the cell already.
    pub mount: Vec<String>,
    /// Crew that changes over.
    pub setup_crew: Option<String>,
    /// Crew that runs.
    pub run_crew: Option<String>,
    /// Whether it was under way at plan start.
    pub under_way: bool,
}

/// When and how an order is made.
#[derive(Clone, Debug)]
pub struct OrderPlan {
    /// Id of the order.
    pub id: String,
    /// Id of the part.
    pub part: String,
    /// Name of the part.
    pub part_name: String,
    /// Pieces ordered.
    pub quantity: u32,
    /// Id of the customer.
    pub customer: Option<String>,
    /// Date promised.
    pub promised: NaiveDate,
    /// The moment from which it is late.
    pub due: Minute,
    /// When its last step ends.
    pub finish: Minute,
    /// How it is bent; `None` where bending is done already.
    pub process: Option<Process>,
    /// Cell on which it is bent.
    pub bend_cell: Option<String>,
    /// Length of tube to cut for a piece; `None` where bending is done already.
    pub blank: Option<Mm>,
    /// All steps in order, outside steps included.
    pub steps: Vec<Step>,
    /// Money it costs: running, changing over, outside, and being late; shared purchases not included.
    pub cost: Money,
    /// Money for being late.
    pub late_cost: Money,
    /// Why it is late, if it is.
    pub late: Option<Late>,
}

impl OrderPlan {
    /// Finish against due: positive is late, negative is slack.
    #[must_use]
    pub fn lateness(&self) -> Minutes {
        self.finish - self.due
    }

    /// Whether it is finished after it is due.
    #[must_use]
    pub fn is_late(&self) -> bool {
        self.finish > self.due
    }
}

/// One step of an order.
#[derive(Clone, Debug)]
pub struct Step {
    /// Name of the step.
    pub name: String,
    /// Cell, or vendor of an outside step.
    pub place: String,
    /// Whether it is done outside the house.
    pub outside: bool,
    /// When the run begins.
    pub run_start: Minute,
    /// When it ends.
    pub end: Minute,
}

/// Why an order is late.
#[derive(Clone, Debug)]
pub struct Late {
    /// The binding cause.
    pub cause: Cause,
    /// How much sooner the order would be finished without it; where nothing would help by itself,
    /// how long it kept the order waiting; for [`Cause::DaysLeft`] the time missing even in an
    /// otherwise empty shop.
    pub waited: Minutes,
    /// The step that waited.
    pub step: String,
    /// A sentence for a planner: what was waited for, until when, and who had it.
    pub text: String,
}

/// What an order can wait for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A tool that is not in the house yet.
    DieArrival,
    /// A tool that another order is using.
    DieInUse,
    /// Its tube.
    Material,
    /// A cell that is busy with other orders.
    Cell,
    /// The setter, busy elsewhere or off shift.
    Setter,
    /// Operators, busy elsewhere or off shift.
    Operator,
    /// Nobody: even alone in an empty shop it would be late.
    DaysLeft,
    /// The plan makes it wait although it need not: something dearer would be late instead.
    Choice,
}

/// An order that cannot be made at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// Id of the order.
    pub order: String,
    /// Id of the part.
    pub part: String,
    /// Every reason, for a planner.
    pub reasons: Vec<String>,
}

/// A tool to buy.
#[derive(Clone, Debug)]
pub struct Purchase {
    /// Id of the tool.
    pub tool: String,
    /// What it is.
    pub kind: ToolKind,
    /// Price.
    pub price: Money,
    /// Whether price and lead are the shop's defaults and not a tool maker's word.
    pub estimated: bool,
    /// Calendar time from order to arrival.
    pub lead: Minutes,
    /// Last day on which ordering it still keeps this plan.
    pub order_by: NaiveDate,
    /// First use in this plan.
    pub first_use: Minute,
    /// Ids of the orders that use it.
    pub orders: Vec<String>,
}

/// An order that could wait for new dies or go without them.
#[derive(Clone, Debug)]
pub struct NoTooling {
    /// Id of the order.
    pub order: String,
    /// The best way that needs nothing bought.
    pub without: Course,
    /// The best way that waits for new tools.
    pub waiting: Course,
    /// Ids of the tools it would wait for.
    pub tools: Vec<String>,
    /// Whether this plan waits.
    pub plan_waits: bool,
}

impl NoTooling {
    /// Whether going without finishes sooner than waiting.
    #[must_use]
    pub fn sooner(&self) -> bool {
        self.without.finish < self.waiting.finish
    }

    /// Whether going without is cheaper than waiting.
    #[must_use]
    pub fn cheaper(&self) -> bool {
        self.without.cost < self.waiting.cost
    }
}

/// One way of making an order, as it would turn out in this plan.
#[derive(Clone, Debug)]
pub struct Course {
    /// How it is bent.
    pub process: Process,
    /// On which cell.
    pub cell: String,
    /// When the order would be finished.
    pub finish: Minute,
    /// What the order would cost, purchases for it included.
    pub cost: Money,
}

/// Hours of work against hours open.
#[derive(Clone, Debug)]
pub struct Load {
    /// Id of the cell.
    pub cell: String,
    /// ISO year and week.
    pub week: (i32, u32),
    /// Working time running.
    pub run: Minutes,
    /// Working time changing over.
    pub setup: Minutes,
    /// Time open.
    pub open: Minutes,
}

/// What a plan costs, by cause.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MoneySum {
    /// Running.
    pub run: Money,
    /// Changing over.
    pub setup: Money,
    /// Outside steps and other fixed sums.
    pub outside: Money,
    /// Purchases.
    pub purchases: Money,
    /// Being late.
    pub late: Money,
    /// All of it; the objective of the schedule.
    pub total: Money,
}
