//! A whole plan carried out: orders, cells, promises at risk.

use super::chances::chances;
use super::remedy::{Bench, Tried, remedies};
use crate::compile::JobRole;
use crate::plan::{CellChance, Confidence, DatesKept, OrderChance, OrderPlan, Plan, Risk};
use crate::week::Planned;
use chrono::{Datelike, Days};
use elbowroom_engine::Watch;
use elbowroom_problem::JobIdx;
use elbowroom_rehearsal::{Outcome, Settings, Turns, rehearse_while};
use elbowroom_shop::Shop;
use elbowroom_units::{Minute, Minutes, Money};

/// How thoroughly to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Times the plan is carried out, if the time is enough; at least 1.
    pub runs: u32,
    /// Seed of the chance.
    pub seed: u64,
    /// Threads; they change nothing but the time it takes.
    pub threads: usize,
    /// Promises at risk for which remedies are tried, the dearest first.
    pub remedied: usize,
}

/// Times that a plan of so many operations can be carried out in some seconds, at least 100 and at
/// most 2,000: a slow machine does half a million operations a second.
#[must_use]
pub fn runs_within(operations: usize, seconds: f64) -> u32 {
    const OPERATIONS_A_SECOND: f64 = 0.5e6;
    let runs = seconds * OPERATIONS_A_SECOND / operations.max(1) as f64;
    runs.clamp(100.0, 2000.0) as u32
}

/// How sure a plan's dates are, and what helps where a promise is at risk. What is tried out ends
/// with the time of the watch; what it was too short for is said.
#[must_use]
pub fn assess(shop: &Shop, planned: &Planned, asked: &Asked, watch: &dyn Watch) -> Confidence {
    let plan = &planned.plan;
    let weeks = week_ends(plan);
    let settings = Settings {
        runs: asked.runs,
        seed: asked.seed,
        turns: turns(shop),
        threads: asked.threads,
        marks: weeks.iter().map(|week| week.end).collect(),
    };
    let (problem, schedule) = (&planned.problem, &planned.schedule);
    let uncertainty = chances(shop, &planned.key, problem, schedule.schedule());
    // Half of the time is for remedies.
    let half = watch.elapsed() + watch.limit().saturating_sub(watch.elapsed()) / 2;
    let goes_on = || !watch.cancelled() && watch.elapsed() < half;
    let outcome = rehearse_while(problem, schedule, &uncertainty, &settings, &goes_on);
    let at_risk_below = shop.uncertainty.at_risk_below_percent / 100.0;
    let orders: Vec<OrderChance> =
        plan.orders.iter().filter_map(|order| chance(shop, planned, order, &outcome)).collect();
    let mut risks = risks(shop, planned, &orders, at_risk_below);
    let bench = Bench::new(shop, planned, &orders, asked, watch);
    for risk in risks.iter_mut().take(asked.remedied) {
        let Tried { remedies, all } = remedies(&bench, &risk.order);
        (risk.remedies, risk.all_tried) = (remedies, all);
    }
    Confidence {
        runs: outcome.runs,
        seed: asked.seed,
        at_risk_below,
        orders,
        cells: cells(shop, &outcome, &weeks),
        risks,
    }
}

/// What the shop's cells do while the lot whose turn it is cannot begin.
#[must_use]
pub fn turns(shop: &Shop) -> Turns {
    Turns::LostAfter(shop.uncertainty.turn_lost_after)
}

/// The job that finishes an order.
pub(super) fn last_job(shop: &Shop, planned: &Planned, order: &str) -> Option<JobIdx> {
    let mut jobs = planned.key.jobs.iter();
    let found = jobs.position(|job| job.role == JobRole::Rest && shop.orders[job.order].id == order);
    found.map(JobIdx::new)
}

fn chance(shop: &Shop, planned: &Planned, order: &OrderPlan, outcome: &Outcome) -> Option<OrderChance> {
    let finishes = outcome.job(last_job(shop, planned, &order.id)?).clone();
    Some(OrderChance {
        order: order.id.clone(),
        kept: finishes.share_by(order.due),
        dates: DatesKept::new(&finishes, &shop.terms, &planned.plan.clock),
        finishes,
    })
}

/// Promises at risk, the dearest first; among equal ones the order of the book.
fn risks(shop: &Shop, planned: &Planned, orders: &[OrderChance], at_risk_below: f64) -> Vec<Risk> {
    let at_risk = |chance: &OrderChance| {
        let order = planned.plan.orders.iter().find(|order| order.id == chance.order)?;
        let job = planned.problem.job(last_job(shop, planned, &chance.order)?);
        let late_days = chance.finishes.mean_after(order.due) / Minutes::days(1).count() as f64;
        (chance.kept < at_risk_below).then(|| Risk {
            order: chance.order.clone(),
            kept: chance.kept,
            late_in_plan: order.due.until(order.finish),
            expected_cost: Money::new(job.late_cost_per_day.amount() * late_days),
            remedies: Vec::new(),
            all_tried: false,
        })
    };
    let mut risks: Vec<Risk> = orders.iter().filter_map(at_risk).collect();
    risks.sort_by_key(|risk| std::cmp::Reverse(risk.expected_cost));
    risks
}

/// A week of the plan.
struct Week {
    name: (i32, u32),
    end: Minute,
}

/// The weeks that lists and charts show; a first one may be short.
fn week_ends(plan: &Plan) -> Vec<Week> {
    let monday = plan.start - Days::new(u64::from(plan.start.weekday().num_days_from_monday()));
    let week = |number: u32| {
        let first = monday + Days::new(7 * u64::from(number));
        let iso = first.iso_week();
        Week { name: (iso.year(), iso.week()), end: plan.clock.start_of(first + Days::new(7)) }
    };
    (0..plan.weeks).map(week).collect()
}

fn cells(shop: &Shop, outcome: &Outcome, weeks: &[Week]) -> Vec<CellChance> {
    let chance = |cell: &elbowroom_rehearsal::CellOutcome| {
        let week = weeks.iter().find(|week| week.end == cell.until)?;
        let id = shop.cells[cell.cell.get()].id.clone();
        Some(CellChance { cell: id, week: week.name, out_of_time: cell.missed })
    };
    outcome.cells.iter().filter_map(chance).collect()
}
