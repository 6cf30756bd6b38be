use crate::real::real_quantity;
use crate::time::Minutes;
use std::fmt;

/// The one tolerance for comparing sums of money: two amounts are the same if they differ by no
/// more than this share of the larger, or of one unit of the currency where both are smaller.
///
/// It is the tolerance that the contract gives a claimed objective.
pub const RELATIVE_TOLERANCE: f64 = 1e-6;

/// An amount of the shop's one currency; finite.
///
/// Amounts are kept unrounded and rounded once, to hundredths, half away from zero, where a
/// person reads them (the `Display` form).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Money(f64);

real_quantity!(Money);

impl Money {
    /// An amount.
    ///
    /// # Panics
    /// If `amount` is not finite.
    #[must_use]
    pub fn new(amount: f64) -> Self {
        assert!(amount.is_finite(), "an amount of money must be finite, found {amount}");
        Self(amount + 0.0)
    }

    /// The amount as a number in the shop's currency.
    #[must_use]
    pub fn amount(self) -> f64 {
        self.0
    }

    /// Whether the two amounts are the same within [`RELATIVE_TOLERANCE`].
    #[must_use]
    pub fn same_as(self, other: Self) -> bool {
        let scale = self.0.abs().max(other.0.abs()).max(1.0);
        (self.0 - other.0).abs() <= RELATIVE_TOLERANCE * scale
    }
}

/// Shown with two decimals and thin groups of three: `12 345.60`.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cents = (self.0.abs() * 100.0).round();
        let text = format!("{:.2}", cents / 100.0);
        let (whole, decimals) = text.split_at(text.len() - 3);
        let mut grouped = String::new();
        if self.0 < 0.0 && cents > 0.0 {
            grouped.push('-');
        }
        for (i, digit) in whole.chars().enumerate() {
            if i > 0 && (whole.len() - i).is_multiple_of(3) {
                grouped.push(' ');
            }
            grouped.push(digit);
        }
        f.pad(&(grouped + decimals))
    }
}

/// Money for one minute of work.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RatePerMinute(f64);

real_quantity!(RatePerMinute);

impl RatePerMinute {
    /// A rate of `amount` for one minute.
    ///
    /// # Panics
    /// If `amount` is not finite.
    #[must_use]
    pub fn per_minute(amount: f64) -> Self {
        assert!(amount.is_finite(), "a rate must be finite, found {amount}");
        Self(amount)
    }

    /// A rate of `amount` for one hour.
    #[must_use]
    pub fn per_hour(amount: f64) -> Self {
        Self::per_minute(amount / 60.0)
    }

    /// The money for one minute, as a number.
    #[must_use]
    pub fn amount_per_minute(self) -> f64 {
        self.0
    }

    /// The money for one hour, as a number.
    #[must_use]
    pub fn amount_per_hour(self) -> f64 {
        self.0 * 60.0
    }
}

impl std::ops::Mul<Minutes> for RatePerMinute {
    type Output = Money;
    fn mul(self, time: Minutes) -> Money {
        Money(self.0 * time.count() as f64)
    }
}
