//! Seeded chance: the one source of it in this crate.

use crate::uncertainty::{Breakdown, Delay, Scrap, Shape, Spread};
use rand::{RngExt, SeedableRng};
use rand_distr::{Binomial, Distribution, Exp1, Gamma, Poisson, StandardNormal};
use rand_xoshiro::Xoshiro256PlusPlus;

/// One stream of pseudo-random numbers.
pub(crate) struct Chance(Xoshiro256PlusPlus);

/// Which thing of a run a stream belongs to.
#[derive(Clone, Copy)]
pub(crate) enum Stream {
    Job(usize),
    Tool(usize),
}

impl Chance {
    /// Independent numbers for each thing of each run of a seed.
    pub(crate) fn new(seed: u64, run: u64, stream: Stream) -> Self {
        let thing = match stream {
            Stream::Job(job) => 2 * job as u64,
            Stream::Tool(tool) => 2 * tool as u64 + 1,
        };
        Self(Xoshiro256PlusPlus::seed_from_u64(mixed(mixed(mixed(seed) ^ run) ^ thing)))
    }

    /// A factor with the mean and coefficient of variation asked for.
    pub(crate) fn factor(&mut self, spread: &PreparedSpread) -> f64 {
        match spread {
            PreparedSpread::Fixed(mean) => *mean,
            PreparedSpread::Lognormal { location, scale } => {
                let normal: f64 = StandardNormal.sample(&mut self.0);
                (location + scale * normal).exp()
            }
            PreparedSpread::Gamma(gamma) => gamma.sample(&mut self.0),
        }
    }

    /// Minutes late.
    pub(crate) fn delay(&mut self, delay: &Delay) -> i64 {
        if delay.probability <= 0.0 || !self.0.random_bool(delay.probability.min(1.0)) {
            return 0;
        }
        let late: f64 = Exp1.sample(&mut self.0);
        whole(late * delay.mean.count() as f64)
    }

    /// Minutes of repairs in so many minutes of running.
    pub(crate) fn repairs(&mut self, breakdown: &PreparedBreakdown, run: f64) -> f64 {
        let expected = run / breakdown.between;
        let Some(failures) = Poisson::new(expected).ok().map(|poisson| poisson.sample(&mut self.0)) else {
            return 0.0;
        };
        (0..failures as u64).map(|_| breakdown.mean * self.factor(&breakdown.spread)).sum()
    }

    /// Pieces to make beyond the planned ones: as many as are spoilt beyond the spare ones, and of
    /// these again.
    pub(crate) fn made_again(&mut self, scrap: &Scrap) -> u64 {
        let share = scrap.share.clamp(0.0, MOST_SPOILT);
        let mut again = self.spoilt(u64::from(scrap.pieces), share).saturating_sub(u64::from(scrap.spare));
        let mut total = again;
        while again > 0 {
            again = self.spoilt(again, share);
            total += again;
        }
        total
    }

    fn spoilt(&mut self, pieces: u64, share: f64) -> u64 {
        Binomial::new(pieces, share).map_or(0, |binomial| binomial.sample(&mut self.0))
    }
}

/// A lot of which more is spoilt would hardly ever be finished.
const MOST_SPOILT: f64 = 0.95;

/// A spread with everything worked out that does not depend on the draw.
#[derive(Clone, Debug)]
pub(crate) enum PreparedSpread {
    Fixed(f64),
    /// Mean and standard deviation of the logarithm.
    Lognormal {
        location: f64,
        scale: f64,
    },
    Gamma(Gamma<f64>),
}

impl PreparedSpread {
    /// With `v` the squared coefficient of variation and `m` the mean, a lognormal factor has the
    /// logarithm's variance `ln(1 + v)` and mean `ln m - ln(1 + v) / 2`; a gamma factor has shape
    /// `1 / v` and scale `m v` (moments of the two distributions, any textbook).
    pub(crate) fn new(spread: &Spread) -> Self {
        let (mean, squared) = (spread.mean, spread.cv * spread.cv);
        if squared <= 0.0 {
            return Self::Fixed(mean);
        }
        match spread.shape {
            Shape::Lognormal => {
                let variance = squared.ln_1p();
                Self::Lognormal { location: mean.ln() - variance / 2.0, scale: variance.sqrt() }
            }
            Shape::Gamma => Gamma::new(1.0 / squared, mean * squared).map_or(Self::Fixed(mean), Self::Gamma),
        }
    }
}

/// Breakdowns in minutes.
#[derive(Clone, Debug)]
pub(crate) struct PreparedBreakdown {
    between: f64,
    mean: f64,
    spread: PreparedSpread,
}

impl PreparedBreakdown {
    /// `None` for cells that never fail, or fail without harm.
    pub(crate) fn new(breakdown: &Breakdown) -> Option<Self> {
        let (between, mean) = (breakdown.between.count() as f64, breakdown.repair.count() as f64);
        let spread = PreparedSpread::new(&Spread::lognormal(breakdown.repair_cv));
        (between > 0.0 && mean > 0.0).then_some(Self { between, mean, spread })
    }
}

/// Minutes to the nearest whole one; what is out of any reason is cut to 2,000 years.
pub(crate) fn whole(minutes: f64) -> i64 {
    const LONGEST: f64 = (1_u64 << 30) as f64;
    minutes.round().clamp(0.0, LONGEST) as i64
}

/// Neighbouring numbers become numbers far apart (the finalizer of splitmix64, Steele, Lea and
/// Flood 2014).
fn mixed(number: u64) -> u64 {
    let number = number.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let number = (number ^ (number >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let number = (number ^ (number >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    number ^ (number >> 31)
}
