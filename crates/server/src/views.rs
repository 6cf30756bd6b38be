//! What programs are told: the published plan together with what the shop floor reported.
//!
//! Everything here follows from the store alone and not from the clock, so that an unchanged store
//! gives unchanged bytes.

use crate::document::{Load, MoneySum, NoTooling, Order, OrderChance, Plan, Purchase, Task};
use chrono::{DateTime, Duration, NaiveDate, NaiveTime, SecondsFormat, TimeZone, Utc};
use chrono_tz::Tz;
use elbowroom_store::{Floor, Outcome, PlanHead, Signature, StepProgress, StepState};
use schemars::JsonSchema;
use serde::Serialize;

/// A moment in the shop's local time, ISO 8601 with offset.
#[must_use]
pub fn local(at: DateTime<Utc>, zone: Tz) -> String {
    at.with_timezone(&zone).to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// The first moment of a local day.
#[must_use]
pub fn day_start(zone: Tz, day: NaiveDate) -> DateTime<Utc> {
    let midnight = day.and_time(NaiveTime::MIN);
    let hours = (0..24).map(|hour| midnight + Duration::hours(hour));
    let first = hours.into_iter().find_map(|local| zone.from_local_datetime(&local).earliest());
    first.map_or_else(|| midnight.and_utc(), |local| local.with_timezone(&Utc))
}

/// Who did something, and when.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SignatureView {
    /// Name.
    pub by: String,
    /// When.
    pub at: String,
}

impl SignatureView {
    /// A signature in local time.
    #[must_use]
    pub fn of(signature: &Signature, zone: Tz) -> Self {
        Self { by: signature.by.clone(), at: local(signature.at, zone) }
    }
}

/// A plan without its content.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlanView {
    /// Number of the plan.
    pub id: i64,
    /// `proposed`, `published` or `discarded`.
    pub outcome: &'static str,
    /// The how manieth published plan it is.
    pub version: Option<i64>,
    /// Who made it, and when.
    pub made: SignatureView,
    /// Why it was made.
    pub reason: String,
    /// The version that was current when it was begun; 0: none.
    pub based_on: i64,
    /// Who published or discarded it, and when.
    pub settled: Option<SignatureView>,
    /// Orders planned.
    pub orders: u32,
    /// Orders that will be late.
    pub late_orders: u32,
    /// What it costs.
    pub total_cost: f64,
    /// Currency code of the cost.
    pub currency: String,
}

impl PlanView {
    /// A plan's head in local time.
    #[must_use]
    pub fn of(head: &PlanHead, zone: Tz) -> Self {
        let settled = match &head.outcome {
            Outcome::Proposed => None,
            Outcome::Published { signature, .. } | Outcome::Discarded(signature) => Some(signature),
        };
        Self {
            id: head.id.0,
            outcome: head.outcome.word(),
            version: head.version().map(|version| version.0),
            made: SignatureView::of(&head.made, zone),
            reason: head.reason.clone(),
            based_on: head.based_on.0,
            settled: settled.map(|signature| SignatureView::of(signature, zone)),
            orders: head.figures.orders,
            late_orders: head.figures.late_orders,
            total_cost: head.figures.total_cost,
            currency: head.figures.currency.clone(),
        }
    }
}

/// How far a step has come, as programs read it.
#[derive(Serialize, JsonSchema)]
#[serde(remote = "StepState", rename_all = "snake_case")]
#[schemars(rename = "StepState")]
enum StepStateName {
    /// Nothing has been reported.
    Planned,
    /// It has been started.
    Running,
    /// It was started and stands still.
    Stopped,
    /// It is done.
    Finished,
}

/// What has been reported about a step.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProgressView {
    /// How far it has come.
    #[serde(with = "StepStateName")]
    #[schemars(with = "StepStateName")]
    pub state: StepState,
    /// When it was started.
    pub started: Option<String>,
    /// When it was finished.
    pub finished: Option<String>,
    /// Good pieces so far.
    pub good: u32,
    /// Scrap so far.
    pub scrap: u32,
    /// Why it stands still.
    pub stopped_because: Option<String>,
    /// Number of the last report, to withdraw it.
    pub last_report: Option<i64>,
}

impl ProgressView {
    fn of(step: &StepProgress, under_way: bool, zone: Tz) -> Self {
        let from_plan = under_way && step.state == StepState::Planned;
        Self {
            state: if from_plan { StepState::Running } else { step.state },
            started: step.started.map(|at| local(at, zone)),
            finished: step.finished.map(|at| local(at, zone)),
            good: step.good,
            scrap: step.scrap,
            stopped_because: step.reason.clone(),
            last_report: Some(step.last.0).filter(|seq| *seq > 0),
        }
    }
}

/// A lot on a cell, and how far it has come.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TaskView {
    /// The lot as planned.
    #[serde(flatten)]
    pub task: Task,
    /// Name of the part.
    pub part_name: String,
    /// Whether its order will be late by the plan.
    pub is_late: bool,
    /// What has been reported.
    pub progress: ProgressView,
}

/// A cell: what it does now, and what comes next.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CellView {
    /// Id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What it does.
    pub work: String,
    /// Lots that have been started and not finished.
    pub now: Vec<TaskView>,
    /// The lots after that, in order.
    pub next: Vec<TaskView>,
    /// Lots finished.
    pub finished: usize,
    /// Lots in all.
    pub tasks: usize,
}

/// How far an order has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OrderState {
    /// Nothing has been started.
    NotBegun,
    /// Some step has been started or finished.
    UnderWay,
    /// A step was started and stands still.
    Stopped,
    /// Every step is finished.
    Finished,
}

impl OrderState {
    /// The word for people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::NotBegun => "not begun",
            Self::UnderWay => "under way",
            Self::Stopped => "stopped",
            Self::Finished => "finished",
        }
    }
}

/// A step's name and how far it has come.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StepView {
    /// Name of the step.
    pub name: String,
    /// What has been reported.
    #[serde(flatten)]
    pub progress: ProgressView,
}

/// An order as planned, and how far it has come.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OrderView {
    /// The order as planned.
    #[serde(flatten)]
    pub order: Order,
    /// How far it has come.
    pub state: OrderState,
    /// Time from planned finish to due; negative is late.
    pub slack_min: i64,
    /// By how much the step reported last began or ended after its plan; 0 if not at all.
    pub behind_min: i64,
    /// Whether it is late by the plan, or so far behind that its slack is used up.
    pub at_risk: bool,
    /// How sure its date was when the plan was made; `null` where that was not asked.
    pub confidence: Option<OrderChance>,
    /// Whether its promise is kept in fewer cases than the shop calls safe.
    pub unsure: bool,
    /// Steps reported on.
    pub progress: Vec<StepView>,
}

impl OrderView {
    /// Whether it is in time by the plan and behind nothing, and yet not safe.
    #[must_use]
    pub fn is_only_unsure(&self) -> bool {
        self.unsure && !self.at_risk && self.state != OrderState::Finished
    }
}

/// The tooling question.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ToolingView {
    /// Currency code of all money.
    pub currency: String,
    /// Tools that the plan buys, with the last day to order.
    pub purchases: Vec<Purchase>,
    /// Orders that could wait for new dies or go without them.
    pub no_tooling: Vec<NoTooling>,
}

/// Work against opening hours.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoadView {
    /// By cell and week.
    pub loads: Vec<Load>,
}

/// How many orders there are of a kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Counts {
    /// In the plan.
    pub planned: usize,
    /// Late by the plan.
    pub late: usize,
    /// Late, or behind by more than their slack.
    pub at_risk: usize,
    /// In time by the plan, and yet kept in fewer cases than the shop calls safe.
    pub unsure: usize,
    /// Not begun.
    pub not_begun: usize,
    /// Under way.
    pub under_way: usize,
    /// Standing still.
    pub stopped: usize,
    /// Finished.
    pub finished: usize,
    /// That cannot be made at all.
    pub left_out: usize,
}

/// A cell in the status.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CellStatus {
    /// Id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// How far its present lot has come; `planned` where none has been started.
    #[serde(with = "StepStateName")]
    #[schemars(with = "StepStateName")]
    pub state: StepState,
    /// The lot under way.
    pub now: Option<Lot>,
    /// The lot that comes next.
    pub next: Option<Lot>,
}

/// A lot in a few words.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Lot {
    /// Id of the order.
    pub order: String,
    /// Id of the part.
    pub part: String,
    /// Pieces ordered.
    pub quantity: u32,
    /// Name of the step.
    pub step: String,
    /// Planned end.
    pub end: String,
}

impl Lot {
    fn of(view: &TaskView) -> Self {
        let task = &view.task;
        Self {
            order: task.order.clone(),
            part: task.part.clone(),
            quantity: task.quantity,
            step: task.step.clone(),
            end: task.end.clone(),
        }
    }
}

/// Everything about the published plan.
#[derive(Clone, Debug)]
pub struct Views {
    /// Cells in the shop's order.
    pub cells: Vec<CellView>,
    /// Every lot by cell, in the same order.
    pub tasks: Vec<Vec<TaskView>>,
    /// Orders in the order book's order.
    pub orders: Vec<OrderView>,
    /// How many orders there are of a kind.
    pub counts: Counts,
    /// What the plan costs.
    pub money: MoneySum,
}

/// Lots shown as coming next.
const NEXT: usize = 4;

impl Views {
    /// Puts a plan and the reports together.
    #[must_use]
    pub fn new(plan: &Plan, floor: &Floor, zone: Tz) -> Self {
        let orders: Vec<OrderView> =
            plan.orders.iter().map(|order| order_view(plan, order, floor, zone)).collect();
        let tasks: Vec<Vec<TaskView>> = plan
            .cells
            .iter()
            .map(|cell| cell.tasks.iter().map(|task| task_view(plan, task, floor, zone)).collect())
            .collect();
        let cells = plan.cells.iter().zip(&tasks).map(|(cell, tasks)| cell_view(cell, tasks)).collect();
        let counts = counts(&orders, plan.left_out.len());
        Self { cells, tasks, orders, counts, money: plan.money }
    }

    /// The cells in a few words.
    #[must_use]
    pub fn cell_status(&self) -> Vec<CellStatus> {
        let status = |cell: &CellView| CellStatus {
            id: cell.id.clone(),
            name: cell.name.clone(),
            state: cell.now.first().map_or(StepState::Planned, |task| task.progress.state),
            now: cell.now.first().map(Lot::of),
            next: cell.next.first().map(Lot::of),
        };
        self.cells.iter().map(status).collect()
    }
}

fn task_view(plan: &Plan, task: &Task, floor: &Floor, zone: Tz) -> TaskView {
    let order = plan.order(&task.order);
    TaskView {
        part_name: order.map_or_else(String::new, |order| order.part_name.clone()),
        is_late: order.is_some_and(|order| order.is_late),
        progress: ProgressView::of(&floor.step(&task.order, &task.step), task.under_way, zone),
        task: task.clone(),
    }
}

fn cell_view(cell: &crate::document::Cell, tasks: &[TaskView]) -> CellView {
    let with = |wanted: fn(StepState) -> bool| {
        tasks.iter().filter(move |task| wanted(task.progress.state)).cloned().collect::<Vec<_>>()
    };
    let mut next = with(|state| state == StepState::Planned);
    next.truncate(NEXT);
    CellView {
        id: cell.id.clone(),
        name: cell.name.clone(),
        work: cell.work.clone(),
        now: with(|state| matches!(state, StepState::Running | StepState::Stopped)),
        next,
        finished: with(|state| state == StepState::Finished).len(),
        tasks: tasks.len(),
    }
}

fn order_view(plan: &Plan, order: &Order, floor: &Floor, zone: Tz) -> OrderView {
    let steps: Vec<StepProgress> = order.steps.iter().map(|step| floor.step(&order.id, &step.name)).collect();
    let under_way = |name: &str| {
        let mut tasks = plan.cells.iter().flat_map(|cell| &cell.tasks);
        tasks.any(|task| task.under_way && task.order == order.id && task.step == name)
    };
    let progress: Vec<StepView> = order
        .steps
        .iter()
        .zip(&steps)
        .map(|(step, told)| StepView {
            name: step.name.clone(),
            progress: ProgressView::of(told, under_way(&step.name), zone),
        })
        .collect();
    let (slack_min, behind_min) = (-order.lateness_min, behind(order, &steps));
    let sure = plan.confidence.as_ref();
    let chance = sure.and_then(|sure| sure.orders.iter().find(|chance| chance.order == order.id));
    OrderView {
        state: order_state(&progress),
        slack_min,
        behind_min,
        at_risk: order.is_late || behind_min > slack_min.max(0),
        unsure: sure.zip(chance).is_some_and(|(sure, chance)| chance.kept < sure.at_risk_below),
        confidence: chance.cloned(),
        progress,
        order: order.clone(),
    }
}

fn order_state(steps: &[StepView]) -> OrderState {
    let any = |wanted: StepState| steps.iter().any(|step| step.progress.state == wanted);
    if !steps.is_empty() && steps.iter().all(|step| step.progress.state == StepState::Finished) {
        OrderState::Finished
    } else if any(StepState::Stopped) {
        OrderState::Stopped
    } else if any(StepState::Running) || any(StepState::Finished) {
        OrderState::UnderWay
    } else {
        OrderState::NotBegun
    }
}

/// How late the last reported fact of an order was against its plan, in minutes.
fn behind(order: &Order, steps: &[StepProgress]) -> i64 {
    let last = order.steps.iter().zip(steps).rev().find(|(_, told)| told.state != StepState::Planned);
    let Some((planned, told)) = last else { return 0 };
    let late = match (told.finished, told.started) {
        (Some(finished), _) => minutes_after(&planned.end, finished),
        (None, Some(started)) => minutes_after(&planned.run_start, started),
        (None, None) => 0,
    };
    late.max(0)
}

fn minutes_after(planned: &str, actual: DateTime<Utc>) -> i64 {
    let planned = DateTime::parse_from_rfc3339(planned);
    planned.map_or(0, |planned| (actual - planned.with_timezone(&Utc)).num_minutes())
}

fn counts(orders: &[OrderView], left_out: usize) -> Counts {
    let count = |wanted: &dyn Fn(&OrderView) -> bool| orders.iter().filter(|order| wanted(order)).count();
    let state = |wanted: OrderState| count(&|order| order.state == wanted);
    Counts {
        planned: orders.len(),
        late: count(&|order| order.order.is_late),
        at_risk: count(&|order| order.at_risk && order.state != OrderState::Finished),
        unsure: count(&OrderView::is_only_unsure),
        not_begun: state(OrderState::NotBegun),
        under_way: state(OrderState::UnderWay),
        stopped: state(OrderState::Stopped),
        finished: state(OrderState::Finished),
        left_out,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_begin_with_their_first_hour_that_exists() {
        let day = |zone, day: &str| day_start(zone, day.parse().unwrap());
        assert_eq!(
            day(chrono_tz::Europe::Vienna, "2026-12-07"),
            "2026-12-06T23:00:00Z".parse::<DateTime<Utc>>().unwrap()
        );
        // Clocks skipped midnight in Cairo on 2023-04-28 (IANA time zone database).
        assert_eq!(
            day(chrono_tz::Africa::Cairo, "2023-04-28"),
            "2023-04-27T22:00:00Z".parse::<DateTime<Utc>>().unwrap()
        );
    }
}
