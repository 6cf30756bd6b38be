//! Deciding purchases: branch and bound on what is bought.
//!
//! Every schedule either buys an offer or does not. So the lesser of the bounds of the two cases is
//! a bound for both, and a case that costs as much as a known schedule need not be looked into. The
//! relaxation alone would buy a third of a die for a third of its price.

use super::climb::climb;
use super::meter::Meter;
use super::tasks::{Purchases, Shop};
use elbowroom_problem::Problem;

/// Larger shops need the whole budget for their prices.
const MOST_JOBS: usize = 120;
/// Share of the budget for the undecided problem.
const ROOT_SHARE: f64 = 0.4;
/// Share of what is left for each further case, at most.
const CASE_SHARE: f64 = 0.15;

/// A combination of purchases with its bound; further ones are undecided.
struct Case {
    bound: f64,
    decided: Purchases,
}

/// A bound on the objective of every schedule, whatever it buys.
pub(super) fn branch(problem: &Problem, upper: f64, meter: &mut Meter<'_>) -> f64 {
    let shop = Shop::new(problem, None);
    let open = worthwhile(&shop);
    if open.is_empty() || shop.tasks.len() > MOST_JOBS {
        return climb(&shop, upper, meter);
    }
    let mut cases = vec![Case { bound: case(&shop, upper, meter, ROOT_SHARE), decided: Purchases::new() }];
    loop {
        let least = (0..cases.len()).min_by(|a, b| cases[*a].bound.total_cmp(&cases[*b].bound)).unwrap_or(0);
        let undecided = open.iter().find(|tool| !cases[least].decided.contains_key(tool));
        let (Some(tool), true, false) = (undecided, cases[least].bound < upper, meter.is_spent()) else {
            return cases[least].bound;
        };
        let parent = cases.swap_remove(least);
        for bought in [false, true] {
            let mut decided = parent.decided.clone();
            decided.insert(*tool, bought);
            let bound = case(&Shop::after(problem, &decided), upper, meter, CASE_SHARE);
            cases.push(Case { bound: bound.max(parent.bound), decided });
        }
    }
}

fn case(shop: &Shop, upper: f64, meter: &mut Meter<'_>, share: f64) -> f64 {
    let mut part = meter.part(share);
    let bound = climb(shop, upper, &mut part);
    meter.charge(&part);
    bound
}

/// The tools of offers that some job could use, the dearest first.
fn worthwhile(shop: &Shop) -> Vec<usize> {
    let used = |offer: usize| shop.offer_links.contains(&offer);
    let mut offers: Vec<_> = (0..shop.offers.len()).filter(|offer| used(*offer)).collect();
    offers.sort_by(|a, b| shop.offers[*b].price.total_cmp(&shop.offers[*a].price));
    offers.into_iter().map(|offer| shop.offers[offer].tool).collect()
}
