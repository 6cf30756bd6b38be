//! First plans from the integer program's advice.

use super::{Setting, Starter, dispatch};
use crate::Settings;
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::model::{Assignment, assign};
use crate::plan::{Choice, Plan};
use crate::watch::{Watch, over};
use elbowroom_problem::Problem;
use std::time::Duration;

/// Most jobs for which the program is solved within a moment's share of the time.
const MOST_JOBS: usize = 250;
/// Most jobs for which it is solved in a solve with a budget of turns.
const MOST_JOBS_BUDGETED: usize = 60;
/// A shorter solve is better spent searching.
const LEAST_TIME: Duration = Duration::from_secs(2);
/// Share of the whole time that the program may take.
const SHARE: f64 = 0.08;
/// Its longest time: more brings nothing that the search would not find.
const LONGEST: Duration = Duration::from_secs(6);
/// Settings with which the advised routes are dispatched.
const DISPATCHES: u32 = 12;

/// Asks the integer program, where that pays, and offers the plans that follow from its answer.
pub(super) fn take_advice(
    starter: &mut Starter<'_>,
    problem: &Problem,
    settings: &Settings,
    watch: &dyn Watch,
    dice: &mut Dice,
) {
    let Some(share) = share(problem, settings, watch) else { return };
    let Some(advice) = assign(problem, watch, share) else { return };
    let c = starter.c;
    if let Some(plan) = as_advised(c, &advice) {
        starter.offer(Setting::USUAL, plan);
    }
    let Some(routes) = routes(c, &advice) else { return };
    for turn in 0..DISPATCHES {
        if over(watch) {
            return;
        }
        let setting = if turn == 0 { Setting::USUAL } else { Setting::random(dice) };
        let plan = dispatch::dispatch(c, &routes, &setting, dice, &|| over(watch));
        starter.offer_some(setting, plan);
    }
}

/// How long the program may take; `None` where it does not pay. With a budget of turns it is
/// bounded by counts alone, so that the clock decides nothing.
fn share(problem: &Problem, settings: &Settings, watch: &dyn Watch) -> Option<Duration> {
    let left = watch.limit().saturating_sub(watch.elapsed());
    match settings.iterations {
        Some(_) => (problem.jobs.len() <= MOST_JOBS_BUDGETED).then_some(left),
        None => {
            let pays = problem.jobs.len() <= MOST_JOBS && watch.limit() >= LEAST_TIME;
            pays.then(|| left.mul_f64(SHARE).min(LONGEST))
        }
    }
}

/// The advice as it stands, sequenced by its rough starts.
fn as_advised<'a>(c: &'a Compiled, advice: &Assignment) -> Option<Plan<'a>> {
    Plan::of_choices(c, |job, step| {
        let option = *advice.option.get(job)?.get(step)?;
        let start = advice.start.get(job)?.get(step)?.get();
        Some(Choice { route: *advice.route.get(job)?, option, start })
    })
}

/// The advised route of each job, as the search numbers them.
fn routes(c: &Compiled, advice: &Assignment) -> Option<Vec<u32>> {
    let of_job = |job: usize| {
        let wanted = *advice.route.get(job)?;
        c.jobs[job].routes.clone().find(|&route| c.routes[route as usize].number as usize == wanted)
    };
    (0..c.jobs.len()).map(of_job).collect()
}
