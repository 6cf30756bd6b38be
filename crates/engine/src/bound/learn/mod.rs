//! Proof by trying and learning, for small shops.
//!
//! Cases of a tree know nothing of each other. Here each dead end leaves a *nogood*: statements on starts,
//! orders and choices that cannot all hold in a schedule that costs less than the best one known, with the
//! weakest numbers that suffice. It is remembered, and rules the same out everywhere else (lazy clause
//! generation: Ohrimenko, Stuckey and Codish, Constraints 14, 2009; nogoods of numbers: Katsirelos and Bacchus,
//! AAAI 2005; both from memory). Once nothing is left to try it is proved that no schedule costs less.
//!
//! The search may find something cheaper than the best schedule known. Mostly that is a schedule, and it is told
//! to whoever builds them; where the model leaves something out (see `model`) it may be none. Either way the
//! search then looks for something cheaper still, and the cheapest of all is a bound.
//!
//! * `trail`: what is known, and why;
//! * `model`: the shop as variables and rules;
//! * `nogoods`, `arcs`, `costs`, `priced`: the rules, and their reasons;
//! * `search`: trying and learning.

mod arcs;
mod costs;
mod model;
mod nogoods;
mod priced;
mod search;
mod trail;

#[cfg(test)]
mod tests;

use super::meter::Meter;
use super::prices::Prices;
use super::relaxation::{Relaxation, Workspace};
use super::tasks::Shop;
use elbowroom_problem::Placement;
use model::Model;
use priced::Priced;
use search::{End, Search};

/// Larger shops take too long to write down: pairs of choices on one cell, and choices in all.
const MOST_PAIRS: usize = 40_000;
const MOST_CHOICES: usize = 1_500;
/// Share by which a schedule has to be cheaper to count.
const CHEAPER: f64 = 1e-9;

/// A cost below which there is no schedule of the relaxation's shop, if that is found out within the budget:
/// `upper`, the cost of a schedule that is known, or less.
///
/// The shop may have lost starts and choices that no schedule cheaper than `upper` has. What all costs at the
/// multipliers `values`, and what each job does, proves something by itself and makes the search shorter. What the
/// search finds on its way is told to `found`.
pub(super) fn prove(
    relaxation: &Relaxation<'_>,
    values: &[f64],
    upper: f64,
    work: &mut Workspace,
    meter: &mut Meter<'_>,
    found: &mut dyn FnMut(Vec<Placement>),
) -> Option<f64> {
    let shop = relaxation.shop;
    if is_large(shop) {
        return None;
    }
    work.ways.clear();
    let Some(total) = relaxation.evaluate(values, work, meter) else {
        // Without time nothing is known; otherwise some job has no way left.
        return (!meter.interrupts()).then_some(upper);
    };
    let Ok(model) = Model::new(shop) else { return Some(upper) };
    let prices = Prices::new(shop, &relaxation.grid, values);
    let priced = Priced::new(shop, &prices, total, &work.costs);
    let mut search = Search::new(shop, model, priced, upper * (1.0 - CHEAPER));
    match search.run(meter, found) {
        End::Proved(least) => Some(least),
        End::Spent => None,
    }
}

fn is_large(shop: &Shop) -> bool {
    let steps = shop.tasks.iter().flat_map(|task| &task.steps);
    let mut counts = vec![0; shop.cells.len()];
    let open = steps.flat_map(|step| &step.choices).filter(|choice| choice.is_open());
    for cell in open.filter_map(|choice| choice.cell) {
        counts[cell] += 1;
    }
    let pairs: usize = counts.iter().map(|count| count * count).sum();
    pairs > MOST_PAIRS || counts.iter().sum::<usize>() > MOST_CHOICES
}
