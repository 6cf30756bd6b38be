//! Purchases for all demand together whose optimum a general constraint solver has proved:
//! `tests/cases/purchases.csv`. They are too large for trying every subset of tools.

use crate::chance::Chance;
use elbowroom_planner::tooling::Choice;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Tools on offer, and cases with the ways of making each; amounts in whole cents.
#[derive(Clone, Debug)]
pub struct Market {
    /// By tool.
    pub prices: Vec<i64>,
    /// By case, the ways: cost, and the tools that must be bought.
    pub cases: Vec<Vec<(i64, Vec<usize>)>>,
}

/// Seeds of the file.
#[must_use]
pub fn seeds() -> std::ops::Range<u64> {
    0..60
}

/// A market like a shop's: 12 to 40 tools, some cheap ones that go with many; orders that can mostly do
/// without at a higher cost; some that cannot.
#[must_use]
pub fn market(seed: u64) -> Market {
    let mut chance = Chance::new(40_000 + seed);
    let tools = 12 + chance.below(29);
    let prices = (0..tools).map(|_| chance.from_to(4_000, 400_000)).collect();
    let cases = (0..10 + chance.below(51)).map(|_| case(&mut chance, tools)).collect();
    Market { prices, cases }
}

fn case(chance: &mut Chance, tools: usize) -> Vec<(i64, Vec<usize>)> {
    let plain = chance.from_to(10_000, 900_000);
    let mut ways = Vec::new();
    if chance.yes(0.85) {
        ways.push((plain, Vec::new()));
    }
    for _ in 0..1 + chance.below(4) {
        let mut wanted: Vec<usize> = (0..1 + chance.below(3)).map(|_| chance.below(tools)).collect();
        wanted.sort_unstable();
        wanted.dedup();
        ways.push((plain * chance.from_to(30, 105) / 100, wanted));
    }
    ways
}

impl Market {
    /// As the planner is asked.
    #[must_use]
    pub fn asked(&self) -> (Vec<f64>, Vec<Vec<Choice>>) {
        let choice = |(cost, tools): &(i64, Vec<usize>)| Choice { cost: *cost as f64, tools: tools.clone() };
        let cases = self.cases.iter().map(|ways| ways.iter().map(choice).collect());
        (self.prices.iter().map(|price| *price as f64).collect(), cases.collect())
    }

    /// As `buy_many.py` is asked.
    #[must_use]
    pub fn question(&self) -> Value {
        let way = |(cost, tools): &(i64, Vec<usize>)| json!({ "cost": cost, "tools": tools });
        let cases: Vec<Vec<Value>> = self.cases.iter().map(|ways| ways.iter().map(way).collect()).collect();
        json!({ "prices": self.prices, "cases": cases })
    }
}

/// Seeds and optima of the file.
///
/// # Panics
/// If the file is missing or a line is not as it should be.
#[must_use]
pub fn proved() -> Vec<(u64, i64)> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("cases/purchases.csv");
    let text = std::fs::read_to_string(path).expect("the file of optima is there");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.map(|line| {
        let (seed, optimum) = line.split_once(',').expect("two columns");
        (seed.parse().expect("a number"), optimum.parse().expect("whole cents"))
    })
    .collect()
}
