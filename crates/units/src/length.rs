use crate::quantity::{self, QuantityError};
use crate::real::real_quantity;
use std::fmt;
use std::str::FromStr;

/// A length in millimetres; finite, of either sign.
///
/// One inch is 25.4 mm exactly (international inch, 1959 agreement).
///
/// ```
/// use elbowroom_units::Mm;
/// assert_eq!("1.5 in".parse::<Mm>().unwrap(), Mm::new(38.1));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mm(f64);

real_quantity!(Mm);

impl Mm {
    /// Millimetres in one inch, exactly.
    pub const PER_INCH: f64 = 25.4;

    /// A length of `mm` millimetres.
    ///
    /// # Panics
    /// If `mm` is not finite: a length that is not a number is a fault of the program, not of
    /// its input, which goes through [`FromStr`].
    #[must_use]
    pub fn new(mm: f64) -> Self {
        assert!(mm.is_finite(), "a length must be finite, found {mm}");
        Self(mm + 0.0)
    }

    /// A length of `inches` inches.
    #[must_use]
    pub fn from_inches(inches: f64) -> Self {
        Self::new(inches * Self::PER_INCH)
    }

    /// The length in millimetres.
    #[must_use]
    pub fn mm(self) -> f64 {
        self.0
    }

    /// The length in metres.
    #[must_use]
    pub fn metres(self) -> f64 {
        self.0 / 1000.0
    }

    /// Whether the two lengths differ by no more than `tolerance`.
    #[must_use]
    pub fn near(self, other: Self, tolerance: Self) -> bool {
        (self - other).abs() <= tolerance
    }
}

/// Shown without needless zeros: `38.1 mm`.
impl fmt::Display for Mm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", quantity::plain(self.0, 3))
    }
}

impl FromStr for Mm {
    type Err = QuantityError;

    /// Reads `38.1 mm`, `3.2 cm`, `6.1 m`, `1.5 in`, `20 ft`; the unit must be written out.
    ///
    /// The result is rounded to a millionth of a micrometre, so that `1.5 in` and `38.1 mm` are
    /// the same tube (in binary, 1.5 x 25.4 is a little less than 38.1).
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let mm = quantity::read(text, &quantity::LENGTH)?;
        Ok(Self((mm * 1e9).round() / 1e9 + 0.0))
    }
}
