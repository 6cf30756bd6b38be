//! How a solve's time is divided between the search for a schedule and the proof of a bound.
//!
//! First every thread searches. Then one of them turns to the bound, while the others search on:
//! the more time there is in all, the greater the share of the bound, because the search gains
//! little late and the bound little early. A very short solve only gets the bound's first value.
//! With a budget of turns the bound follows the search, with a budget of its own, so that neither
//! depends on the clock.

use crate::Settings;
use crate::bound::{BoundBudget, ProvenBound, lower_bound};
use crate::search::anneal::Annealing;
use crate::search::islands::{self, ROUNDS};
use crate::watch::Watch;
use elbowroom_problem::{Problem, Schedule};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// Share of one thread's time that the bound gets in a solve of so many seconds.
const BOUND_SHARES: [(f64, f64); 4] = [(0.5, 0.0), (2.0, 0.05), (10.0, 0.2), (60.0, 0.6)];
/// Evaluations of the bound in a solve with a budget of turns.
const EVALUATIONS: u32 = 60;
/// Time kept back for writing the answer down.
const RESERVE: Duration = Duration::from_millis(8);

/// Anneals on all islands and proves a bound; `None` where there was no time for one.
pub(crate) fn search_and_bound(
    problem: &Problem,
    islands: &mut [Annealing<'_>],
    given: Option<&Schedule>,
    settings: &Settings,
    watch: &dyn Watch,
) -> Option<ProvenBound> {
    let proved = AtomicBool::new(false);
    let (begin, end) = (watch.elapsed(), watch.limit().saturating_sub(RESERVE));
    let schedule = islands::Schedule { watch, begin, end, turns: settings.iterations, proved: &proved };
    let whole = end.saturating_sub(begin);
    let share = if settings.iterations.is_some() { 0.0 } else { bound_share(whole.as_secs_f64()) };
    let last_round = ((1.0 - share) * f64::from(ROUNDS)).round() as u32;
    let alone = islands.len() == 1;
    if alone || share == 0.0 {
        let end = begin + whole.mul_f64(f64::from(last_round) / f64::from(ROUNDS));
        islands::anneal(islands, &islands::Schedule { end, ..schedule }, 1..=ROUNDS);
    } else {
        islands::anneal(islands, &schedule, 1..=last_round);
    }
    let upper = upper(islands, given);
    let budget = BoundBudget {
        until: if share == 0.0 && settings.iterations.is_none() { watch.elapsed() } else { end },
        evaluations: settings.iterations.map(|_| EVALUATIONS),
    };
    if alone || share == 0.0 {
        return (whole > Duration::from_millis(200) || settings.iterations.is_some())
            .then(|| lower_bound(problem, upper, &budget, watch));
    }
    std::thread::scope(|scope| {
        let bound = scope.spawn(|| {
            let bound = lower_bound(problem, upper, &budget, watch);
            if bound.value() >= upper - 1e-6 * upper.abs() {
                proved.store(true, Ordering::Relaxed);
            }
            bound
        });
        let searching = islands.len() - 1;
        islands::anneal(&mut islands[..searching], &schedule, last_round + 1..=ROUNDS);
        bound.join().ok()
    })
}

fn upper(islands: &[Annealing<'_>], given: Option<&Schedule>) -> f64 {
    let best = islands::best_of(islands);
    let found = if best.excess == 0 { best.cost } else { f64::INFINITY };
    given.map_or(found, |start| start.objective.min(found))
}

/// Between the rows of the table, straight lines.
fn bound_share(seconds: f64) -> f64 {
    let (first, last) = (BOUND_SHARES[0], BOUND_SHARES[BOUND_SHARES.len() - 1]);
    if seconds <= first.0 {
        return first.1;
    }
    let step = BOUND_SHARES.windows(2).find(|pair| seconds <= pair[1].0);
    step.map_or(last.1, |pair| {
        let (a, b) = (pair[0], pair[1]);
        a.1 + (b.1 - a.1) * (seconds - a.0) / (b.0 - a.0)
    })
}

#[cfg(test)]
mod tests {
    use super::bound_share;

    #[test]
    fn the_bound_gets_more_of_a_longer_solve() {
        // 6 s: halfway from 2 s to 10 s.
        for (seconds, share) in [(0.3, 0.0), (2.0, 0.05), (6.0, 0.125), (100.0, 0.6)] {
            assert!((bound_share(seconds) - share).abs() < 1e-12, "{seconds} s");
        }
    }
}
