//! A published plan as the service reads it: the keys of `plan.json`.
//!
//! The service serves plans that were published months ago by older programs, so keys that came
//! later may be missing, and keys that this program does not know are kept and passed on.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

/// A plan in the shop's own words. Moments are ISO 8601 with offset, `_minute` counts from the
/// start of the plan's first day, `_min` is a length of time in minutes.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Plan {
    /// Format and its version.
    pub format: String,
    /// Name of the shop.
    pub shop: String,
    /// Currency code of all money.
    pub currency: String,
    /// IANA time zone of the shop.
    pub time_zone: String,
    /// First day.
    pub start: String,
    /// Weeks that lists and charts show.
    pub weeks: u32,
    /// What the plan costs.
    pub money: MoneySum,
    /// What no plan can beat, where proved.
    pub lower_bound: Option<f64>,
    /// Cells, each with its dispatch list.
    pub cells: Vec<Cell>,
    /// Orders in the order book's order.
    pub orders: Vec<Order>,
    /// Orders that cannot be made at all.
    pub left_out: Vec<LeftOut>,
    /// Tools to buy.
    pub purchases: Vec<Purchase>,
    /// Orders that could wait for new dies or go without them.
    pub no_tooling: Vec<NoTooling>,
    /// Work against opening hours, per cell and ISO week.
    pub loads: Vec<Load>,
    /// How sure its dates are; missing in plans of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<Confidence>,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// How sure a plan's dates are: it was carried out many times by chance.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Confidence {
    /// Times it was carried out.
    pub runs: u32,
    /// A promise that is kept less often is at risk; 0 to 1.
    pub at_risk_below: f64,
    /// By order.
    pub orders: Vec<OrderChance>,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// How sure an order is.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct OrderChance {
    /// Id of the order.
    pub order: String,
    /// Share of the runs in which the promised date is kept; 0 to 1.
    pub kept: f64,
    /// The earliest dates that are kept in 50, 80 and 95 of 100 cases.
    pub dates: Vec<DateKept>,
}

/// A date that is kept in so many of 100 cases.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct DateKept {
    /// In so many.
    pub cases_of_hundred: u32,
    /// The date.
    pub date: String,
    /// The moment of finishing.
    pub finish: String,
    /// The same in plan minutes.
    pub finish_minute: i64,
}

/// What a plan costs, by cause.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct MoneySum {
    /// Running.
    pub run: f64,
    /// Changing over.
    pub setup: f64,
    /// Outside steps.
    pub outside: f64,
    /// Purchases.
    pub purchases: f64,
    /// Being late.
    pub late: f64,
    /// All of it.
    pub total: f64,
}

/// A cell with its dispatch list.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Cell {
    /// Id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What it does.
    pub work: String,
    /// When it is open: pairs of moments.
    pub open: Vec<[String; 2]>,
    /// Its tasks in order of time.
    pub tasks: Vec<Task>,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// One lot on one cell.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Task {
    /// Id of the order.
    pub order: String,
    /// Id of the part.
    pub part: String,
    /// Pieces ordered.
    pub quantity: u32,
    /// Pieces to start.
    pub start_quantity: u32,
    /// Name of the step.
    pub step: String,
    /// When changing over begins.
    pub setup_start: String,
    /// The same in plan minutes.
    pub setup_start_minute: i64,
    /// When the run begins.
    pub run_start: String,
    /// The same in plan minutes.
    pub run_start_minute: i64,
    /// When it ends.
    pub end: String,
    /// The same in plan minutes.
    pub end_minute: i64,
    /// Working time of changing over.
    pub changeover_min: i64,
    /// Working time of the run.
    pub run_min: i64,
    /// Ids of all tools it needs.
    pub tools: Vec<String>,
    /// Ids of the tools to put on now.
    pub mount: Vec<String>,
    /// Crew that changes over.
    pub setup_crew: Option<String>,
    /// Crew that runs.
    pub run_crew: Option<String>,
    /// Whether it was under way when the plan began.
    pub under_way: bool,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// When and how an order is made.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Order {
    /// Id.
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
    pub promised: String,
    /// The moment from which it is late.
    pub due: String,
    /// The same in plan minutes.
    pub due_minute: i64,
    /// When its last step ends.
    pub finish: String,
    /// The same in plan minutes.
    pub finish_minute: i64,
    /// Finish less due; negative is slack.
    pub lateness_min: i64,
    /// Whether it is finished after it is due.
    pub is_late: bool,
    /// Why it is late, if it is.
    pub late: Option<Late>,
    /// How it is bent.
    pub process: Option<String>,
    /// Cell on which it is bent.
    pub bend_cell: Option<String>,
    /// What it costs, shared purchases not included.
    pub cost: f64,
    /// What being late costs.
    pub late_cost: f64,
    /// All steps in order.
    pub steps: Vec<Step>,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// Why an order is late.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Late {
    /// The binding cause in a word.
    pub cause: String,
    /// How long it kept the order waiting.
    pub waited_min: i64,
    /// The step that waited.
    pub step: String,
    /// A sentence for a planner.
    pub text: String,
}

/// One step of an order.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Step {
    /// Name.
    pub name: String,
    /// Cell, or vendor of an outside step.
    pub place: String,
    /// Whether it is done outside the house.
    pub outside: bool,
    /// When the run begins.
    pub run_start: String,
    /// The same in plan minutes.
    pub run_start_minute: i64,
    /// When it ends.
    pub end: String,
    /// The same in plan minutes.
    pub end_minute: i64,
}

/// An order that cannot be made.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct LeftOut {
    /// Id of the order.
    pub order: String,
    /// Id of the part.
    pub part: String,
    /// Every reason.
    pub reasons: Vec<String>,
}

/// A tool to buy.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Purchase {
    /// Id of the tool.
    pub tool: String,
    /// What it is.
    pub kind: String,
    /// Price.
    pub price: f64,
    /// Whether price and lead are the shop's defaults.
    pub estimated: bool,
    /// Time from order to arrival.
    pub lead_min: i64,
    /// Last day on which ordering it still keeps the plan.
    pub order_by: String,
    /// First use.
    pub first_use: String,
    /// The same in plan minutes.
    pub first_use_minute: i64,
    /// Ids of the orders that use it.
    pub orders: Vec<String>,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// An order that could wait for new dies or go without them.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct NoTooling {
    /// Id of the order.
    pub order: String,
    /// The best way that needs nothing bought.
    pub without: Course,
    /// The best way that waits for new tools.
    pub waiting: Course,
    /// Ids of the tools it would wait for.
    pub tools: Vec<String>,
    /// Whether going without is sooner.
    pub sooner: bool,
    /// Whether going without is cheaper.
    pub cheaper: bool,
    /// Whether this plan waits.
    pub plan_waits: bool,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// One way of making an order.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Course {
    /// How it is bent.
    pub process: String,
    /// On which cell.
    pub cell: String,
    /// When it would be finished.
    pub finish: String,
    /// The same in plan minutes.
    pub finish_minute: i64,
    /// What it would cost.
    pub cost: f64,
    /// Further keys.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// Work against opening hours.
#[derive(Clone, Debug, Deserialize, Serialize, PartialEq, JsonSchema)]
pub struct Load {
    /// Id of the cell.
    pub cell: String,
    /// ISO week.
    pub week: String,
    /// Running.
    pub run_min: i64,
    /// Changing over.
    pub setup_min: i64,
    /// Open.
    pub open_min: i64,
}

impl Plan {
    /// Reads `plan.json`.
    ///
    /// # Errors
    /// If it is none.
    pub fn read(bytes: &[u8]) -> Result<Self, serde_json::Error> {
        serde_json::from_slice(bytes)
    }

    /// The cell of this id.
    #[must_use]
    pub fn cell(&self, id: &str) -> Option<&Cell> {
        self.cells.iter().find(|cell| cell.id == id)
    }

    /// The order of this id.
    #[must_use]
    pub fn order(&self, id: &str) -> Option<&Order> {
        self.orders.iter().find(|order| order.id == id)
    }
}
