//! The review of a period.

use crate::causes::{CauseOfLateness, causes};
use crate::indicators::{Elements, ratio};
use crate::lot::{Actual, PlannedLot};
use crate::orders::{OnTime, OrderFacts, OrderReview, order};
use crate::spans::{Span, minutes, shared};
use chrono::{DateTime, Utc};
use chrono_tz::Tz;

/// A cell and when it was open by the plans.
#[derive(Clone, Debug, PartialEq)]
pub struct CellFacts {
    /// Id of the cell.
    pub id: String,
    /// Open hours, in order of time, without overlaps.
    pub open: Vec<Span>,
}

/// Everything that is looked back at.
#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    /// The period.
    pub period: Span,
    /// Where the shop's days begin.
    pub zone: Tz,
    /// Until when there are reports; what is unfinished is unfinished then.
    pub now: DateTime<Utc>,
    /// Orders.
    pub orders: Vec<OrderFacts>,
    /// Lots as planned, one for each that was done or should have been.
    pub planned: Vec<PlannedLot>,
    /// Lots as done.
    pub actual: Vec<Actual>,
    /// Cells.
    pub cells: Vec<CellFacts>,
}

/// A lot, planned and done.
#[derive(Clone, Debug, PartialEq)]
pub struct LotReview {
    /// As planned, if it was.
    pub planned: Option<PlannedLot>,
    /// As done, if it has begun.
    pub actual: Option<Actual>,
    /// Open minutes that it took, changeover and stops included.
    pub took_min: Option<f64>,
    /// How much later than planned it began, in minutes.
    pub start_shift_min: Option<f64>,
    /// How much later than planned it was finished, in minutes.
    pub end_shift_min: Option<f64>,
    /// Whether it began on the planned cell and day.
    pub as_planned: bool,
}

/// A cell over the period.
#[derive(Clone, Debug, PartialEq)]
pub struct CellReview {
    /// Id of the cell.
    pub id: String,
    /// Elements for the indicators. Where nobody said when changing over was done, setup time is that
    /// of the plan, as far as the lot took so long.
    pub elements: Elements,
    /// Lots that were finished.
    pub finished: usize,
}

/// What was, against what was planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Review {
    /// The period.
    pub period: Span,
    /// Promises kept, of orders due in the period.
    pub on_time: OnTime,
    /// Those orders, the latest first.
    pub orders: Vec<OrderReview>,
    /// Lots that were planned to begin or began in the period, by start.
    pub lots: Vec<LotReview>,
    /// Cells.
    pub cells: Vec<CellReview>,
    /// All cells together.
    pub whole: Elements,
    /// What cost most lateness.
    pub causes: Vec<CauseOfLateness>,
}

impl Review {
    /// Lots that began on the planned cell and day, of those planned to begin in the period. Our own
    /// definition.
    #[must_use]
    pub fn adherence(&self) -> Option<f64> {
        let planned = self.lots.iter().filter(|lot| {
            lot.planned.as_ref().is_some_and(|planned| within(planned.setup_start, self.period))
        });
        let (as_planned, all) =
            planned.fold((0, 0), |(good, all), lot| (good + u32::from(lot.as_planned), all + 1));
        ratio(f64::from(as_planned), f64::from(all))
    }
}

/// Looks back at a period.
#[must_use]
pub fn review(facts: &Facts) -> Review {
    let all: Vec<OrderReview> = facts.orders.iter().map(|facts_| order(facts_.clone(), facts.now)).collect();
    let mut due: Vec<&OrderReview> =
        all.iter().filter(|order| within(order.facts.first_due, facts.period)).collect();
    due.sort_by(|a, b| b.lateness_min.total_cmp(&a.lateness_min).then_with(|| a.facts.id.cmp(&b.facts.id)));
    let cells: Vec<CellReview> = facts.cells.iter().map(|cell| of_cell(facts, cell)).collect();
    let mut whole = Elements::default();
    cells.iter().for_each(|cell| whole += cell.elements);
    Review {
        period: facts.period,
        on_time: OnTime::of(&due),
        causes: causes(&due, &facts.actual, facts.now),
        orders: due.into_iter().cloned().collect(),
        lots: lots(facts),
        cells,
        whole,
    }
}

fn within(moment: DateTime<Utc>, period: Span) -> bool {
    period.0 <= moment && moment < period.1
}

fn lots(facts: &Facts) -> Vec<LotReview> {
    let of = |planned: &PlannedLot| {
        facts.actual.iter().find(|lot| lot.order == planned.order && lot.step == planned.step)
    };
    let planned = facts.planned.iter().map(|planned| lot(facts, Some(planned), of(planned)));
    let known = |lot: &&Actual| facts.planned.iter().any(|p| p.order == lot.order && p.step == lot.step);
    let unplanned =
        facts.actual.iter().filter(|lot| !known(lot)).map(|actual| lot(facts, None, Some(actual)));
    let mut lots: Vec<LotReview> =
        planned.chain(unplanned).filter(|lot| begins_in(lot, facts.period)).collect();
    lots.sort_by_key(|lot| {
        let planned = lot.planned.as_ref().map(|planned| planned.setup_start);
        (planned.or(lot.actual.as_ref().map(|actual| actual.started)), name(lot))
    });
    lots
}

fn name(lot: &LotReview) -> (String, String) {
    let planned = lot.planned.as_ref().map(|planned| (planned.order.clone(), planned.step.clone()));
    let actual = || lot.actual.as_ref().map(|actual| (actual.order.clone(), actual.step.clone()));
    planned.or_else(actual).unwrap_or_default()
}

fn begins_in(lot: &LotReview, period: Span) -> bool {
    lot.planned.as_ref().is_some_and(|planned| within(planned.setup_start, period))
        || lot.actual.as_ref().is_some_and(|actual| within(actual.started, period))
}

fn lot(facts: &Facts, planned: Option<&PlannedLot>, actual: Option<&Actual>) -> LotReview {
    let shift = |was: DateTime<Utc>, is: DateTime<Utc>| (is - was).num_seconds() as f64 / 60.0;
    let both = planned.zip(actual);
    let timed = actual.filter(|actual| actual.is_timed());
    let finished = both.and_then(|(planned, actual)| Some((planned, actual.finished?)));
    LotReview {
        took_min: timed.map(|actual| actual.worked(open(facts, &actual.cell), facts.now).0),
        start_shift_min: both
            .filter(|(_, actual)| actual.is_timed())
            .map(|(planned, actual)| shift(planned.setup_start, actual.started)),
        end_shift_min: finished.map(|(planned, finished)| shift(planned.end, finished)),
        as_planned: both.is_some_and(|(planned, actual)| {
            let day = |moment: DateTime<Utc>| moment.with_timezone(&facts.zone).date_naive();
            planned.cell == actual.cell && day(planned.setup_start) == day(actual.started)
        }),
        planned: planned.cloned(),
        actual: actual.cloned(),
    }
}

pub(crate) fn open<'f>(facts: &'f Facts, cell: &str) -> &'f [Span] {
    facts.cells.iter().find(|known| known.id == cell).map_or(&[], |known| &known.open)
}

fn of_cell(facts: &Facts, cell: &CellFacts) -> CellReview {
    let planned_busy = cell.open.iter().filter_map(|span| shared(*span, facts.period)).map(minutes).sum();
    let mut elements = Elements { planned_busy, ..Elements::default() };
    let mut finished = 0;
    let done =
        |lot: &&Actual| lot.cell == cell.id && lot.finished.is_some_and(|end| within(end, facts.period));
    for lot in facts.actual.iter().filter(done) {
        elements += of_lot(facts, cell, lot);
        finished += 1;
    }
    CellReview { id: cell.id.clone(), elements, finished }
}

/// The elements of one finished lot.
fn of_lot(facts: &Facts, cell: &CellFacts, lot: &Actual) -> Elements {
    let planned = facts.planned.iter().find(|planned| planned.order == lot.order && planned.step == lot.step);
    let pieces = Elements {
        produced: f64::from(lot.good + lot.scrap),
        good: f64::from(lot.good),
        scrap: f64::from(lot.scrap),
        ..Elements::default()
    };
    if !lot.is_timed() {
        return Elements { untimed: pieces.produced, ..pieces };
    }
    let (took, delay) = lot.worked(&cell.open, facts.now);
    let setup = match lot.changed_over {
        Some(done) => lot.worked_within((lot.started, done), &cell.open, facts.now),
        None => planned.map_or(0.0, |planned| planned.setup_min),
    };
    let setup = setup.min(took - delay);
    let per_piece = planned.map_or(0.0, |planned| planned.run_min / f64::from(planned.pieces.max(1)));
    Elements {
        production: took - delay - setup,
        setup,
        delay,
        order_execution: lot.elapsed(facts.now),
        planned_production: per_piece * pieces.produced,
        ..pieces
    }
}
