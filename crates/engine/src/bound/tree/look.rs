//! Looking ahead: what the answers to a question would cost at least, at the prices of a case.

use super::super::mounting::Mounting;
use super::super::prices::Prices;
use super::super::relaxation::Relaxation;
use super::super::tasks::{Choice, Shop, Task};
use super::super::way::{Pricing, Scratch};
use super::case::{Case, Question};
use super::sequence::{Contradiction, Sequence};
use super::setups::Entered;

/// So that of two questions one of whose answers costs nothing, the one with the dearer other answer is put.
const LITTLE: f64 = 1e-3;

/// What a case costs at least, part by part.
pub(super) struct Look<'a> {
    /// Of the undecided shop.
    pub(super) relaxation: &'a Relaxation<'a>,
    pub(super) sequence: &'a Sequence,
    pub(super) prices: &'a Prices<'a>,
    /// The bound of the case, what each job adds to it, and what mounting adds.
    pub(super) total: f64,
    pub(super) costs: &'a [f64],
    pub(super) mounted: &'a Entered,
    pub(super) upper: f64,
}

impl Look<'_> {
    /// Asks questions one by one. What one answer rules out is noted in the case at once; of the other
    /// questions, the one that makes both answers dear. Says too whether anything was ruled out.
    pub(super) fn ask(
        &self,
        questions: &[Question],
        shop: &mut Shop,
        case: &mut Case,
        scratch: &mut Scratch,
        mounting: &mut Mounting,
    ) -> Result<(Option<Question>, bool), Contradiction> {
        let (mut best, mut learnt) = ((0.0, None), false);
        for &question in questions {
            let values = [true, false].map(|yes| self.ahead(shop, case, (question, yes), scratch, mounting));
            match values.map(f64::is_finite) {
                [false, false] => return Err(Contradiction),
                [true, true] => {
                    let [yes, no] = values.map(|value| (value - self.total).max(0.0) + LITTLE);
                    if yes * no > best.0 {
                        best = (yes * no, Some(question));
                    }
                }
                [yes, _] => {
                    *case = case.part(shop, question, yes);
                    self.sequence.narrow(shop, case.orders())?;
                    case.note(shop);
                    learnt = true;
                }
            }
        }
        Ok((best.1, learnt))
    }

    /// What every schedule of the case costs at least in which the answer is yes, or no; infinite if
    /// that is not less than `upper`. `shop` holds the case.
    fn ahead(
        &self,
        shop: &Shop,
        case: &Case,
        (question, yes): (Question, bool),
        scratch: &mut Scratch,
        mounting: &mut Mounting,
    ) -> f64 {
        if let (Question::Buys(offer), true) = (question, yes) {
            return self.below_upper(self.total + self.unpaid(shop, offer));
        }
        let mut part = shop.clone();
        let narrower = case.part(&mut part, question, yes);
        let orders = narrower.orders();
        if self.sequence.narrow(&mut part, orders).is_err() {
            return f64::INFINITY;
        }
        self.sequence.raise(&mut part, self.relaxation.shop, orders, self.mounted);
        self.value(shop, &part, scratch, mounting)
    }

    /// What of an offer's price its users do not pay.
    fn unpaid(&self, shop: &Shop, offer: usize) -> f64 {
        let links = (0..shop.offer_links.len()).filter(|link| shop.offer_links[*link] == offer);
        let paid: f64 = links.map(|link| self.prices.offer(link)).sum();
        (shop.offers[offer].price - paid).max(0.0)
    }

    fn below_upper(&self, value: f64) -> f64 {
        if value < self.upper { value } else { f64::INFINITY }
    }

    fn value(&self, shop: &Shop, part: &Shop, scratch: &mut Scratch, mounting: &mut Mounting) -> f64 {
        let mut total = self.total;
        for (cell, (was, now)) in shop.cells.iter().zip(&part.cells).enumerate() {
            for (level, (was, now)) in was.levels.iter().zip(&now.levels).enumerate() {
                if was.extra != now.extra {
                    let value = self.relaxation.mounting_value(part, self.prices, (cell, level), mounting);
                    total += value - self.mounted[cell][level].0;
                }
            }
        }
        let pricing = Pricing { shop: part, prices: self.prices };
        // What may still fall does so before anything is given up.
        let jobs =
            || shop.tasks.iter().zip(&part.tasks).zip(self.costs).filter(|((was, now), _)| changed(was, now));
        for falls in [true, false] {
            for ((_, now), cost) in jobs().filter(|((was, now), _)| fell(was, now) == falls) {
                let limit = if falls { f64::INFINITY } else { self.upper - total + cost };
                match pricing.least(now, limit, scratch) {
                    Some(new) => total += new - cost,
                    None => return f64::INFINITY,
                }
            }
        }
        self.below_upper(total)
    }
}

fn changed(was: &Task, now: &Task) -> bool {
    pairs(was, now).any(|(a, b)| (a.first, a.last, a.setup) != (b.first, b.last, b.setup))
}

/// Whether a job may have become cheaper.
fn fell(was: &Task, now: &Task) -> bool {
    pairs(was, now).any(|(a, b)| b.setup < a.setup)
}

fn pairs<'t>(was: &'t Task, now: &'t Task) -> impl Iterator<Item = (&'t Choice, &'t Choice)> {
    let choices = |task: &'t Task| task.steps.iter().flat_map(|step| &step.choices);
    choices(was).zip(choices(now))
}
