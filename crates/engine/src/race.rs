//! How a solve's time is divided between the search for a schedule and the proof of a bound.
//!
//! First every thread searches. Then one of them turns to the bound, while the others search on:
//! the more time there is in all, the greater the share of the bound, because the search gains
//! little late and the bound little early. In a small shop the search has found what it will find
//! soon, in a large one it never has: the share of the bound falls with the number of jobs. A very
//! short solve only gets the bound's first value.
//! With a budget of turns the bound follows the search, with a budget of its own, so that neither
//! depends on the clock.

use crate::Settings;
use crate::bound::{BoundBudget, ProvenBound, lower_bound};
use crate::search::island::Island;
use crate::search::islands::{self, ROUNDS};
use crate::standing::Standing;
use crate::watch::Watch;
use elbowroom_problem::{Objective, Problem, Schedule};
use std::time::Duration;

/// Share of one thread's time that the bound gets in a solve of so many seconds.
const BOUND_SHARES: [(f64, f64); 4] = [(0.5, 0.0), (2.0, 0.05), (10.0, 0.2), (60.0, 0.6)];
/// The same in shops of at most [`SMALL`] jobs, in which the best schedule is soon found and can be proved.
const SMALL_SHARES: [(f64, f64); 4] = [(0.5, 0.0), (2.0, 0.2), (10.0, 0.7), (60.0, 0.95)];
const SMALL: usize = 30;
/// What that share is multiplied by in a shop of so many jobs.
const SIZE_FACTORS: [(f64, f64); 2] = [(60.0, 1.3), (300.0, 0.75)];
/// The same where the makespan counts: its bisection is soon over.
const MAKESPAN_FACTOR: f64 = 0.4;
/// Evaluations of the bound in a solve with a budget of turns.
const EVALUATIONS: u32 = 60;
/// So many jobs are made ready for a bound in hundredths of a second, which a solve that is stopped has.
const SOON_BOUNDED: usize = 1_000;
/// No solve takes longer; a limit beyond it could not be divided without overflow.
const FAR: Duration = Duration::from_secs(1 << 32);
/// Time kept back for writing the answer down.
const RESERVE: Duration = Duration::from_millis(8);

/// Anneals on all islands and proves a bound; `None` where there was no time for one.
pub(crate) fn search_and_bound(
    problem: &Problem,
    islands: &mut [Island<'_>],
    given: Option<&Schedule>,
    settings: &Settings,
    watch: &dyn Watch,
) -> Option<ProvenBound> {
    let standing = Standing::new(islands[0].plan().compiled());
    let (begin, end) = (watch.elapsed(), watch.limit().min(FAR).saturating_sub(RESERVE));
    let turns = settings.iterations;
    let schedule = islands::Schedule { watch, begin, end, turns, resting: 0, standing: &standing };
    let whole = end.saturating_sub(begin);
    let share = if settings.iterations.is_some() { 0.0 } else { share_of(problem, whole) };
    let last_round = ((1.0 - share) * f64::from(ROUNDS)).round() as u32;
    let alone = islands.len() == 1;
    if alone || share == 0.0 {
        let end = begin + whole.mul_f64(f64::from(last_round) / f64::from(ROUNDS));
        islands::anneal(islands, &islands::Schedule { end, ..schedule }, 1..=ROUNDS);
    } else {
        islands::anneal(islands, &schedule, 1..=last_round);
    }
    if watch.cancelled() && problem.jobs.len() > SOON_BOUNDED {
        return None;
    }
    standing.keep(islands::best_of(islands));
    standing.found(given.map_or(f64::INFINITY, |start| start.objective));
    let budget = BoundBudget {
        until: if share == 0.0 && settings.iterations.is_none() { watch.elapsed() } else { end },
        evaluations: settings.iterations.map(|_| EVALUATIONS),
    };
    if alone || share == 0.0 {
        let pays = whole > Duration::from_millis(200) || settings.iterations.is_some();
        let bound = pays.then(|| lower_bound(problem, &standing, &budget, watch));
        islands::hear_news(islands, &standing);
        return bound;
    }
    let bound = std::thread::scope(|scope| {
        let bound = scope.spawn(|| lower_bound(problem, &standing, &budget, watch));
        let searching = islands.len() - 1;
        let (searching, resting) = islands.split_at_mut(searching);
        let resting = resting.iter().map(Island::turns).sum();
        let schedule = islands::Schedule { resting, ..schedule };
        islands::anneal(searching, &schedule, last_round + 1..=ROUNDS);
        bound.join().ok()
    });
    islands::hear_news(islands, &standing);
    bound
}

fn share_of(problem: &Problem, whole: Duration) -> f64 {
    let factor = if problem.objective == Objective::Makespan { MAKESPAN_FACTOR } else { 1.0 };
    factor * bound_share(whole.as_secs_f64(), problem.jobs.len())
}

/// Share of one thread's time that the bound gets in a solve of a shop.
fn bound_share(seconds: f64, jobs: usize) -> f64 {
    if jobs <= SMALL {
        return between(&SMALL_SHARES, seconds);
    }
    between(&BOUND_SHARES, seconds) * between(&SIZE_FACTORS, jobs as f64)
}

/// Between the rows of a table straight lines, beyond them its ends.
fn between(rows: &[(f64, f64)], at: f64) -> f64 {
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    if at <= first.0 {
        return first.1;
    }
    let step = rows.windows(2).find(|pair| at <= pair[1].0);
    step.map_or(last.1, |pair| {
        let (a, b) = (pair[0], pair[1]);
        a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0)
    })
}

#[cfg(test)]
mod tests {
    use super::bound_share;

    #[test]
    fn the_bound_gets_more_of_a_longer_solve_and_of_a_smaller_shop() {
        // 6 s: halfway from 2 s to 10 s; 180 jobs: halfway from 60 to 300.
        for (seconds, jobs, share) in
            [(0.3, 10, 0.0), (2.0, 20, 0.2), (2.0, 60, 0.065), (6.0, 180, 0.125 * 1.025), (100.0, 1000, 0.45)]
        {
            assert!((bound_share(seconds, jobs) - share).abs() < 1e-12, "{seconds} s, {jobs} jobs");
        }
    }
}
