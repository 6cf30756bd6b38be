//! What a new plan begins from: the published plan, what was promised since, and what the shop floor
//! reported. The service and the command line plan anew from the same base.

use crate::document::Plan;
use crate::replan::{carried_over, with_promised};
use crate::snapshot::{PLAN_JSON, ReadError};
use crate::standing::{EVERY, MAKING_JSON, Making};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use elbowroom_engine::{Settings, Watch};
use elbowroom_files::plan_json;
use elbowroom_planner::plan as planner;
use elbowroom_planner::{Near, PlanError, Planned, Replanned, Request, plan_anew};
use elbowroom_problem::{Problem, Schedule};
use elbowroom_report::ics::calendar;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_store::{
    Document, Floor, NewPlan, PlanFigures, PlanHead, Promise, Seq, Signature, Store, StoreError, Version,
};
use elbowroom_units::Minute;

/// What a new plan begins from.
pub struct Base {
    published: Option<Published>,
    floor: Floor,
    last_report: Seq,
    promises: Vec<Promise>,
}

/// The plan that stands.
struct Published {
    head: PlanHead,
    plan: Plan,
    document: Vec<u8>,
    start: NaiveDate,
    /// Its problem and schedule; plans kept by other means may lack them.
    solved: Option<(Problem, Schedule)>,
}

/// When and for how long a plan is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Made {
    /// What was asked for.
    pub request: Request,
    /// When it was begun; what lies before is past.
    pub now: DateTime<Utc>,
}

impl Base {
    /// Reads it.
    ///
    /// # Errors
    /// If the store cannot be read, or the published plan not be understood.
    pub fn read(store: &dyn Store) -> Result<Self, ReadError> {
        let published = store.current()?.map(|head| Published::read(store, head)).transpose()?;
        let reports = store.reports(Seq(0), u32::MAX)?;
        let last_report = reports.last().map_or(Seq(0), |recorded| recorded.seq);
        Ok(Self { published, floor: Floor::of(&reports), last_report, promises: store.promises(EVERY)? })
    }

    /// Whether nothing has been published, promised or reported yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.published.is_none() && self.last_report == Seq(0) && self.promises.is_empty()
    }

    /// The plan that stands, if one was published.
    #[must_use]
    pub fn head(&self) -> Option<&PlanHead> {
        self.published.as_ref().map(|published| &published.head)
    }

    /// Its content, `plan.json`.
    #[must_use]
    pub fn document(&self) -> Option<&[u8]> {
        self.published.as_ref().map(|published| published.document.as_slice())
    }

    /// Its version, to be named by whoever publishes the next.
    #[must_use]
    pub fn version(&self) -> Version {
        self.head().and_then(PlanHead::version).unwrap_or(Version::NONE)
    }

    /// The shop with what was promised in its book and what was reported under way, its cells closed
    /// before now.
    #[must_use]
    pub fn shop(&self, shop: Shop, made: &Made) -> Shop {
        let plan = self.published.as_ref().map(|published| &published.plan);
        let shop = with_promised(shop, &self.promises);
        carried_over(shop, &self.floor, plan, made.request.start, made.now)
    }

    /// The plan that stands as a hint for one that starts on a day.
    #[must_use]
    pub fn near(&self, shop: &Shop, start: NaiveDate) -> Option<Near<'_>> {
        let published = self.published.as_ref()?;
        let clock = PlanClock::new(shop.terms.time_zone, published.start);
        let shift = Minute::ZERO.until(clock.minute(start, NaiveTime::MIN));
        let (problem, schedule) = published.solved.as_ref()?;
        Some(Near { problem, schedule, shift })
    }

    /// Plans a shop that [`Base::shop`] made: near the plan that stands, if there is one.
    ///
    /// # Errors
    /// As the planner says.
    pub fn plan(
        &self,
        shop: &Shop,
        request: &Request,
        settings: &Settings,
        watch: &dyn Watch,
        steadiness: &Steadiness,
    ) -> Result<Replanned, PlanError> {
        plan_anew(shop, request, settings, watch, self.near(shop, request.start), steadiness)
    }

    /// A plan made from this base, to be kept. `inputs`: the shop's files that it was made from, as
    /// [`input`] names them.
    #[must_use]
    pub fn proposal(
        &self,
        inputs: Vec<Document>,
        planned: &Planned,
        made: &Made,
        signature: Signature,
        reason: &str,
    ) -> NewPlan {
        let making = Making {
            start: made.request.start,
            weeks: made.request.weeks,
            now: made.now,
            last_report: self.last_report.0,
            published: self.head().map(|head| head.id.0),
        };
        let mut documents = inputs;
        documents.extend(results(planned, &making));
        documents.extend(calendars(&planned.plan, made.now));
        NewPlan {
            made: signature,
            based_on: self.version(),
            reason: reason.to_owned(),
            figures: figures(planned),
            documents,
        }
    }
}

impl Published {
    fn read(store: &dyn Store, head: PlanHead) -> Result<Self, ReadError> {
        let id = head.id;
        let fault = |detail: String| ReadError::Plan { id, detail };
        let document = store.document(id, PLAN_JSON)?;
        let plan = Plan::read(&document).map_err(|error| fault(error.to_string()))?;
        let start = plan.start.parse().map_err(|_| fault(format!("`{}` is no day", plan.start)))?;
        let solved = match (store.document(id, "problem.json"), store.document(id, "schedule.json")) {
            (Ok(problem), Ok(schedule)) => Some(solved(&problem, &schedule).map_err(fault)?),
            (Err(StoreError::NotFound { .. }), _) | (_, Err(StoreError::NotFound { .. })) => None,
            (Err(error), _) | (_, Err(error)) => return Err(error.into()),
        };
        Ok(Self { head, plan, document, start, solved })
    }
}

fn solved(problem: &[u8], schedule: &[u8]) -> Result<(Problem, Schedule), String> {
    let problem =
        elbowroom_contract::read_problem(problem).map_err(|_| "its problem cannot be read".to_owned())?;
    let schedule = elbowroom_contract::read_schedule(schedule, &problem)
        .map_err(|_| "its schedule cannot be read".to_owned())?;
    Ok((problem, schedule))
}

/// A file of the shop folder as it is kept with a plan.
#[must_use]
pub fn input(name: &str, bytes: &[u8]) -> Document {
    Document { name: format!("inputs/{name}"), bytes: bytes.to_vec() }
}

/// A plan's figures.
fn figures(planned: &Planned) -> PlanFigures {
    let plan = &planned.plan;
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    PlanFigures {
        orders: count(plan.orders.len()),
        late_orders: count(plan.orders.iter().filter(|order| order.is_late()).count()),
        total_cost: plan.money.total.amount(),
        currency: plan.currency.clone(),
    }
}

/// The documents that a plan brings with it.
fn results(planned: &Planned, making: &Making) -> [Document; 4] {
    let text = |name: &str, text: String| Document { name: name.to_owned(), bytes: text.into_bytes() };
    let making = serde_json::to_string(making).expect("the service's own records can be written as JSON");
    [
        text(PLAN_JSON, plan_json(&planned.plan)),
        text("problem.json", elbowroom_contract::write_problem(&planned.problem)),
        text(
            "schedule.json",
            elbowroom_contract::write_schedule(&planned.problem, planned.schedule.schedule()),
        ),
        text(MAKING_JSON, making),
    ]
}

/// A calendar for each cell.
fn calendars(plan: &planner::Plan, made: DateTime<Utc>) -> impl Iterator<Item = Document> + '_ {
    plan.cells.iter().map(move |cell| Document {
        name: calendar_name(&cell.id),
        bytes: calendar(plan, cell, made).into_bytes(),
    })
}

/// The name under which a cell's calendar is kept with a plan.
#[must_use]
pub fn calendar_name(cell: &str) -> String {
    format!("calendars/{cell}.ics")
}
