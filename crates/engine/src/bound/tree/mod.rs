//! Branch and bound for smaller shops, on when jobs end, how they are made and what is bought.
//!
//! Every schedule ends a job by a given minute or after it, starts a step by a given minute or
//! after it, takes a choice or not, buys an offer or not. So the lesser of the bounds of the two
//! cases is a bound for both, and a case whose bound reaches the cost of a known schedule need not
//! be looked into. The relaxation alone would end half of a job early and half of it late, and buy
//! a third of a die for a third of its price.
//!
//! Within a case, what costs too much is ruled out: the relaxation's value, less the price of a
//! job's cheapest way, plus the price of its cheapest way through a start, is what every schedule
//! of the case with that start costs at least. Where that reaches the cost of a known schedule, no
//! schedule that is cheaper has the start, and only cheaper ones are looked for: the least of all
//! bounds and of the known cost holds for all schedules.

mod case;
mod seen;

use super::climb::{Summit, climb};
use super::meter::Meter;
use super::relaxation::{Relaxation, Workspace};
use super::tasks::Shop;
use case::{Case, Question};
use seen::Seen;
use std::rc::Rc;

/// Larger shops need the whole budget for their prices.
const MOST_JOBS: usize = 120;
/// Share of the budget for the undecided problem.
const ROOT_SHARE: f64 = 0.35;
/// Steps of each case, from its parent's multipliers.
const PASSES: u32 = 30;
/// The last ones of them show what is undecided.
const WATCHED: u32 = 20;
/// Step lengths of a case, at its beginning and end.
const RATES: (f64, f64) = (0.05, 0.002);
/// Cases hold multipliers; so many of these numbers are kept at most.
const MOST_NUMBERS: usize = 40_000_000;

struct Node {
    bound: f64,
    case: Case,
    values: Rc<Vec<f64>>,
    question: Option<Question>,
}

/// A bound on the objective of every schedule.
pub(super) fn branch(shop: &Shop, upper: f64, meter: &mut Meter<'_>) -> f64 {
    if shop.tasks.len() > MOST_JOBS || !upper.is_finite() {
        return climb(shop, upper, meter).bound;
    }
    let mut part = meter.part(ROOT_SHARE);
    let Summit { bound, at, unit } = climb(shop, upper, &mut part);
    meter.charge(&part);
    let Some((relaxation, values)) = at else { return bound };
    let mut tree =
        Tree { relaxation: &relaxation, upper, unit, work: Workspace::default(), open: Vec::new() };
    tree.open.push(Node { bound, case: Case::all(shop), values: Rc::new(values), question: None });
    tree.grow(meter);
    tree.bound()
}

struct Tree<'a> {
    relaxation: &'a Relaxation<'a>,
    upper: f64,
    unit: f64,
    work: Workspace,
    /// Cases that are not split yet. Their least bound holds for all schedules that cost less than
    /// `upper`.
    open: Vec<Node>,
}

impl Tree<'_> {
    fn bound(&self) -> f64 {
        self.open.iter().map(|node| node.bound).fold(self.upper, f64::min)
    }

    /// Splits the case of least bound until the budget is spent or no case is worth it.
    fn grow(&mut self, meter: &mut Meter<'_>) {
        // The root's own question comes from a look at it like that at any case.
        if let Some(root) = self.open.pop() {
            let shop = root.case.apply(self.relaxation.shop);
            let again = self.solve(&root, root.case.clone(), shop, meter).unwrap_or(root);
            self.open.push(again);
        }
        let most = MOST_NUMBERS / self.relaxation.grid.size.max(1);
        for _ in 0..most {
            self.open.retain(|node| node.bound < self.upper);
            let least =
                (0..self.open.len()).min_by(|a, b| self.open[*a].bound.total_cmp(&self.open[*b].bound));
            let Some(least) = least else { break };
            let Some(question) = self.open[least].question else { break };
            let parent = self.open.swap_remove(least);
            let cases = [true, false].map(|yes| {
                let mut shop = parent.case.apply(self.relaxation.shop);
                let case = parent.case.part(&mut shop, question, yes);
                self.solve(&parent, case, shop, meter)
            });
            match cases {
                [Some(a), Some(b)] => self.open.extend([a, b]),
                _ => {
                    // Out of budget: the parent's bound still holds for both.
                    self.open.push(parent);
                    break;
                }
            }
        }
    }

    /// The node of a case below a parent, in a shop that holds it. `None` if the budget is spent.
    fn solve(
        &mut self,
        parent: &Node,
        mut case: Case,
        mut shop: Shop,
        meter: &mut Meter<'_>,
    ) -> Option<Node> {
        let relaxation = self.relaxation.of(&shop);
        let mut values = parent.values.to_vec();
        let mut seen = Seen::new(&shop);
        self.work.ways.clear();
        for pass in 0..PASSES {
            if !meter.count() {
                return None;
            }
            let gone = f64::from(pass) / f64::from(PASSES);
            let width = relaxation.grid.width() as f64;
            let rate = self.unit * width * RATES.0 * (RATES.1 / RATES.0).powf(gone);
            if relaxation.pass(&mut values, rate, &mut self.work, meter).is_none() {
                return (!meter.interrupts()).then(|| impossible(parent, case));
            }
            if pass + WATCHED >= PASSES {
                seen.add(&relaxation, &self.work);
            }
        }
        let Some(value) = relaxation.evaluate(&values, &mut self.work, meter) else {
            return (!meter.interrupts()).then(|| impossible(parent, case));
        };
        let stake = 1e-3 * (self.upper - value).max(0.0);
        let question = seen.question(&shop, &case, stake);
        let windows = relaxation.windows(&values, value, self.upper, &mut self.work);
        for (task, windows) in shop.tasks.iter_mut().zip(&windows) {
            windows.narrow(&self.relaxation.grid, task);
        }
        case.note(&shop);
        Some(Node { bound: value.max(parent.bound), case, values: Rc::new(values), question })
    }
}

/// A case in which some job cannot be made: no schedule is lost with it.
fn impossible(parent: &Node, case: Case) -> Node {
    Node { bound: f64::INFINITY, case, values: Rc::clone(&parent.values), question: None }
}
