//! The restricted master program: how often to cut each pattern known so far, fractions allowed.

use crate::whole::{Pattern, Whole};
use highs::{ColProblem, HighsModelStatus, Model, Row, Sense};
use std::collections::BTreeSet;

/// The program, kept in the solver between columns so that it goes on from the last answer.
pub(crate) struct Master {
    model: Option<Model>,
    /// One row for each item: at least as many as wanted.
    items: Vec<Row>,
    /// One row for bars of which there are only so many.
    bars: Vec<Option<Row>>,
    pub patterns: Vec<Pattern>,
    known: BTreeSet<Pattern>,
}

/// An answer of the master program.
#[derive(Clone, Debug)]
pub(crate) struct Relaxed {
    /// How often each pattern is cut.
    pub times: Vec<f64>,
    /// What all bars cost together.
    pub cost: f64,
    /// What one more wanted piece of each item would cost; not negative.
    pub prices: Vec<f64>,
    /// What one more bar of each length would save; not negative, 0 where there are enough.
    pub bar_prices: Vec<f64>,
}

impl Master {
    /// The program with these patterns; together they must make every item on bars of which there
    /// are enough.
    pub fn new(whole: &Whole, patterns: impl IntoIterator<Item = Pattern>) -> Self {
        let mut program = ColProblem::new();
        let items: Vec<Row> = whole.demand.iter().map(|count| program.add_row(f64::from(*count)..)).collect();
        let mut limit = |available: u32| program.add_row(..=f64::from(available));
        let bars: Vec<Option<Row>> = whole.bars.iter().map(|bar| bar.available.map(&mut limit)).collect();
        let mut model = program.optimise(Sense::Minimise);
        model.set_threads(std::num::NonZeroU32::MIN);
        let mut master =
            Self { model: Some(model), items, bars, patterns: Vec::new(), known: BTreeSet::new() };
        patterns.into_iter().for_each(|pattern| master.add(whole, pattern));
        master
    }

    /// Takes one more pattern, unless it is known already.
    fn add(&mut self, whole: &Whole, pattern: Pattern) {
        if !self.known.insert(pattern.clone()) {
            return;
        }
        if let Some(model) = &mut self.model {
            let pieces = pattern.pieces.iter().map(|(item, count)| (self.items[*item], f64::from(*count)));
            let bar = self.bars[pattern.bar].map(|row| (row, 1.0));
            model.add_col(whole.bars[pattern.bar].cost, 0.0.., pieces.chain(bar));
        }
        self.patterns.push(pattern);
    }

    /// Takes more patterns; `false` if all are known already.
    pub fn add_any(&mut self, whole: &Whole, patterns: Vec<Pattern>) -> bool {
        let before = self.patterns.len();
        patterns.into_iter().for_each(|pattern| self.add(whole, pattern));
        self.patterns.len() > before
    }

    /// The least cost with the patterns known; `None` if the solver gives up.
    pub fn solve(&mut self) -> Option<Relaxed> {
        let solved = self.model.take()?.try_solve().ok()?;
        let cost = solved.objective_value();
        let solution = (solved.status() == HighsModelStatus::Optimal).then(|| solved.get_solution());
        self.model = Some(solved.into());
        let solution = solution?;
        let (prices, limits) = solution.dual_rows().split_at(self.items.len());
        // The rows of limited bars follow those of the items, in order.
        let mut limits = limits.iter();
        let price = |row: &Option<Row>| row.and_then(|_| limits.next()).map_or(0.0, |dual| (-dual).max(0.0));
        Some(Relaxed {
            times: solution.columns().to_vec(),
            cost,
            prices: prices.iter().map(|dual| dual.max(0.0)).collect(),
            bar_prices: self.bars.iter().map(price).collect(),
        })
    }
}
