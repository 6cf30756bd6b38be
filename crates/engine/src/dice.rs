//! Pseudo-random numbers, always from a seed.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// The one source of chance in the engine.
#[derive(Clone, Debug)]
pub(crate) struct Dice(Xoshiro256PlusPlus);

impl Dice {
    /// Independent numbers for each stream of a seed.
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(stream)))
    }

    /// A number below `bound`; 0 if that is 0.
    #[inline]
    pub(crate) fn below(&mut self, bound: u32) -> u32 {
        (((self.0.next_u64() >> 32) * u64::from(bound)) >> 32) as u32
    }

    /// A number in `[0, 1)`.
    #[inline]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / (1u64 << 53) as f64)
    }

    #[inline]
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// Between `low` and `high`, each order of magnitude as likely as the next.
    pub(crate) fn log_uniform(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }

    /// 1, 2, 3, ... with mean `mean`, small numbers most likely.
    #[inline]
    pub(crate) fn hops(&mut self, mean: f64) -> u32 {
        1 + (-self.unit().max(1e-12).ln() * (mean - 1.0)) as u32
    }
}
