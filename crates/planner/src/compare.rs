//! What is different from one plan to another, so that a person can follow it.

mod because;

use crate::plan::{CellPlan, MoneySum, OrderPlan, Plan};
use because::because;
use chrono::{DateTime, FixedOffset, NaiveDate};
use elbowroom_units::{Minutes, Money};

/// A plan as far as it can be held against another, which may begin on another day.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Name of the shop.
    pub shop: String,
    /// Its currency.
    pub currency: String,
    /// First day of the plan.
    pub start: NaiveDate,
    /// What it costs.
    pub money: MoneySum,
    /// Its orders.
    pub orders: Vec<OrderOutline>,
    /// Orders that cannot be made, each with every reason.
    pub left_out: Vec<(String, Vec<String>)>,
    /// Its cells.
    pub cells: Vec<CellOutline>,
}

/// A cell of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct CellOutline {
    /// Id.
    pub id: String,
    /// When it is open.
    pub open: Vec<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
    /// What it does.
    pub lots: Vec<LotOutline>,
}

/// A lot on a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct LotOutline {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// When changing over for it begins.
    pub from: DateTime<FixedOffset>,
    /// When it ends.
    pub to: DateTime<FixedOffset>,
}

/// A step of an order.
#[derive(Clone, Debug, PartialEq)]
pub struct StepOutline {
    /// Its name.
    pub name: String,
    /// Id of the cell or vendor.
    pub place: String,
    /// When its run begins.
    pub start: DateTime<FixedOffset>,
    /// When it ends.
    pub end: DateTime<FixedOffset>,
}

/// An order of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderOutline {
    /// Id of the order.
    pub id: String,
    /// Id of the part.
    pub part: String,
    /// Pieces.
    pub quantity: u32,
    /// The date promised.
    pub promised: NaiveDate,
    /// When it must be finished.
    pub due: DateTime<FixedOffset>,
    /// When it is.
    pub finish: DateTime<FixedOffset>,
    /// How and on which cell it is bent; `None` where that is done.
    pub bent: Option<(String, String)>,
    /// What it costs.
    pub cost: Money,
    /// Why it is late, if it is.
    pub late: Option<String>,
    /// Its steps.
    pub steps: Vec<StepOutline>,
}

impl Outline {
    /// The outline of a plan.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        Self {
            shop: plan.shop.clone(),
            currency: plan.currency.clone(),
            start: plan.start,
            money: plan.money,
            orders: plan.orders.iter().map(|order| OrderOutline::of(plan, order)).collect(),
            left_out: plan.left_out.iter().map(|out| (out.order.clone(), out.reasons.clone())).collect(),
            cells: plan.cells.iter().map(|cell| CellOutline::of(plan, cell)).collect(),
        }
    }

    /// How many orders are late.
    #[must_use]
    pub fn late(&self) -> usize {
        self.orders.iter().filter(|order| order.is_late()).count()
    }

    fn order(&self, id: &str) -> Option<&OrderOutline> {
        self.orders.iter().find(|order| order.id == id)
    }

    fn cell(&self, id: &str) -> Option<&CellOutline> {
        self.cells.iter().find(|cell| cell.id == id)
    }

    fn reasons(&self, id: &str) -> Option<&[String]> {
        self.left_out.iter().find(|(order, _)| order == id).map(|(_, reasons)| reasons.as_slice())
    }
}

impl CellOutline {
    fn of(plan: &Plan, cell: &CellPlan) -> Self {
        let moment = |minute| plan.clock.local(minute).fixed_offset();
        let lots = cell.tasks.iter().map(|task| LotOutline {
            order: task.order.clone(),
            step: task.step.clone(),
            from: moment(task.setup_start),
            to: moment(task.end),
        });
        let open = cell.open.iter().map(|(from, to)| (moment(*from), moment(*to)));
        Self { id: cell.id.clone(), open: open.collect(), lots: lots.collect() }
    }
}

impl OrderOutline {
    fn of(plan: &Plan, order: &OrderPlan) -> Self {
        let moment = |minute| plan.clock.local(minute).fixed_offset();
        let process = order.process.map(|process| process.name().to_owned());
        Self {
            id: order.id.clone(),
            part: order.part.clone(),
            quantity: order.quantity,
            promised: order.promised,
            due: moment(order.due),
            finish: moment(order.finish),
            bent: process.zip(order.bend_cell.clone()),
            cost: order.cost,
            late: order.late.as_ref().map(|late| late.text.clone()),
            steps: order
                .steps
                .iter()
                .map(|step| StepOutline {
                    name: step.name.clone(),
                    place: step.place.clone(),
                    start: moment(step.run_start),
                    end: moment(step.end),
                })
                .collect(),
        }
    }

    /// Whether it is finished after it is due.
    #[must_use]
    pub fn is_late(&self) -> bool {
        self.finish > self.due
    }

    /// Finish against due: positive is late.
    #[must_use]
    pub fn lateness(&self) -> Minutes {
        Minutes::new((self.finish - self.due).num_minutes())
    }
}

/// What became of an order; the worst news first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// It was planned and cannot be made now.
    LeftOut,
    /// It was in time (or new) and is late.
    NowLate,
    /// It was late and is later.
    LaterStill,
    /// It was late and is in time.
    NowInTime,
    /// It was late and is still late, but less.
    LessLate,
    /// It is finished later, in time all the same.
    Later,
    /// It is finished sooner; it was in time before.
    Sooner,
    /// It is bent in another way or on another cell, and finished when it was.
    Elsewhere,
    /// It was not in the older plan, and is in time.
    New,
    /// It is no longer there: done, or called off.
    Gone,
}

/// An order that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Id of the order.
    pub id: String,
    /// What became of it.
    pub fate: Fate,
    /// As it was.
    pub old: Option<OrderOutline>,
    /// As it is.
    pub new: Option<OrderOutline>,
    /// Why, where that is known: what makes it late now, made it late before, or why it cannot be
    /// made; for an order in time which step moved first, and what has its place now.
    pub why: Option<String>,
}

impl Moved {
    /// How much later it is finished; negative: sooner. `None` where it is in one plan only.
    #[must_use]
    pub fn shift(&self) -> Option<Minutes> {
        let (old, new) = (self.old.as_ref()?, self.new.as_ref()?);
        Some(Minutes::new((new.finish - old.finish).num_minutes()))
    }

    /// Whether it is bent in another way or on another cell.
    #[must_use]
    pub fn is_elsewhere(&self) -> bool {
        let bent = |order: &Option<OrderOutline>| order.as_ref().and_then(|order| order.bent.clone());
        self.old.is_some() && self.new.is_some() && bent(&self.old) != bent(&self.new)
    }
}

/// What is different from one plan to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Orders that are not as they were, the worst news first, then those that moved most.
    pub moved: Vec<Moved>,
    /// How many are as they were.
    pub unchanged: usize,
    /// What the newer plan costs more.
    pub extra_cost: Money,
}

/// Holds one plan against another. An order that is finished less than `least` later or sooner, on
/// the same cell and with the same word on being late, counts as unchanged.
#[must_use]
pub fn compare(old: &Outline, new: &Outline, least: Minutes) -> Comparison {
    let ids = new.orders.iter().map(|order| &order.id);
    let gone = old.orders.iter().map(|order| &order.id).filter(|id| new.order(id).is_none());
    let known = |id: &String| old.order(id).is_some() || old.reasons(id).is_some();
    let impossible = new.left_out.iter().map(|(id, _)| id).filter(|id| !known(id));
    let all: Vec<&String> = ids.chain(gone).chain(impossible).collect();
    let mut moved: Vec<Moved> = all.iter().filter_map(|id| moved(old, new, id, least)).collect();
    let unchanged = all.len() - moved.len();
    moved.sort_by_key(|moved| {
        let far = moved.shift().map_or(0, |shift| shift.count().abs());
        (moved.fate, std::cmp::Reverse(far), moved.id.clone())
    });
    Comparison { moved, unchanged, extra_cost: new.money.total - old.money.total }
}

fn moved(old: &Outline, new: &Outline, id: &str, least: Minutes) -> Option<Moved> {
    let (was, is) = (old.order(id), new.order(id));
    let mut moved =
        Moved { id: id.to_owned(), fate: Fate::Gone, old: was.cloned(), new: is.cloned(), why: None };
    moved.fate = fate(&moved, new.reasons(id).is_some(), least)?;
    moved.why = match moved.fate {
        Fate::LeftOut => new.reasons(id).map(|reasons| reasons.join("; ")),
        Fate::NowLate | Fate::LaterStill | Fate::LessLate => is.and_then(|order| order.late.clone()),
        Fate::NowInTime => {
            was.and_then(|order| order.late.as_ref()).map(|late| format!("it was late because {late}"))
        }
        Fate::Later | Fate::Sooner | Fate::Elsewhere => because(old, new, id, least),
        Fate::New | Fate::Gone => None,
    };
    Some(moved)
}

/// What became of an order; `None` if it is as it was.
fn fate(moved: &Moved, is_left_out: bool, least: Minutes) -> Option<Fate> {
    let (was, is) = match (&moved.old, &moved.new) {
        (_, None) => return Some(if is_left_out { Fate::LeftOut } else { Fate::Gone }),
        (None, Some(is)) => return Some(if is.is_late() { Fate::NowLate } else { Fate::New }),
        (Some(was), Some(is)) => (was, is),
    };
    let shift = moved.shift().unwrap_or(Minutes::ZERO);
    let (later, sooner) = (shift >= least, Minutes::ZERO - shift >= least);
    match (was.is_late(), is.is_late()) {
        (false, true) => Some(Fate::NowLate),
        (true, false) => Some(Fate::NowInTime),
        (true, true) if later => Some(Fate::LaterStill),
        (true, true) if sooner => Some(Fate::LessLate),
        (false, false) if later => Some(Fate::Later),
        (false, false) if sooner => Some(Fate::Sooner),
        _ => moved.is_elsewhere().then_some(Fate::Elsewhere),
    }
}
