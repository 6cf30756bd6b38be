//! Seeded chance for the tests' random shops.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// A seeded generator of small decisions.
pub struct Chance(Xoshiro256PlusPlus);

impl Chance {
    /// The generator of a seed; the same seed always gives the same decisions.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// A whole number from `low` to `high`, both possible.
    pub fn from_to(&mut self, low: i64, high: i64) -> i64 {
        self.0.random_range(low..=high)
    }

    /// A position in a list of `length` elements.
    pub fn below(&mut self, length: usize) -> usize {
        self.0.random_range(0..length)
    }

    /// True with the given probability.
    pub fn yes(&mut self, probability: f64) -> bool {
        self.0.random_bool(probability)
    }

    /// One of the elements.
    pub fn one_of<T: Copy>(&mut self, elements: &[T]) -> T {
        elements[self.below(elements.len())]
    }

    /// The numbers below `length` in random order.
    pub fn order(&mut self, length: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..length).collect();
        for last in (1..length).rev() {
            let other = self.below(last + 1);
            order.swap(last, other);
        }
        order
    }
}
