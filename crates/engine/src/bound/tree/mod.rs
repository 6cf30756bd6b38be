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
//!
//! * `case`: questions, and what the answers leave;
//! * `sequence`: what follows from a cell doing one thing at a time;
//! * `setups`: longer least setups, where it is known better what comes before;
//! * `seen`: what the relaxation cannot decide about;
//! * `look`: what answers would cost. An answer that costs too much is ruled out at once.

mod case;
mod look;
mod seen;
mod sequence;
mod setups;
#[cfg(test)]
mod tests;

use super::climb::{Summit, climb};
use super::learn;
use super::meter::Meter;
use super::prices::{Prices, Resolution};
use super::relaxation::{Relaxation, Workspace};
use super::reopen;
use super::tasks::Shop;
use super::{ProvenBound, Standing};
use case::{Case, Question};
use elbowroom_problem::Placement;
use look::Look;
use seen::Seen;
use sequence::{Contradiction, Sequence};
use std::rc::Rc;

/// Larger shops need the whole budget for their prices.
const MOST_JOBS: usize = 120;
/// Share of the budget for the undecided problem.
const ROOT_SHARE: f64 = 0.35;
/// Larger shops ask no questions ahead and keep their least setups: both would take too long.
const MOST_LOOKED: usize = 45;
/// How the prices of a case follow from its parent's.
const COARSE: Steps = Steps { count: 14, rates: (0.05, 0.002) };
/// The same with slots of one minute, where cells have little choice left and prices are nearly right.
const FINE: Steps = Steps { count: 24, rates: (0.06, 0.0004) };
/// The last ones of the steps show what is undecided.
const WATCHED: u32 = 10;
/// With no more starts than this left, slots of one minute cost little.
const FEW_MINUTES: i64 = 60_000;
/// Rounds of narrowing at a case's prices, at most.
const ROUNDS: u32 = 6;
/// Orders of two operations that are asked about, at most.
const MOST_ORDERS: usize = 12;
/// Shops that are proved by learning, if they can be.
const MOST_LEARNT: usize = 30;
/// Share of the budget for that.
const LEARNT_SHARE: f64 = 0.75;
/// Larger shops have no use for planning some jobs again.
const MOST_REOPENED: usize = 80;
/// Share of the budget for that, of what the root has left.
const REOPENED_SHARE: f64 = 0.3;
/// A question about money is put first if it is about more than this share of what is not proved.
const MONEY_FIRST: f64 = 1e-3;
/// Cases hold multipliers; so many of these numbers are kept at most.
const MOST_NUMBERS: usize = 40_000_000;

struct Node {
    bound: f64,
    case: Case,
    values: Rc<Vec<f64>>,
    question: Option<Question>,
}

/// A bound on the objective of every schedule.
pub(super) fn branch(shop: &Shop, standing: &Standing<'_>, meter: &mut Meter<'_>) -> f64 {
    if shop.tasks.len() > MOST_JOBS || !standing.best().is_finite() {
        return climb(shop, standing, meter).bound;
    }
    let mut part = meter.part(ROOT_SHARE);
    let Summit { bound, at, unit } = climb(shop, standing, &mut part);
    meter.charge(&part);
    let Some((relaxation, values)) = at else {
        // A share too short for good prices, or no budget at all.
        return bound.max(climb(shop, standing, meter).bound);
    };
    let mut tree = Tree {
        relaxation: &relaxation,
        fine: Relaxation::new(shop, Resolution { slot: 1, ..relaxation.grid.resolution }),
        sequence: Sequence::new(shop),
        standing,
        upper: standing.best(),
        unit,
        work: Workspace::default(),
        open: Vec::new(),
    };
    let values = Rc::new(values);
    tree.open.push(Node { bound, case: Case::all(shop), values: Rc::clone(&values), question: None });
    let reopens = shop.tasks.len() <= MOST_REOPENED && !meter.is_counted();
    let mut part = meter.part(if reopens { 1.0 - REOPENED_SHARE } else { 1.0 });
    tree.grow(&mut part);
    meter.charge(&part);
    standing.proved(ProvenBound::rounded_down(tree.bound()));
    if reopens {
        reopen::improve(&relaxation, &values, standing, meter);
    }
    tree.bound()
}

struct Tree<'a> {
    relaxation: &'a Relaxation<'a>,
    /// The same with slots of one minute, for cases in which few starts are left.
    fine: Relaxation<'a>,
    sequence: Sequence,
    standing: &'a Standing<'a>,
    /// The least cost of a schedule that is known.
    upper: f64,
    unit: f64,
    work: Workspace,
    /// Cases that are not split yet. Their least bound holds for all schedules that cost less than
    /// `upper`.
    open: Vec<Node>,
}

impl<'a> Tree<'a> {
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
        if self.relaxation.shop.tasks.len() <= MOST_LEARNT && self.proves_all(meter) {
            return;
        }
        let most = MOST_NUMBERS / self.relaxation.grid.size.max(1);
        for _ in 0..most {
            self.upper = self.standing.best();
            self.standing.proved(ProvenBound::rounded_down(self.bound()));
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

    /// Tries to prove the undecided case at once.
    fn proves_all(&mut self, meter: &mut Meter<'_>) -> bool {
        let Some(root) = self.open.pop() else { return true };
        let mut part = meter.part(LEARNT_SHARE);
        let proved = self.learn(&root, &mut part);
        meter.charge(&part);
        match proved {
            Some(bound) => self.upper = self.upper.min(bound),
            None => self.open.push(root),
        }
        proved.is_some()
    }

    /// A cost below which there is no schedule of a case, if that is found out; see [`super::learn`].
    fn learn(&mut self, root: &Node, meter: &mut Meter<'_>) -> Option<f64> {
        let shop = root.case.apply(self.relaxation.shop);
        let relaxation = self.relaxation.of(&shop);
        let mut try_out = |hint: Vec<Placement>| self.standing.try_out(&hint);
        learn::prove(&relaxation, &root.values, self.upper, &mut self.work, meter, &mut try_out)
    }

    /// The node of a case below a parent, in a shop that holds it. `None` if the budget is spent.
    fn solve(&mut self, parent: &Node, mut case: Case, shop: Shop, meter: &mut Meter<'_>) -> Option<Node> {
        let mut values = parent.values.to_vec();
        match self.examine(&mut case, shop, &mut values, parent.bound, meter) {
            Ok((bound, question)) => Some(Node { bound, case, values: Rc::new(values), question }),
            Err(End::Empty) => {
                let values = Rc::clone(&parent.values);
                Some(Node { bound: f64::INFINITY, case, values, question: None })
            }
            Err(End::Spent) => None,
        }
    }

    /// Finds good prices for a case and narrows it; its bound, no less than `least`, and what to ask next.
    fn examine(
        &mut self,
        case: &mut Case,
        mut shop: Shop,
        values: &mut [f64],
        least: f64,
        meter: &mut Meter<'_>,
    ) -> Result<(f64, Option<Question>), End> {
        self.sequence.narrow(&mut shop, case.orders())?;
        self.raise(&mut shop, case);
        let seen = self.find_prices(&shop, values, meter)?;
        let (mut bound, mut asked) = (least, None);
        for _ in 0..ROUNDS {
            let (value, narrowed) = self.narrow(&mut shop, case, values, meter)?;
            bound = bound.max(value);
            if bound >= self.upper {
                return Err(End::Empty);
            }
            if narrowed {
                continue;
            }
            case.note(&shop);
            let mut questions = seen.questions(&shop, case);
            questions.extend(self.sequence.questions(&shop, case.orders(), MOST_ORDERS));
            let money = seen.on_money(&shop, case, MONEY_FIRST * (self.upper - bound));
            if shop.tasks.len() > MOST_LOOKED {
                asked = money.or(questions.first().copied());
                break;
            }
            let (best, learnt) = self.look_ahead(&questions, &mut shop, case, values, value)?;
            asked = money.or(best);
            if !learnt {
                break;
            }
        }
        case.note(&shop);
        Ok((bound, asked.or_else(|| Question::about_the_widest(&shop))))
    }

    /// Steps from the parent's prices towards the best ones; leaves them in `values`.
    fn find_prices(&mut self, shop: &Shop, values: &mut [f64], meter: &mut Meter<'_>) -> Result<Seen, End> {
        let mut seen = Seen::new(shop);
        let steps = if self.is_narrow(shop) { FINE } else { COARSE };
        let relaxation = self.grained(shop).of(shop);
        let unit = self.unit * relaxation.grid.width() as f64;
        self.work.ways.clear();
        for step in 0..steps.count {
            if !meter.count() {
                return Err(End::Spent);
            }
            let pass = relaxation.pass(values, unit * steps.rate(step), &mut self.work, meter);
            pass.ok_or_else(|| End::of(meter))?;
            if step + WATCHED >= steps.count {
                seen.add(&relaxation, &self.work);
            }
        }
        Ok(seen)
    }

    /// Rules out what costs too much at these prices and what follows from that; the value that proves it,
    /// and whether another round may rule out more.
    fn narrow(
        &mut self,
        shop: &mut Shop,
        case: &Case,
        values: &[f64],
        meter: &Meter<'_>,
    ) -> Result<(f64, bool), End> {
        self.work.ways.clear();
        let relaxation = self.grained(shop).of(shop);
        let value = relaxation.evaluate(values, &mut self.work, meter).ok_or_else(|| End::of(meter))?;
        if value >= self.upper {
            return Err(End::Empty);
        }
        let windows = relaxation.windows(values, value, self.upper, &mut self.work);
        let grid = Rc::clone(&relaxation.grid);
        for (task, windows) in shop.tasks.iter_mut().zip(&windows) {
            windows.narrow(&grid, task);
        }
        let narrowed = self.sequence.narrow(shop, case.orders())?;
        Ok((value, self.raise(shop, case) || narrowed))
    }

    /// Asks questions ahead; see [`Look::ask`]. `shop` is as [`Tree::narrow`] has left it.
    fn look_ahead(
        &mut self,
        questions: &[Question],
        shop: &mut Shop,
        case: &mut Case,
        values: &[f64],
        total: f64,
    ) -> Result<(Option<Question>, bool), End> {
        let grid = Rc::clone(&self.grained(shop).grid);
        let prices = Prices::new(shop, &grid, values);
        let Workspace { scratch, costs, mounted, mounting, .. } = &mut self.work;
        let look = Look {
            relaxation: self.relaxation,
            sequence: &self.sequence,
            prices: &prices,
            total,
            costs,
            mounted,
            upper: self.upper,
        };
        Ok(look.ask(questions, shop, case, scratch, mounting)?)
    }

    fn raise(&self, shop: &mut Shop, case: &Case) -> bool {
        shop.tasks.len() <= MOST_LOOKED
            && self.sequence.raise(shop, self.relaxation.shop, case.orders(), &self.work.mounted)
    }

    fn grained(&self, shop: &Shop) -> &Relaxation<'a> {
        if self.is_narrow(shop) { &self.fine } else { self.relaxation }
    }

    fn is_narrow(&self, shop: &Shop) -> bool {
        let choices = shop.tasks.iter().flat_map(|task| &task.steps).flat_map(|step| &step.choices);
        choices.map(|choice| (choice.last - choice.first + 1).max(0)).sum::<i64>() <= FEW_MINUTES
    }
}

/// Why a case was not examined to the end.
enum End {
    /// No schedule of it costs less than the known one.
    Empty,
    /// The budget is spent.
    Spent,
}

impl End {
    /// Why an evaluation had no result.
    fn of(meter: &Meter<'_>) -> Self {
        if meter.interrupts() { Self::Spent } else { Self::Empty }
    }
}

impl From<Contradiction> for End {
    fn from(_: Contradiction) -> Self {
        Self::Empty
    }
}

/// Incremental steps: how many, and their lengths at the beginning and the end.
struct Steps {
    count: u32,
    rates: (f64, f64),
}

impl Steps {
    fn rate(&self, step: u32) -> f64 {
        let gone = f64::from(step) / f64::from(self.count);
        self.rates.0 * (self.rates.1 / self.rates.0).powf(gone)
    }
}
