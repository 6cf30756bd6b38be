//! Branch and bound for smaller shops, on when jobs end and on what is bought.
//!
//! Every schedule ends a job by a given minute or after it, and buys an offer or does not. So the
//! lesser of the bounds of the two cases is a bound for both, and a case whose bound reaches the
//! cost of a known schedule need not be looked into. The relaxation alone would end half of a job
//! early and half of it late, and buy a third of a die for a third of its price.

use super::climb::{Summit, climb};
use super::meter::Meter;
use super::relaxation::{Relaxation, Workspace};
use super::tasks::{Choice, Shop, Task};
use std::collections::BTreeMap;
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

/// What the cases on the way to a node have decided.
#[derive(Clone, Default)]
struct Decisions {
    /// For a job, the minutes in which it ends: first and last.
    ends: BTreeMap<usize, (i64, i64)>,
    /// For an offer, whether it is taken.
    bought: BTreeMap<usize, bool>,
}

/// Something to decide next.
#[derive(Clone, Copy)]
enum Question {
    /// Whether the job ends by the minute.
    EndsBy(usize, i64),
    /// Whether the offer is taken.
    Buys(usize),
}

struct Node {
    bound: f64,
    decisions: Decisions,
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
    tree.open.push(Node { bound, decisions: Decisions::default(), values: Rc::new(values), question: None });
    tree.grow(meter);
    tree.bound()
}

struct Tree<'a> {
    relaxation: &'a Relaxation<'a>,
    upper: f64,
    unit: f64,
    work: Workspace,
    /// Cases that are not split yet. Their least bound holds for all schedules.
    open: Vec<Node>,
}

impl Tree<'_> {
    fn bound(&self) -> f64 {
        self.open.iter().map(|node| node.bound).fold(f64::INFINITY, f64::min)
    }

    /// Splits the case of least bound until the budget is spent or no case is worth it.
    fn grow(&mut self, meter: &mut Meter<'_>) {
        // The root's own question comes from a look at it like that at any case.
        if let Some(root) = self.open.pop() {
            let again = self.solve(&root, root.decisions.clone(), meter).unwrap_or(root);
            self.open.push(again);
        }
        let most = MOST_NUMBERS / self.relaxation.grid.size.max(1);
        for _ in 0..most {
            let least =
                (0..self.open.len()).min_by(|a, b| self.open[*a].bound.total_cmp(&self.open[*b].bound));
            let Some(least) = least else { break };
            let Some(question) = self.open[least].question else { break };
            if self.open[least].bound >= self.upper {
                break;
            }
            let parent = self.open.swap_remove(least);
            let cases = [true, false].map(|yes| {
                let decisions = parent.decisions.decide(question, yes);
                self.solve(&parent, decisions, meter)
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

    /// The case of some decisions below a parent. `None` if the budget is spent.
    fn solve(&mut self, parent: &Node, decisions: Decisions, meter: &mut Meter<'_>) -> Option<Node> {
        let shop = decisions.apply(self.relaxation.shop);
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
                return (!meter.interrupts()).then(|| impossible(parent, decisions));
            }
            if pass + WATCHED >= PASSES {
                seen.add(&relaxation, &self.work);
            }
        }
        let Some(value) = relaxation.evaluate(&values, &mut self.work, meter) else {
            return (!meter.interrupts()).then(|| impossible(parent, decisions));
        };
        let question = seen.question(&shop, &decisions);
        Some(Node { bound: value.max(parent.bound), decisions, values: Rc::new(values), question })
    }
}

/// A case in which some job cannot be made: no schedule is lost with it.
fn impossible(parent: &Node, decisions: Decisions) -> Node {
    Node { bound: f64::INFINITY, decisions, values: Rc::clone(&parent.values), question: None }
}

impl Decisions {
    fn decide(&self, question: Question, yes: bool) -> Self {
        let mut out = self.clone();
        match question {
            Question::Buys(offer) => {
                out.bought.insert(offer, yes);
            }
            Question::EndsBy(job, minute) => {
                let span = out.ends.entry(job).or_insert((0, i64::MAX));
                *span = if yes { (span.0, minute) } else { (minute + 1, span.1) };
            }
        }
        out
    }

    /// The shop in which the decisions hold; its links are those of the undecided one.
    fn apply(&self, shop: &Shop) -> Shop {
        let mut shop = shop.clone();
        for (job, span) in &self.ends {
            let Shop { tasks, cells, horizon, .. } = &mut shop;
            let until = span.1.min(*horizon);
            let Task { steps, .. } = &mut tasks[*job];
            for step in steps.iter_mut().filter(|step| step.last && step.pinned.is_none()) {
                for choice in &mut step.choices {
                    let time = choice.cell.map(|cell| &cells[cell].time);
                    let (from, to) = match time {
                        // Work that ends at or after a minute was not over a minute before.
                        Some(time) => (time.before(span.0 - 1) + 1, time.before(until)),
                        None => (span.0, until),
                    };
                    choice.first = choice.first.max(from - choice.run);
                    choice.last = choice.last.min(to - choice.run);
                }
            }
        }
        for (offer, bought) in &self.bought {
            if *bought {
                shop.sunk += std::mem::replace(&mut shop.offers[*offer].price, 0.0);
            } else {
                forbid(&mut shop, *offer);
            }
        }
        shop
    }
}

/// Rules out every choice that needs an offer.
fn forbid(shop: &mut Shop, offer: usize) {
    let links = &shop.offer_links;
    let needs = |choice: &Choice| choice.offers.iter().any(|link| links[*link] == offer);
    for step in shop.tasks.iter_mut().flat_map(|task| &mut task.steps) {
        for choice in step.choices.iter_mut().filter(|choice| needs(choice)) {
            choice.last = choice.first - 1;
        }
    }
}

/// What the last steps of a case did with each job and offer.
struct Seen {
    /// By job, the minutes at which it ended, or its due minute if earlier.
    ends: Vec<Vec<i64>>,
    /// By offer, how often some job used it.
    used: Vec<u32>,
    looks: u32,
}

impl Seen {
    fn new(shop: &Shop) -> Self {
        Self { ends: vec![Vec::new(); shop.tasks.len()], used: vec![0; shop.offers.len()], looks: 0 }
    }

    fn add(&mut self, relaxation: &Relaxation<'_>, work: &Workspace) {
        self.looks += 1;
        let mut used = vec![0; self.used.len()];
        for (job, (task, way)) in relaxation.shop.tasks.iter().zip(&work.ways).enumerate() {
            let Some(way) = way else { continue };
            let mut legs = task.routes[way.plan].steps.iter().zip(&way.legs);
            for (step, leg) in legs.clone() {
                for link in &task.steps[*step].choices[leg.choice].offers {
                    used[relaxation.shop.offer_links[*link]] = 1;
                }
            }
            if let Some((step, leg)) = legs.next_back() {
                let end = relaxation.earliest_end(&task.steps[*step], *leg);
                self.ends[job].push(end.max(task.due));
            }
        }
        for (sum, new) in self.used.iter_mut().zip(used) {
            *sum += new;
        }
    }

    /// The question whose answers differ most in money.
    fn question(&self, shop: &Shop, decisions: &Decisions) -> Option<Question> {
        let mut best: (f64, Option<Question>) = (1e-9, None);
        for (job, ends) in self.ends.iter().enumerate() {
            let count = ends.len().max(1) as f64;
            let mean = ends.iter().sum::<i64>() as f64 / count;
            let spread = ends.iter().map(|end| (*end as f64 - mean).abs()).sum::<f64>() / count;
            let money = spread * shop.tasks[job].late;
            if money > best.0 {
                best = (money, Some(Question::EndsBy(job, mean.floor() as i64)));
            }
        }
        for (offer, used) in self.used.iter().enumerate() {
            let share = f64::from(*used) / f64::from(self.looks.max(1));
            let money = shop.offers[offer].price * share.min(1.0 - share);
            if money > best.0 && !decisions.bought.contains_key(&offer) {
                best = (money, Some(Question::Buys(offer)));
            }
        }
        best.1
    }
}
