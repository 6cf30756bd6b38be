//! What the store knows of the past, put together for looking back.

use crate::args::StoreArgs;
use crate::commands::open_store;
use crate::console;
use crate::exit::Exit;
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;
use elbowroom_files::{PlanRecord, PlannedOrder, read_plan_record, read_shop};
use elbowroom_lookback::{Actual, CellFacts, Event, Facts, OrderFacts, PlannedLot, Reported, Span, lots};
use elbowroom_shop::Shop;
use elbowroom_store::{Event as Told, Outcome, Page, PlanHead, Recorded, Seq, Store, StoreError};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Reports and plans are fetched so many at a time.
const AT_ONCE: u32 = 500;

/// What was planned and what was reported.
pub struct Past {
    /// Orders.
    pub orders: Vec<OrderFacts>,
    /// Lots as planned when they began.
    pub planned: Vec<PlannedLot>,
    /// Lots as reported.
    pub actual: Vec<Actual>,
    /// Cells and when they were open.
    pub cells: Vec<CellFacts>,
    /// When the first plan was published.
    pub begin: Option<DateTime<Utc>>,
    /// When the last thing happened that was reported.
    pub last: Option<DateTime<Utc>>,
}

/// Why the past cannot be read.
pub enum PastError {
    /// The store refuses.
    Store(StoreError),
    /// A plan in the store cannot be understood.
    Plan(String),
}

impl From<StoreError> for PastError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

/// Tells why the past cannot be read.
pub fn tell(error: &PastError) -> Exit {
    match error {
        PastError::Store(error) => console::tell(&format!("error: {error}")),
        PastError::Plan(fault) => {
            console::tell(&format!("error: the store holds a plan that cannot be read: {fault}"))
        }
    }
    Exit::BadInput
}

/// Reads all of it.
pub fn read(store: &dyn Store) -> Result<Past, PastError> {
    let reports = standing(&all_reports(store)?);
    let mut actual = lots(&reports);
    let plans = published(store)?;
    let mut planned: BTreeMap<(String, String), PlannedLot> = BTreeMap::new();
    for (at, plan) in &plans {
        let begun = |lot: &PlannedLot| {
            actual.iter().any(|a| a.order == lot.order && a.step == lot.step && a.started < *at)
        };
        for lot in plan.lots.iter().filter(|lot| !begun(lot)) {
            planned.insert((lot.order.clone(), lot.step.clone()), lot.clone());
        }
    }
    // Where nobody said on which cell, it was the planned one.
    for lot in actual.iter_mut().filter(|lot| lot.cell.is_empty()) {
        if let Some(planned) = planned.get(&(lot.order.clone(), lot.step.clone())) {
            lot.cell.clone_from(&planned.cell);
        }
    }
    Ok(Past {
        orders: orders(&plans, &actual),
        planned: planned.into_values().collect(),
        cells: cells(&plans),
        begin: plans.first().map(|(at, _)| *at),
        last: reports.last().map(|report| report.at),
        actual,
    })
}

fn all_reports(store: &dyn Store) -> Result<Vec<Recorded>, StoreError> {
    let mut all: Vec<Recorded> = Vec::new();
    loop {
        let after = all.last().map_or(Seq(0), |last| last.seq);
        let more = store.reports(after, AT_ONCE)?;
        if more.is_empty() {
            return Ok(all);
        }
        all.extend(more);
    }
}

/// Reports that were not withdrawn, by the time at which it happened.
fn standing(reports: &[Recorded]) -> Vec<Reported> {
    let withdrawn: BTreeSet<Seq> = reports
        .iter()
        .filter_map(|recorded| match recorded.report.event {
            Told::Withdrawn { report } => Some(report),
            _ => None,
        })
        .collect();
    let kept = reports.iter().filter(|recorded| !withdrawn.contains(&recorded.seq));
    let mut standing: Vec<Reported> = kept.filter_map(reported).collect();
    standing.sort_by_key(|report| report.at);
    standing
}

fn reported(recorded: &Recorded) -> Option<Reported> {
    let report = &recorded.report;
    let event = match &report.event {
        Told::Started => Event::Started,
        Told::Stopped { reason } => Event::Stopped { reason: reason.clone() },
        Told::Counted { good, scrap } => Event::Counted { good: *good, scrap: *scrap },
        Told::Finished { good, scrap } => Event::Finished { good: *good, scrap: *scrap },
        Told::Withdrawn { .. } => return None,
    };
    Some(Reported {
        order: report.order.clone(),
        step: report.step.clone(),
        cell: report.cell.clone(),
        at: report.happened,
        event,
    })
}

/// Published plans, oldest first, with the moment of publishing.
fn published(store: &dyn Store) -> Result<Vec<(DateTime<Utc>, PlanRecord)>, PastError> {
    let mut heads: Vec<PlanHead> = Vec::new();
    loop {
        let before = heads.last().map(|last| last.id.0);
        let more = store.plans(Page { before, limit: AT_ONCE })?;
        if more.is_empty() {
            break;
        }
        heads.extend(more);
    }
    let mut plans = Vec::new();
    for head in heads.iter().rev() {
        if let Outcome::Published { signature, .. } = &head.outcome {
            let bytes = store.document(head.id, "plan.json")?;
            let plan = read_plan_record(&bytes)
                .map_err(|faults| PastError::Plan(format!("plan {}: {}", head.id, faults.join("; "))))?;
            plans.push((signature.at, plan));
        }
    }
    plans.sort_by_key(|(at, _)| *at);
    Ok(plans)
}

/// Every order of some plan: the first word on it, and the last.
fn orders(plans: &[(DateTime<Utc>, PlanRecord)], actual: &[Actual]) -> Vec<OrderFacts> {
    let mut seen: BTreeMap<&str, (&PlannedOrder, &PlannedOrder)> = BTreeMap::new();
    for order in plans.iter().flat_map(|(_, plan)| &plan.orders) {
        seen.entry(&order.id).and_modify(|(_, last)| *last = order).or_insert((order, order));
    }
    let facts = seen.into_values().map(|(first, last)| OrderFacts {
        id: first.id.clone(),
        first_due: first.due,
        last_due: last.due,
        planned: first.finish,
        planned_cause: first.cause.clone(),
        finished: actual
            .iter()
            .find(|lot| lot.order == first.id && lot.step == last.last_step)
            .and_then(|lot| lot.finished),
    });
    facts.collect()
}

/// Open hours of each cell over all plans.
fn cells(plans: &[(DateTime<Utc>, PlanRecord)]) -> Vec<CellFacts> {
    let mut open: BTreeMap<&str, Vec<Span>> = BTreeMap::new();
    for cell in plans.iter().flat_map(|(_, plan)| &plan.cells) {
        open.entry(&cell.id).or_default().extend(&cell.open);
    }
    open.into_iter().map(|(id, spans)| CellFacts { id: id.to_owned(), open: joined(spans) }).collect()
}

/// Spans in order, those that overlap or touch made one.
fn joined(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_unstable();
    let mut joined: Vec<Span> = Vec::new();
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// What past is asked for.
pub struct Asked<'a> {
    /// Folder of the shop.
    pub shop: &'a Path,
    /// Where plans and reports are kept.
    pub store: &'a StoreArgs,
    /// First day; `None`: that of the first plan.
    pub from: Option<NaiveDate>,
    /// Last day; `None`: today.
    pub until: Option<NaiveDate>,
}

/// The shop and its past as facts to look back at.
pub fn whole_past(asked: &Asked<'_>) -> Result<(Shop, Facts), Exit> {
    let shop = read_shop(asked.shop).shop.ok_or_else(|| {
        let folder = asked.shop.display();
        console::tell(&format!("error: {folder} cannot be read as a shop; `elbowroom check` says why"));
        Exit::BadInput
    })?;
    let path = asked.store.path(asked.shop);
    if !path.is_file() {
        console::tell(&format!(
            "error: there is no store {}: nothing has been published or recorded\n  hint: `elbowroom serve` \
             publishes plans, `elbowroom record` keeps what happens",
            path.display()
        ));
        return Err(Exit::BadInput);
    }
    let past = read(&open_store(&path)?).map_err(|error| tell(&error))?;
    let zone = shop.terms.time_zone;
    // The floor's clock counts too: nothing is reported before it happens.
    let now = past.last.map_or_else(Utc::now, |last| last.max(Utc::now()));
    let period = period(asked, &past, zone, now)?;
    let Past { orders, planned, actual, cells, .. } = past;
    Ok((shop, Facts { period, zone, now: now.min(period.1), orders, planned, actual, cells }))
}

/// From the first day's beginning to the last day's end.
fn period(asked: &Asked<'_>, past: &Past, zone: Tz, now: DateTime<Utc>) -> Result<Span, Exit> {
    let day = |moment: DateTime<Utc>| moment.with_timezone(&zone).date_naive();
    let from = asked.from.unwrap_or_else(|| day(past.begin.unwrap_or(now)));
    let until = asked.until.unwrap_or_else(|| day(now));
    if until < from {
        console::tell(&format!("error: the last day {until} is before the first, {from}"));
        return Err(Exit::BadInput);
    }
    let after = until.checked_add_days(Days::new(1)).unwrap_or(until);
    Ok((beginning(from, zone), beginning(after, zone)))
}

/// Midnight, or the first moment of a day that has none.
fn beginning(day: NaiveDate, zone: Tz) -> DateTime<Utc> {
    let midnight = day.and_time(NaiveTime::MIN);
    zone.from_local_datetime(&midnight)
        .earliest()
        .map_or_else(|| midnight.and_utc(), |moment| moment.to_utc())
}
