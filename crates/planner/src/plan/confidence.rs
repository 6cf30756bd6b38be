//! How sure the dates of a plan are, which promises are at risk, and what was tried for them.

use chrono::NaiveDate;
use elbowroom_rehearsal::Finishes;
use elbowroom_units::{Minute, Minutes, Money};

/// How sure the dates of a plan are: it was carried out many times by chance, as dispatched.
#[derive(Clone, Debug)]
pub struct Confidence {
    /// Times it was carried out.
    pub runs: u32,
    /// Seed of the chance.
    pub seed: u64,
    /// A promise that is kept less often is at risk; 0 to 1.
    pub at_risk_below: f64,
    /// By order, in the order of the plan's orders.
    pub orders: Vec<OrderChance>,
    /// Chances that cells run out of time, by cell and week.
    pub cells: Vec<CellChance>,
    /// Promises at risk, those first that are expected to cost most.
    pub risks: Vec<Risk>,
}

/// How sure an order is.
#[derive(Clone, Debug)]
pub struct OrderChance {
    /// Id of the order.
    pub order: String,
    /// Share of the runs in which the promised date is kept; 0 to 1.
    pub kept: f64,
    /// The earliest dates kept in 50, 80 and 95 of 100 cases.
    pub dates: DatesKept,
    /// When it was finished in each run.
    pub finishes: Finishes,
}

/// The earliest dates that are kept so often, if work is dispatched as planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DatesKept {
    /// In 50 of 100 cases.
    pub in_50: NaiveDate,
    /// In 80 of 100 cases.
    pub in_80: NaiveDate,
    /// In 95 of 100 cases.
    pub in_95: NaiveDate,
}

/// How probable it is that a cell has not done by the end of a week what is planned until then.
#[derive(Clone, Debug, PartialEq)]
pub struct CellChance {
    /// Id of the cell.
    pub cell: String,
    /// ISO year and week.
    pub week: (i32, u32),
    /// Share of the runs; 0 to 1.
    pub out_of_time: f64,
}

/// A promise at risk.
#[derive(Clone, Debug)]
pub struct Risk {
    /// Id of the order.
    pub order: String,
    /// Share of the runs in which it is kept; 0 to 1.
    pub kept: f64,
    /// How late it is in the plan itself; zero if it is in time there.
    pub late_in_plan: Minutes,
    /// Mean cost of being late, over all runs.
    pub expected_cost: Money,
    /// What was tried and helps: the cheapest first that takes it out of risk, then the rest by
    /// how much they help.
    pub remedies: Vec<Remedy>,
    /// Whether everything was tried that could be; otherwise the time was up.
    pub all_tried: bool,
}

/// Something that was tried for a promise at risk, by planning again with it.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// What kind of thing.
    pub kind: RemedyKind,
    /// What to do, for a planner: `Saturday shift on 2026-12-12, 06:00 to 12:00, on wash-1`.
    pub text: String,
    /// The same in a few words, for a line of a summary: `Saturday 2026-12-12 on wash-1`.
    pub brief: String,
    /// When the order is finished then.
    pub finish: Minute,
    /// Share of the runs in which the promise is kept then; 0 to 1.
    pub kept: f64,
    /// Whether that takes it out of risk.
    pub cures: bool,
    /// What it costs more than the plan; negative where it saves, since being late costs too.
    pub cost: Money,
    /// Ids of other orders that it puts at risk.
    pub puts_at_risk: Vec<String>,
}

/// Kinds of remedies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RemedyKind {
    /// Earlier on its cells, before others that can wait.
    Forward,
    /// Bent by another process.
    Process,
    /// Another vendor for a service.
    Vendor,
    /// A Saturday shift on a cell.
    Overtime,
    /// The lot in two halves.
    Split,
}
