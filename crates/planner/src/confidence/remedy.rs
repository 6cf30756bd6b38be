//! What helps a promise at risk: everything is tried out by planning again with it.

mod overtime;
mod probes;
mod split;
mod words;

use super::assess::{Asked, last_job, turns};
use super::chances::chances;
use crate::compile::{JobRole, Key};
use crate::plan::{OrderChance, Remedy, RemedyKind};
use crate::week::Planned;
use elbowroom_engine::Watch;
use elbowroom_problem::{JobIdx, Problem, Schedule};
use elbowroom_rehearsal::{Finishes, Outcome, Settings, rehearse};
use elbowroom_shop::Shop;
use elbowroom_units::{Minute, Money};
use elbowroom_verify::{VerifiedSchedule, verify};
use std::collections::BTreeMap;

/// A remedy must keep the promise so much more often to be told at all.
const LEAST_HELP: f64 = 0.05;
/// A trial is carried out so many times less often than the plan itself.
const FEWER_RUNS: u32 = 8;
/// And no less often than this, where the plan itself is.
const LEAST_RUNS: u32 = 100;
/// Remedies told for one order.
const MOST_TOLD: usize = 3;

/// What every trial looks at.
pub(super) struct Bench<'a> {
    shop: &'a Shop,
    planned: &'a Planned,
    orders: BTreeMap<&'a str, &'a OrderChance>,
    settings: Settings,
    watch: &'a dyn Watch,
}

/// A shop that plans with a remedy.
struct Trial<'a> {
    kind: RemedyKind,
    text: String,
    brief: String,
    /// Shop, problem and key where the remedy changes them.
    shop: std::borrow::Cow<'a, Shop>,
    problem: std::borrow::Cow<'a, Problem>,
    key: std::borrow::Cow<'a, Key>,
    schedule: Schedule,
    /// What it costs beside the plan's own money.
    extra: Money,
}

/// Hands the trials of one kind for a job over, one after the other.
type Maker = fn(&Bench<'_>, JobIdx, &mut dyn FnMut(Trial<'_>));

/// What came of the trials for one order.
pub(super) struct Tried {
    pub(super) remedies: Vec<Remedy>,
    /// Whether there was time for all of them.
    pub(super) all: bool,
}

impl<'a> Bench<'a> {
    pub(super) fn new(
        shop: &'a Shop,
        planned: &'a Planned,
        orders: &'a [OrderChance],
        asked: &Asked,
        watch: &'a dyn Watch,
    ) -> Self {
        let settings = Settings {
            runs: (asked.runs / FEWER_RUNS).max(LEAST_RUNS.min(asked.runs)),
            seed: asked.seed,
            turns: turns(shop),
            threads: asked.threads,
            marks: Vec::new(),
        };
        let orders = orders.iter().map(|chance| (chance.order.as_str(), chance)).collect();
        Self { shop, planned, orders, settings, watch }
    }

    fn time_is_up(&self) -> bool {
        self.watch.cancelled() || self.watch.elapsed() >= self.watch.limit()
    }

    fn threshold(&self) -> f64 {
        self.shop.uncertainty.at_risk_below_percent / 100.0
    }
}

/// Everything that helps the promise of an order, best first.
pub(super) fn remedies(bench: &Bench<'_>, order: &str) -> Tried {
    let mut tried = Tried { remedies: Vec::new(), all: true };
    let Some(job) = last_job(bench.shop, bench.planned, order) else { return tried };
    let makers: [Maker; 3] = [probes::trials, overtime::trials, split::trials];
    for make in makers {
        if bench.time_is_up() {
            tried.all = false;
            break;
        }
        make(bench, job, &mut |trial| tried.remedies.extend(judged(bench, order, trial)));
    }
    tried.remedies.sort_by(|a, b| {
        let merit = |r: &Remedy| (!r.cures, !r.puts_at_risk.is_empty());
        let help = if a.cures { a.cost.cmp(&b.cost) } else { b.kept.total_cmp(&a.kept) };
        merit(a).cmp(&merit(b)).then(help)
    });
    tried.remedies.truncate(MOST_TOLD);
    tried
}

/// A trial carried out, if it helps and makes no order late that was in time.
fn judged(bench: &Bench<'_>, order: &str, trial: Trial<'_>) -> Option<Remedy> {
    let schedule = verify(&trial.problem, trial.schedule.clone()).ok()?;
    if makes_late(bench, &trial, &schedule) {
        return None;
    }
    let uncertainty = chances(&trial.shop, &trial.key, &trial.problem, schedule.schedule());
    let outcome = rehearse(&trial.problem, &schedule, &uncertainty, &bench.settings);
    let before = bench.orders.get(order)?;
    let finishes = finishes(bench, &trial, order, &outcome)?;
    let kept = finishes.share_by(due(bench, order)?);
    if kept < before.kept + LEAST_HELP {
        return None;
    }
    let puts_at_risk = put_at_risk(bench, &trial, order, &outcome);
    Some(Remedy {
        kind: trial.kind,
        finish: end_of(bench, &trial, order, &schedule)?,
        kept,
        cures: kept >= bench.threshold(),
        cost: money(&schedule) - money(&bench.planned.schedule) + trial.extra,
        puts_at_risk,
        text: trial.text,
        brief: trial.brief,
    })
}

fn money(schedule: &VerifiedSchedule) -> Money {
    schedule.figures().cost.total()
}

fn due(bench: &Bench<'_>, order: &str) -> Option<Minute> {
    bench.planned.plan.orders.iter().find(|one| one.id == order).map(|one| one.due)
}

/// The jobs of a trial's shop that finish an order; a split order has two.
fn jobs_of(bench: &Bench<'_>, trial: &Trial<'_>, order: &str) -> Vec<JobIdx> {
    let halves = split::second_half(bench.shop, order);
    let is_it = |position: usize| {
        let id = &trial.shop.orders[position].id;
        id == order || (trial.kind == RemedyKind::Split && *id == halves)
    };
    let jobs = trial.key.jobs.iter().enumerate();
    jobs.filter(|(_, job)| job.role == JobRole::Rest && is_it(job.order))
        .map(|(at, _)| JobIdx::new(at))
        .collect()
}

fn finishes(bench: &Bench<'_>, trial: &Trial<'_>, order: &str, outcome: &Outcome) -> Option<Finishes> {
    let jobs = jobs_of(bench, trial, order);
    (!jobs.is_empty()).then(|| outcome.together(&jobs))
}

fn end_of(bench: &Bench<'_>, trial: &Trial<'_>, order: &str, schedule: &VerifiedSchedule) -> Option<Minute> {
    let ends = &schedule.figures().completions;
    jobs_of(bench, trial, order).iter().filter_map(|job| ends[job.get()]).max()
}

/// Whether an order is late that is in time in the plan.
fn makes_late(bench: &Bench<'_>, trial: &Trial<'_>, schedule: &VerifiedSchedule) -> bool {
    bench.planned.plan.orders.iter().any(|order| {
        let end = end_of(bench, trial, &order.id, schedule);
        !order.is_late() && end.is_none_or(|end| end > order.due)
    })
}

/// Other orders whose promise is not at risk in the plan, and would be.
fn put_at_risk(bench: &Bench<'_>, trial: &Trial<'_>, order: &str, outcome: &Outcome) -> Vec<String> {
    let threshold = bench.threshold();
    // Fewer runs than the plan's own: a promise at the very edge is not put over it by chance.
    let margin = 0.03;
    let falls = |one: &&crate::plan::OrderPlan| {
        let before = bench.orders.get(one.id.as_str()).map_or(0.0, |chance| chance.kept);
        let after = finishes(bench, trial, &one.id, outcome).map_or(1.0, |f| f.share_by(one.due));
        one.id != order && before >= threshold && after < threshold - margin
    };
    bench.planned.plan.orders.iter().filter(falls).map(|one| one.id.clone()).collect()
}
