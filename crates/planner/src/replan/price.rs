//! The plan with the least sum of cost and price of moves, among several.

use super::freeze::frozen;
use super::{Again, Kept};
use crate::compile::JobRole;
use crate::week::{PlanError, Solved};
use elbowroom_engine::{Failure, Progress, Settings, Watch};
use elbowroom_problem::{CellIdx, JobIdx, Placement, Schedule};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Money};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

/// Most plans between the one that moves nothing and the one that moves freely.
const MOST_BETWEEN: usize = 6;
/// Shares of the time left for the plan that moves nothing, for the one that moves freely, and for
/// each one between.
const STANDING_SHARE: f64 = 0.25;
const FREE_SHARE: f64 = 0.6;
const BETWEEN_SHARE: f64 = 0.4;

/// The least of the plans that are tried.
pub(super) fn least(
    again: &Again<'_>,
    settings: &Settings,
    watch: &dyn Watch,
    kept: &mut Kept,
) -> Result<Result<Solved, Failure>, PlanError> {
    let announced = announced(again);
    *kept = again.kept();
    kept.announced = announced.len();
    let zone = &again.zone.steps;
    let moves = |solved: &Solved| moved(again, &announced, solved.0.schedule()).len();
    if again.steadiness.move_cost == Money::ZERO {
        let free = again.with(zone, &again.hint, settings, watch)?;
        kept.moved = free.as_ref().map_or(0, moves);
        return Ok(free);
    }
    let standing_ids: BTreeSet<&str> = announced.keys().map(|job| id(again, *job)).collect();
    let stands = all_but(again, &standing_ids, &BTreeSet::new());
    let standing = again.with(&stands, &again.hint, settings, &Share::of(watch, STANDING_SHARE))?;
    let free = match again.with(zone, &again.hint, settings, &Share::of(watch, FREE_SHARE))? {
        Ok(free) => free,
        Err(failure) => return Ok(standing.or(Err(failure))),
    };
    let price = |solved: &Solved| cost(solved) + again.steadiness.move_cost.amount() * moves(solved) as f64;
    let (freely, free_moves) = (cost(&free), moves(&free));
    let free_price = price(&free);
    let gains = standing.as_ref().map_or_else(|_| Vec::new(), |s| gains(again, s, &free));
    let mut best = match standing {
        Ok(standing) if price(&standing) <= free_price => standing,
        _ => free,
    };
    let mut given_up = BTreeSet::new();
    for job in gains.into_iter().take(MOST_BETWEEN) {
        if watch.cancelled() || watch.elapsed() >= watch.limit() {
            break;
        }
        let mut trying: BTreeSet<&str> = given_up.clone();
        trying.extend(rivals(again, best.0.schedule(), job).into_iter().map(|job| id(again, job)));
        let steps = all_but(again, &standing_ids, &trying);
        let hint = best.0.schedule().operations.clone();
        let tried = again.with(&steps, &hint, settings, &Share::of(watch, BETWEEN_SHARE))?;
        if let Ok(tried) = tried
            && price(&tried) < price(&best)
        {
            best = tried;
            given_up = trying;
        }
    }
    kept.moved = moves(&best);
    let saved = cost(&best) - freely;
    kept.freely = (saved > 0.0).then(|| (Money::new(saved), free_moves));
    Ok(Ok(best))
}

fn cost(solved: &Solved) -> f64 {
    solved.0.figures().objective
}

fn id<'a>(again: &Again<'a>, job: JobIdx) -> &'a str {
    &again.ground.compiled.problem.job(job).id
}

/// When the plan that stood finishes each job that is still there.
fn announced(again: &Again<'_>) -> BTreeMap<JobIdx, Minute> {
    let (near, compiled) = (again.ground.near, again.ground.compiled);
    let jobs = crate::near::by_id(&compiled.problem);
    let mut finish = BTreeMap::new();
    for placed in &near.schedule.operations {
        let known = jobs.get(near.problem.job(placed.option.job).id.as_str());
        let rest = |job: &&JobIdx| compiled.key.job(**job).role == JobRole::Rest;
        if let Some(job) = known.filter(rest) {
            let end = finish.entry(*job).or_insert(Minute::new(i64::MIN));
            *end = (placed.end - near.shift).max(*end);
        }
    }
    finish
}

/// Announced jobs that a schedule finishes at another time.
fn moved(again: &Again<'_>, announced: &BTreeMap<JobIdx, Minute>, schedule: &Schedule) -> Vec<JobIdx> {
    let ends = ends(schedule);
    let by = again.steadiness.moved_by;
    let far =
        |job: &JobIdx, was: Minute| ends.get(job).is_some_and(|is| was.until(*is) > by || is.until(was) > by);
    announced.iter().filter(|(job, was)| far(job, **was)).map(|(job, _)| *job).collect()
}

fn ends(schedule: &Schedule) -> BTreeMap<JobIdx, Minute> {
    let mut ends = BTreeMap::new();
    for placed in &schedule.operations {
        let end = ends.entry(placed.option.job).or_insert(placed.end);
        *end = placed.end.max(*end);
    }
    ends
}

/// What stands if all announced jobs do but some, and the frozen zone does in any case.
fn all_but(again: &Again<'_>, announced: &BTreeSet<&str>, but: &BTreeSet<&str>) -> Vec<Placement> {
    let zone_end = again.zone_end;
    let wanted = |job: &str, placed: &Placement| {
        placed.setup_start < zone_end || (announced.contains(job) && !but.contains(job))
    };
    let mut steps = frozen(&again.ground, &wanted).steps;
    // Further on something may stand that makes a step of the zone give way; the zone goes first.
    let zone: BTreeSet<_> = again.zone.steps.iter().map(|step| step.option).collect();
    if !zone.iter().all(|option| steps.iter().any(|step| step.option == *option)) {
        steps.clone_from(&again.zone.steps);
    }
    steps
}

/// Jobs whose lateness costs less where all may move, the dearest first.
fn gains(again: &Again<'_>, standing: &Solved, free: &Solved) -> Vec<JobIdx> {
    let problem = &again.ground.compiled.problem;
    let (standing, free) = (ends(standing.0.schedule()), ends(free.0.schedule()));
    let late = |job: JobIdx, end: Minute| {
        let found = problem.job(job);
        let late = found.due.until(end).count();
        found.late_cost_per_day.amount() * late as f64 / MINUTES_PER_DAY as f64
    };
    let mut gains: Vec<(f64, JobIdx)> = standing
        .iter()
        .filter_map(|(job, end)| Some((late(*job, *end) - late(*job, *free.get(job)?), *job)))
        .filter(|(gain, _)| *gain > 0.0)
        .collect();
    gains.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    gains.into_iter().map(|(_, job)| job).collect()
}

/// A job, and those which use a cell that it could use, while it waits to be finished.
fn rivals(again: &Again<'_>, schedule: &Schedule, job: JobIdx) -> Vec<JobIdx> {
    let problem = &again.ground.compiled.problem;
    let steps = problem.job(job).routes.iter().flat_map(|route| &route.operations);
    let works = steps.flat_map(|step| &step.options).filter_map(|option| option.on_cell());
    let cells: BTreeSet<CellIdx> = works.map(|work| work.cell).collect();
    let end = ends(schedule).get(&job).copied().unwrap_or(problem.horizon);
    let in_the_way = |placed: &&Placement| {
        let here = problem.option(placed.option).on_cell().is_some_and(|work| cells.contains(&work.cell));
        here && placed.setup_start < end && placed.end > problem.job(job).release
    };
    let others = schedule.operations.iter().filter(in_the_way).map(|placed| placed.option.job);
    let all: BTreeSet<JobIdx> = others.chain([job]).collect();
    all.into_iter().collect()
}

/// A share of the time that a watch has left.
struct Share<'w> {
    watch: &'w dyn Watch,
    begun: Duration,
    limit: Duration,
}

impl<'w> Share<'w> {
    fn of(watch: &'w dyn Watch, share: f64) -> Self {
        let begun = watch.elapsed();
        Self { watch, begun, limit: watch.limit().saturating_sub(begun).mul_f64(share) }
    }
}

impl Watch for Share<'_> {
    fn elapsed(&self) -> Duration {
        self.watch.elapsed().saturating_sub(self.begun)
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }

    fn progress(&self, progress: &Progress) {
        self.watch.progress(progress);
    }
}
