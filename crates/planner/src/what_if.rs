//! Cases tried out side by side: what a plan would be like if the shop were different.

use crate::compare::{Comparison, Outline, compare};
use crate::plan::Plan;
use elbowroom_units::{Minutes, Money};
use std::collections::BTreeMap;

/// Moves of less than this are left to chance: another search would move as much.
const LEAST: Minutes = Minutes::new(240);

/// A plan that was tried, held against today's.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The plan.
    pub outline: Outline,
    /// What is different from today's plan.
    pub comparison: Comparison,
    /// The cell with the least time to spare over the plan's weeks.
    pub busiest: Option<Busiest>,
    /// No plan for this case costs less.
    pub lower_bound: Option<Money>,
}

/// A cell and its load over all weeks of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Busiest {
    /// Id of the cell.
    pub cell: String,
    /// Working time running and changing over.
    pub worked: Minutes,
    /// Time open.
    pub open: Minutes,
}

impl Busiest {
    /// Load in percent of the time open.
    #[must_use]
    pub fn percent(&self) -> f64 {
        100.0 * self.worked.count() as f64 / self.open.count().max(1) as f64
    }
}

/// Holds the plan of a case against today's.
#[must_use]
pub fn tried(today: &Outline, plan: &Plan) -> Tried {
    let outline = Outline::of(plan);
    let comparison = compare(today, &outline, LEAST);
    Tried { outline, comparison, busiest: busiest(plan), lower_bound: plan.lower_bound }
}

fn busiest(plan: &Plan) -> Option<Busiest> {
    let mut cells: BTreeMap<&str, (Minutes, Minutes)> = BTreeMap::new();
    for load in &plan.loads {
        let sum = cells.entry(&load.cell).or_default();
        *sum = (sum.0 + load.run + load.setup, sum.1 + load.open);
    }
    let all = cells.into_iter().map(|(cell, (worked, open))| Busiest { cell: cell.to_owned(), worked, open });
    all.max_by(|a, b| a.percent().total_cmp(&b.percent()).then_with(|| b.cell.cmp(&a.cell)))
}
