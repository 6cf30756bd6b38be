//! A whole solve: compile, first plans, search, bound.

use crate::bound::{BoundBudget, cannot_all_end};
use crate::compiled::{Compiled, compile};
use crate::dice::Dice;
use crate::plan::Plan;
use crate::race;
use crate::search::island::Island;
use crate::search::islands;
use crate::start;
use crate::watch::Watch;
use crate::{Answer, Failure, SearchFigures, Settings};
use elbowroom_problem::{JobIdx, Placement, Problem, Schedule};

/// Share of the time, and evaluations, for a proof that there is no schedule.
const PROOF_SHARE: f64 = 0.1;
const PROOF_EVALUATIONS: u32 = 150;

/// See [`crate::solve`].
pub(crate) fn solve(problem: &Problem, settings: &Settings, watch: &dyn Watch) -> Result<Answer, Failure> {
    let compiled = compile(problem)?;
    let plans = start::plans(problem, &compiled, settings, watch);
    finish(problem, &compiled, plans, None, settings, watch)
}

/// See [`crate::improve`].
pub(crate) fn improve(
    problem: &Problem,
    start: &Schedule,
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    let compiled = compile(problem)?;
    let plans = match Plan::of_schedule(&compiled, start) {
        Some(plan) => vec![plan; settings.threads.max(1)],
        None => start::plans(problem, &compiled, settings, watch),
    };
    finish(problem, &compiled, plans, Some(start), settings, watch)
}

/// See [`crate::solve_near`].
pub(crate) fn solve_near(
    problem: &Problem,
    hint: &[Placement],
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    let compiled = compile(problem)?;
    let hinted = Plan::of_hint(&compiled, hint);
    let first = hinted.as_ref().filter(|plan| plan.excess() == 0);
    let first = first.map(|plan| (plan.cost(), watch.elapsed().as_secs_f64()));
    let mut plans = start::plans(problem, &compiled, settings, watch);
    // What has changed may have made the hint a bad one.
    for plan in &mut plans {
        match &hinted {
            Some(hinted) if rank(hinted) <= rank(plan) => plan.clone_from(hinted),
            _ => {}
        }
    }
    if plans.is_empty() {
        plans.extend(hinted);
    }
    let mut answer = finish(problem, &compiled, plans, None, settings, watch)?;
    if let Some((objective, seconds)) = first {
        answer.figures.first_objective = Some(objective);
        answer.figures.first_seconds = seconds;
    }
    Ok(answer)
}

/// What is too late first, then what it costs.
fn rank(plan: &Plan<'_>) -> (u64, f64) {
    (plan.excess(), plan.cost())
}

fn finish(
    problem: &Problem,
    compiled: &Compiled,
    plans: Vec<Plan<'_>>,
    given: Option<&Schedule>,
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    let mut figures =
        SearchFigures { first_seconds: watch.elapsed().as_secs_f64(), ..SearchFigures::default() };
    let valid = plans.iter().filter(|plan| plan.excess() == 0).map(Plan::cost);
    figures.first_objective = valid.reduce(f64::min);
    if plans.is_empty() {
        let why = "the search was stopped before it had a first schedule".to_owned();
        return given.map_or(Err(Failure::NoneFound { job: None, why }), |start| {
            Ok(Answer { schedule: start.clone(), figures })
        });
    }
    if let Some(failure) = proved_impossible(problem, &plans, watch) {
        return Err(failure);
    }
    let mut islands: Vec<Island<'_>> = plans
        .into_iter()
        .enumerate()
        .map(|(i, plan)| Island::new(plan, Dice::new(settings.seed, 1000 + i as u64)))
        .collect();
    let bound = race::search_and_bound(problem, &mut islands, given, settings, watch);
    figures.evaluations = islands.iter().map(|island| island.turns()).sum();
    figures.best_seconds = watch.elapsed().as_secs_f64();
    let best = islands::best_of(&islands);
    let plan = best.plan(compiled);
    let mut schedule = plan.schedule();
    match given {
        Some(start) if best.excess > 0 || start.objective < schedule.objective => schedule = start.clone(),
        _ if best.excess > 0 => return Err(none_found(&plan)),
        _ => {}
    }
    schedule.lower_bound = bound.map(|bound| bound.value().min(schedule.objective));
    Ok(Answer { schedule, figures })
}

/// The proof that there is no schedule, where a first plan is not finished in time and one is
/// found soon.
fn proved_impossible(problem: &Problem, plans: &[Plan<'_>], watch: &dyn Watch) -> Option<Failure> {
    let plan = plans.iter().min_by_key(|plan| plan.excess()).filter(|plan| plan.excess() > 0)?;
    let left = watch.limit().saturating_sub(watch.elapsed());
    let until = watch.elapsed() + left.mul_f64(PROOF_SHARE);
    let budget = BoundBudget { until, evaluations: Some(PROOF_EVALUATIONS) };
    let job = last_to_end(plan)?;
    let why = "each job alone could be finished inside the horizon, but not all of them together: their \
               cells are not open for so long"
        .to_owned();
    cannot_all_end(problem, &budget, watch).then_some(Failure::Impossible { job, why })
}

/// The job that ends last.
fn last_to_end(plan: &Plan<'_>) -> Option<JobIdx> {
    let jobs = 0..plan.compiled().jobs.len() as u32;
    let last = jobs.max_by_key(|&job| (plan.job_end(job), std::cmp::Reverse(job)));
    last.map(|job| JobIdx::new(job as usize))
}

/// Names a job that ends too late in the best plan there is.
fn none_found(plan: &Plan<'_>) -> Failure {
    let why = format!(
        "no schedule inside the horizon was found; the best one tried is {} minutes too late in all",
        plan.excess()
    );
    Failure::NoneFound { job: last_to_end(plan), why }
}
