//! One annealing per thread.
//!
//! The solve goes in rounds. In each round every island anneals for itself; between rounds the
//! islands that have fallen behind go on from the best plan of all. Threads live for one round, so
//! that nobody ever waits for a thread that has stopped. With a budget of turns a round is a number
//! of turns, so that the answer does not depend on the clock.

use super::anneal::Annealing;
use super::sketch::Sketch;
use crate::Settings;
use crate::watch::{Progress, Watch, over};
use std::time::Duration;

/// Rounds of one solve.
const ROUNDS: u32 = 40;

/// Anneals until time or turns are used up, or everything is proved.
pub(crate) fn anneal(islands: &mut [Annealing<'_>], settings: &Settings, watch: &dyn Watch, end: Duration) {
    let begin = watch.elapsed();
    for round in 1..=ROUNDS {
        let share = f64::from(round) / f64::from(ROUNDS);
        let round_end = begin + end.saturating_sub(begin).mul_f64(share);
        let turns = settings.iterations.map(|all| ((all as f64 * share) as u64, all.max(1)));
        std::thread::scope(|scope| {
            for island in islands.iter_mut() {
                scope.spawn(|| {
                    island.run(|done| progress(done, turns, watch, begin, round_end, end));
                });
            }
        });
        share_best(islands, round);
        tell(islands, watch);
        if over(watch) || watch.elapsed() >= end {
            break;
        }
    }
}

/// How much of the annealing is over, or `None` at the end of a round.
fn progress(
    done: u64,
    turns: Option<(u64, u64)>,
    watch: &dyn Watch,
    begin: Duration,
    round_end: Duration,
    end: Duration,
) -> Option<f64> {
    if watch.cancelled() {
        return None;
    }
    let now = watch.elapsed();
    if let Some((until, all)) = turns {
        return (done < until && now < end).then(|| done as f64 / all as f64);
    }
    let whole = end.saturating_sub(begin).as_secs_f64();
    (now < round_end).then(|| now.saturating_sub(begin).as_secs_f64() / whole.max(1e-9))
}

/// The best of all islands.
pub(crate) fn best_of<'i>(islands: &'i [Annealing<'_>]) -> &'i Sketch {
    let mut best = &islands[0].best;
    for island in islands {
        if island.best.better_than(best) {
            best = &island.best;
        }
    }
    best
}

fn share_best(islands: &mut [Annealing<'_>], round: u32) {
    if islands.len() < 2 || round % 4 != 0 {
        return;
    }
    let best = best_of(islands).clone();
    for island in islands {
        if best.better_than(&island.best) {
            island.adopt(&best);
        }
    }
}

fn tell(islands: &[Annealing<'_>], watch: &dyn Watch) {
    let best = best_of(islands);
    if best.excess == 0 {
        watch.progress(&Progress {
            best: best.cost,
            bound: None,
            elapsed: watch.elapsed(),
            late_jobs: islands[0].plan.late_jobs(),
            evaluations: islands.iter().map(|i| i.turns).sum(),
        });
    }
}
