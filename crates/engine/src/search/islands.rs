//! One annealing per thread.
//!
//! The solve goes in rounds. In each round every island anneals for itself; between rounds the
//! islands that have fallen behind hear of the best plan of all. Threads live for one round, so
//! that nobody ever waits for a thread that has stopped. With a budget of turns a round is a number
//! of turns, so that the answer does not depend on the clock.

use super::island::Island;
use super::sketch::Sketch;
use crate::standing::Standing;
use crate::watch::{Progress, Watch, over};
use std::ops::RangeInclusive;
use std::time::Duration;

/// Rounds of one solve.
pub(crate) const ROUNDS: u32 = 40;

/// How long to anneal.
pub(crate) struct Schedule<'w> {
    pub(crate) watch: &'w dyn Watch,
    pub(crate) begin: Duration,
    pub(crate) end: Duration,
    /// Turns of each island, instead of time.
    pub(crate) turns: Option<u64>,
    /// Turns of islands that rest meanwhile.
    pub(crate) resting: u64,
    /// What all threads have found and proved.
    pub(crate) standing: &'w Standing<'w>,
}

impl Schedule<'_> {
    fn over(&self) -> bool {
        over(self.watch) || self.watch.elapsed() >= self.end || self.standing.is_closed()
    }

    /// How much of the annealing is over, or `None` at the end of a round, which is at a share of
    /// the whole.
    fn progress(&self, done: u64, round_end: f64) -> Option<f64> {
        if self.watch.cancelled() || self.standing.is_closed() {
            return None;
        }
        let now = self.watch.elapsed();
        let share = match self.turns {
            Some(all) if now < self.end => done as f64 / all.max(1) as f64,
            Some(_) => return None,
            None => self.share_of_time(now),
        };
        (share < round_end).then_some(share)
    }

    fn share_of_time(&self, now: Duration) -> f64 {
        let whole = self.end.saturating_sub(self.begin).as_secs_f64();
        now.saturating_sub(self.begin).as_secs_f64() / whole.max(1e-9)
    }
}

/// Anneals over the rounds of `rounds`, out of [`ROUNDS`], or until it is over.
pub(crate) fn anneal(islands: &mut [Island<'_>], schedule: &Schedule<'_>, rounds: RangeInclusive<u32>) {
    for round in rounds {
        let share = f64::from(round) / f64::from(ROUNDS);
        std::thread::scope(|scope| {
            for island in islands.iter_mut() {
                scope.spawn(move || island.run(|done| schedule.progress(done, share)));
            }
        });
        tell(islands, schedule);
        // Going on from another plan takes a while in a large shop.
        if schedule.over() {
            break;
        }
        hear_news(islands, schedule.standing);
        share_best(islands, round);
        for island in islands.iter_mut().filter(|_| round <= 2) {
            let turns = schedule.turns.map_or(island.turns() as f64 / share, |all| all as f64);
            island.expect(turns);
        }
    }
}

/// The best of all islands.
pub(crate) fn best_of<'i>(islands: &'i [Island<'_>]) -> &'i Sketch {
    let mut best = islands[0].best();
    for island in islands {
        if island.best().better_than(best) {
            best = island.best();
        }
    }
    best
}

/// Goes on from what the proof has found, if it is a better plan.
pub(crate) fn hear_news(islands: &mut [Island<'_>], standing: &Standing<'_>) {
    if let Some(news) = standing.news().filter(|news| news.better_than(best_of(islands))) {
        islands[0].hear_of(&news);
    }
}

fn share_best(islands: &mut [Island<'_>], round: u32) {
    if islands.len() < 2 || !round.is_multiple_of(4) {
        return;
    }
    let best = best_of(islands).clone();
    for island in islands {
        if best.better_than(island.best()) {
            island.hear_of(&best);
        }
    }
}

fn tell(islands: &[Island<'_>], schedule: &Schedule<'_>) {
    let (watch, standing) = (schedule.watch, schedule.standing);
    let best = best_of(islands);
    if best.excess == 0 {
        standing.keep(best);
        watch.progress(&Progress {
            best: standing.best(),
            bound: standing.bound().map(|bound| bound.min(standing.best())),
            elapsed: watch.elapsed(),
            late_jobs: best.late_jobs,
            evaluations: schedule.resting + islands.iter().map(Island::turns).sum::<u64>(),
        });
    }
}
