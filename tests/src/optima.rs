//! Small shops whose optimum a general constraint solver has proved: `tests/cases/optima.csv`.
//!
//! A shop is named by how it is made: `small 17` by [`crate::small_shop`] with that seed, anything
//! else by `make_shop.py` with those arguments.

use crate::referee::make_shop;
use crate::small_shop::small_shop;
use elbowroom_contract::read_problem;
use elbowroom_problem::Problem;
use std::path::PathBuf;

/// Money by which the two solvers may differ: the other one rounds each amount to 1/14400.
pub const ROUNDING: f64 = 0.01;

/// A shop and its optimum.
#[derive(Clone, Debug, PartialEq)]
pub struct Proved {
    /// How the shop is made.
    pub shop: String,
    /// Objective of the best schedule there is.
    pub optimum: f64,
}

/// The problem of a shop.
///
/// # Panics
/// If the name says nothing that can be made.
#[must_use]
pub fn problem(shop: &str) -> Problem {
    if let Some(seed) = shop.strip_prefix("small ") {
        return small_shop(seed.parse().expect("the seed of a small shop is a number"));
    }
    let words: Vec<&str> = shop.split(' ').collect();
    read_problem(make_shop(&words).as_bytes()).expect("the generator makes valid problems")
}

/// Shops to be tried: every corner of the contract in small ones, and tiny shops like real ones.
#[must_use]
pub fn candidates() -> Vec<String> {
    let small = (0..400).map(|seed| format!("small {seed}"));
    let made = (0..90).map(|number| {
        let (jobs, weeks) = (2 + number % 8, 1 + number % 2);
        let purchases =
            if number % 3 == 0 { " --missing 0.5 --lead 1 2 --price 0.2 --bound 0.3" } else { "" };
        format!("--jobs {jobs} --weeks {weeks} --seed {}{purchases}", 7000 + number)
    });
    small.chain(made).collect()
}

/// Where the proved optima are kept.
#[must_use]
pub fn file() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("cases/optima.csv")
}

/// The proved optima.
///
/// # Panics
/// If the file is missing or a line is not as it should be.
#[must_use]
pub fn proved() -> Vec<Proved> {
    let text = std::fs::read_to_string(file()).expect("the file of optima is there");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.map(|line| {
        let (shop, optimum) = line.split_once(',').expect("two columns");
        Proved { shop: shop.to_owned(), optimum: optimum.parse().expect("an amount") }
    })
    .collect()
}
