//! How sure a promise is.

use super::answer::{Answer, Offer};
use super::standing::Standing;
use crate::confidence::{DatesKept, chances, turns};
use elbowroom_rehearsal::{Settings, rehearse};

/// How often to carry the plan out by chance, and from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rehearsal {
    /// Runs; at least 1.
    pub runs: u32,
    /// Start of the pseudo-random numbers.
    pub seed: u64,
    /// Threads; they change nothing but the time it takes.
    pub threads: usize,
}

impl Standing {
    /// The dates on which all lots of an offer are finished in 50, 80 and 95 of 100 cases, if the
    /// plan with the offer in it is carried out by chance as the shop says things stray; `None` if
    /// the offer is not one of this plan.
    #[must_use]
    pub fn dates_kept(&self, answer: &Answer, offer: &Offer, rehearsal: &Rehearsal) -> Option<DatesKept> {
        let orders = self.orders_of(answer, offer);
        let last = offer.lots.iter().zip(&orders).max_by_key(|(lot, _)| lot.finish)?.1.id.clone();
        let with = self.accept(offer, orders).ok()?;
        let order = with.shop.orders.iter().position(|order| order.id == last)?;
        let job = with.job_of(order)?;
        let (problem, schedule) = (&with.compiled.problem, &with.schedule);
        let uncertainty = chances(&with.shop, &with.compiled.key, problem, schedule.schedule());
        let Rehearsal { runs, seed, threads } = *rehearsal;
        let settings = Settings { runs, seed, turns: turns(&with.shop), threads, marks: Vec::new() };
        let outcome = rehearse(problem, schedule, &uncertainty, &settings);
        Some(DatesKept::new(&outcome.jobs[job.get()], &with.shop.terms, &with.compiled.clock))
    }
}
