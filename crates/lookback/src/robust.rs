//! Robust statistics: figures that a few forgotten or mistyped reports cannot move.

/// A sample of numbers, summed up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Robust {
    /// How many.
    pub count: usize,
    /// The median.
    pub median: f64,
    /// The quartiles between which the middle half lies; linear between neighbours.
    pub quartiles: (f64, f64),
    /// An interval that holds the median of all lots to come with at least 95 % certainty, whatever
    /// their distribution; `None` with fewer than six.
    pub sure: Option<(f64, f64)>,
    /// Standard deviation by the median absolute deviation, as for a normal distribution.
    pub deviation: f64,
}

/// Standard deviation over median absolute deviation of a normal distribution: 1 / 0.67449, the
/// third quartile of the standard normal distribution.
const MAD_TO_DEVIATION: f64 = 1.482_602_218_505_602;

/// So many can miss the median on both sides together.
const MISSED: f64 = 0.05;

impl Robust {
    /// Sums up a sample; `None` of an empty one. All numbers must be finite.
    #[must_use]
    pub fn of(sample: &[f64]) -> Option<Self> {
        let mut sorted = sample.to_vec();
        sorted.sort_by(f64::total_cmp);
        let median = quantile(&sorted, 0.5)?;
        let mut away: Vec<f64> = sorted.iter().map(|value| (value - median).abs()).collect();
        away.sort_by(f64::total_cmp);
        let spread = quantile(&away, 0.5)?;
        Some(Self {
            count: sorted.len(),
            median,
            quartiles: (quantile(&sorted, 0.25)?, quantile(&sorted, 0.75)?),
            sure: sure(&sorted),
            deviation: MAD_TO_DEVIATION * spread,
        })
    }

    /// Deviation over median; `None` where the median is not positive.
    #[must_use]
    pub fn variation(&self) -> Option<f64> {
        (self.median > 0.0).then(|| self.deviation / self.median)
    }
}

/// A quantile of sorted numbers, linear between the neighbours of place `(n - 1) share` (type 7 of
/// Hyndman and Fan, Sample Quantiles in Statistical Packages, 1996).
fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = last as f64 * share;
    let (below, above) = (place.floor() as usize, place.ceil() as usize);
    Some(sorted[below] + (sorted[above] - sorted[below]) * (place - place.floor()))
}

/// The k-th smallest and k-th largest of sorted numbers, with the greatest k for which fewer than k of
/// n fair coins fall on one given side in at most 2.5 % of all throws (sign test turned round).
fn sure(sorted: &[f64]) -> Option<(f64, f64)> {
    let n = sorted.len();
    let mut term = 0.5_f64.powi(i32::try_from(n).ok()?);
    let (mut below, mut k) = (0.0, 0);
    while k < n / 2 && 2.0 * (below + term) <= MISSED {
        below += term;
        term *= (n - k) as f64 / (k + 1) as f64;
        k += 1;
    }
    (k > 0).then(|| (sorted[k - 1], sorted[n - k]))
}
