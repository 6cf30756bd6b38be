//! Column generation: the linear relaxation over all patterns, of which few are ever written down.

use crate::bound::{ALMOST, bound, raised, step};
use crate::knapsack::{self, Filling, Item};
use crate::master::{Master, Relaxed};
use crate::whole::{Pattern, Whole};

/// A pattern must be worth this share more than its bar to be taken up.
const WORTH_MORE: f64 = 1e-7;
/// Prices become whole numbers of this share of the dearest bar.
const PRICE_UNITS: f64 = 1e9;
/// Every so many rounds the prices are exact.
const EXACT_EVERY: usize = 10;
/// Patterns that come with the best one in a round.
const COMPANY: usize = 12;

/// The relaxation, solved.
pub(crate) struct Solved {
    /// Patterns found, those at the start among them.
    pub patterns: Vec<Pattern>,
    /// How often each is cut, fractions allowed.
    pub times: Vec<f64>,
    /// No plan costs less.
    pub bound: f64,
}

/// Solves the relaxation, beginning with `patterns`, until no pattern would help or no plan of whole
/// bars could be told apart, or after `most_rounds`; `None` if the solver gives up at once.
pub(crate) fn solve(
    whole: &Whole,
    patterns: impl IntoIterator<Item = Pattern>,
    most_rounds: usize,
) -> Option<Solved> {
    let mut master = Master::new(whole, patterns);
    let step = step(whole);
    let mut bound = 0.0_f64;
    let mut times = Vec::new();
    for round in 0..most_rounds {
        let Some(relaxed) = master.solve() else { break };
        // Exact prices prove the bound; in between, what a short search finds is as good.
        let exact = round % EXACT_EVERY == 0;
        let mut helpful =
            if exact { Vec::new() } else { Priced::roughly(whole, &relaxed).helpful(whole, &relaxed) };
        if helpful.is_empty() {
            let priced = Priced::exactly(whole, &relaxed);
            bound = bound.max(priced.bound(whole));
            helpful = priced.helpful(whole, &relaxed);
        }
        times = relaxed.times;
        if is_close(bound, relaxed.cost, step) || !master.add_any(whole, helpful) {
            break;
        }
    }
    times.resize(master.patterns.len(), 0.0);
    (bound > 0.0).then_some(Solved { patterns: master.patterns, times, bound })
}

/// Whether a better relaxation could not raise the bound to another cost of whole bars.
fn is_close(bound: f64, cost: f64, step: Option<f64>) -> bool {
    match step {
        Some(_) => raised(bound, step) >= raised(cost, step) - ALMOST * cost,
        None => bound >= cost * (1.0 - ALMOST),
    }
}

/// The best pattern of each bar at some prices.
struct Priced {
    /// Prices: whole numbers of a unit, rounded down.
    values: Vec<i64>,
    /// The unit.
    unit: f64,
    patterns: Vec<Pattern>,
    /// What each pattern is worth.
    worth: Vec<f64>,
}

impl Priced {
    /// No pattern is worth more.
    fn exactly(whole: &Whole, relaxed: &Relaxed) -> Self {
        Self::by(whole, relaxed, knapsack::fill)
    }

    /// As a short search finds them.
    fn roughly(whole: &Whole, relaxed: &Relaxed) -> Self {
        Self::by(whole, relaxed, knapsack::fill_well)
    }

    fn by(whole: &Whole, relaxed: &Relaxed, fill: fn(&[Item], u32) -> Filling) -> Self {
        let unit = whole.bars.iter().map(|bar| bar.cost).fold(0.0, f64::max) / PRICE_UNITS;
        let values: Vec<i64> = relaxed.prices.iter().map(|price| (price / unit).floor() as i64).collect();
        let filled = (0..whole.bars.len()).map(|bar| pattern_by(whole, &values, bar, fill));
        let (patterns, worth) = filled.map(|(pattern, value)| (pattern, value as f64 * unit)).unzip();
        Self { values, unit, patterns, worth }
    }

    /// The bound that they give, if they were priced exactly.
    fn bound(&self, whole: &Whole) -> f64 {
        let prices: Vec<f64> = self.values.iter().map(|value| *value as f64 * self.unit).collect();
        bound(whole, &prices, &self.worth)
    }

    /// Patterns that would lower the cost: the best of each bar, and for company what is best
    /// without the pieces that those before it have, since rounds are dearer than patterns.
    fn helpful(&self, whole: &Whole, relaxed: &Relaxed) -> Vec<Pattern> {
        let helps = |pattern: &Pattern, worth: f64| {
            let cost = whole.bars[pattern.bar].cost;
            worth - cost - relaxed.bar_prices[pattern.bar] > WORTH_MORE * cost
        };
        let best = self.patterns.iter().zip(&self.worth).filter(|(pattern, worth)| helps(pattern, **worth));
        let mut found: Vec<Pattern> = best.map(|(pattern, _)| pattern.clone()).collect();
        for bar in found.iter().map(|pattern| pattern.bar).collect::<Vec<_>>() {
            let mut values = self.values.clone();
            let mut last = self.patterns[bar].clone();
            for _ in 0..COMPANY {
                last.pieces.iter().for_each(|(item, _)| values[*item] = 0);
                let (pattern, value) = pattern_by(whole, &values, bar, knapsack::fill_well);
                if !helps(&pattern, value as f64 * self.unit) {
                    break;
                }
                last = pattern.clone();
                found.push(pattern);
            }
        }
        found
    }
}

/// A pattern of a bar by a way to fill it, and what it is worth; never more pieces of an item than are
/// wanted.
pub(crate) fn pattern_by(
    whole: &Whole,
    values: &[i64],
    bar: usize,
    fill: impl Fn(&[Item], u32) -> Filling,
) -> (Pattern, i64) {
    let room = whole.bars[bar].room;
    let useful: Vec<usize> =
        (0..values.len()).filter(|item| values[*item] > 0 && whole.most(*item, room) > 0).collect();
    let item =
        |item: &usize| Item { size: whole.sizes[*item], value: values[*item], most: whole.most(*item, room) };
    let items: Vec<Item> = useful.iter().map(item).collect();
    let filling = fill(&items, room);
    let pieces = useful.into_iter().zip(filling.counts).filter(|(_, count)| *count > 0).collect();
    (Pattern { bar, pieces }, filling.value)
}
