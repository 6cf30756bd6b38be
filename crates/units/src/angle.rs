use crate::quantity::{self, QuantityError};
use crate::real::real_quantity;
use std::fmt;
use std::str::FromStr;

/// An angle in degrees; finite, of either sign, not normalised.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Deg(f64);

real_quantity!(Deg);

impl Deg {
    /// An angle of `degrees`.
    ///
    /// # Panics
    /// If `degrees` is not finite (see [`crate::Mm::new`]).
    #[must_use]
    pub fn new(degrees: f64) -> Self {
        assert!(degrees.is_finite(), "an angle must be finite, found {degrees}");
        Self(degrees + 0.0)
    }

    /// An angle of `radians`.
    #[must_use]
    pub fn from_radians(radians: f64) -> Self {
        Self::new(radians.to_degrees())
    }

    /// The angle in degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// The angle in radians.
    #[must_use]
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }
}

/// Shown as `90°`.
impl fmt::Display for Deg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}°", quantity::plain(self.0, 3))
    }
}

impl FromStr for Deg {
    type Err = QuantityError;

    /// Reads `90 deg`, `90°`, `1.5708 rad`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        quantity::read(text, &quantity::ANGLE).map(Self)
    }
}
