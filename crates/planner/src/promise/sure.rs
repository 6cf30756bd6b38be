//! How sure a promise is.

use super::answer::{Advised, Answer, Offer};
use super::dates::Dates;
use super::standing::Standing;
use crate::confidence::{DatesKept, chances, turns};
use crate::tooling::critical_fractile;
use elbowroom_rehearsal::{Finishes, Settings, rehearse};
use elbowroom_units::Money;

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

/// How sure an offer is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HowSure {
    /// The dates on which all of its lots are finished in 50, 80 and 95 of 100 cases.
    pub kept: DatesKept,
    /// The date to tell the customer; `None` where the shop does not say what waiting costs.
    pub advised: Option<Advised>,
}

impl Standing {
    /// How sure an offer is, if the plan with it is carried out by chance as the shop says things
    /// stray; `None` if the offer is not one of this plan.
    #[must_use]
    pub fn how_sure(&self, answer: &Answer, offer: &Offer, rehearsal: &Rehearsal) -> Option<HowSure> {
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
        let finishes = &outcome.jobs[job.get()];
        let kept = DatesKept::new(finishes, &with.shop.terms, &with.compiled.clock);
        Some(HowSure { kept, advised: with.advised(answer, offer, finishes) })
    }

    /// The date beyond which telling a later one costs more than it saves. A day later always costs
    /// what waiting costs, and saves a late day in the cases that are not finished by then; so the
    /// date is worth keeping in the critical fractile of the cases, where promising too soon costs
    /// the late day less the waiting, and too late the waiting.
    fn advised(&self, answer: &Answer, offer: &Offer, finishes: &Finishes) -> Option<Advised> {
        let later_day = self.shop.terms.later_promise_cost_per_day?;
        let late_day = answer.day_value;
        let worth = critical_fractile((late_day - later_day).max(Money::ZERO), later_day)?;
        let dates = Dates::new(&self.shop, &self.compiled.clock, &self.compiled.problem);
        let enough = dates.promised(finishes.quantile(worth));
        let date = enough.max(offer.date).max(answer.inquiry.wanted.unwrap_or(offer.date));
        Some(Advised { date, worth, kept: finishes.share_by(dates.due(date)), late_day, later_day })
    }
}
