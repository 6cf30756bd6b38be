//! What the store knows of the past, put together for looking back.

use crate::console;
use crate::exit::Exit;
use chrono::{DateTime, Utc};
use elbowroom_files::{PlanRecord, PlannedOrder, read_plan_record};
use elbowroom_lookback::{Actual, CellFacts, Event, OrderFacts, PlannedLot, Reported, Span, lots};
use elbowroom_store::{Event as Told, Outcome, Page, PlanHead, Recorded, Seq, Store, StoreError};
use std::collections::{BTreeMap, BTreeSet};

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
    let mut actual = lots(&standing(&all_reports(store)?));
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
