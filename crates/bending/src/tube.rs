//! Round tube.

use elbowroom_units::Mm;
use std::fmt;

/// A round tube that can exist: the bore is open, so the wall is thinner than the radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    outer: Mm,
    wall: Mm,
}

impl Tube {
    /// A tube of outside diameter `outer` and wall `wall`.
    ///
    /// # Errors
    /// If either is not positive, or the wall leaves no bore.
    pub fn new(outer: Mm, wall: Mm) -> Result<Self, TubeFault> {
        if outer <= Mm::ZERO {
            return Err(TubeFault::OuterNotPositive { outer });
        }
        if wall <= Mm::ZERO || wall * 2.0 >= outer {
            return Err(TubeFault::WallOutOfRange { wall, outer });
        }
        Ok(Self { outer, wall })
    }

    /// Outside diameter.
    #[must_use]
    pub fn outer(&self) -> Mm {
        self.outer
    }

    /// Wall thickness.
    #[must_use]
    pub fn wall(&self) -> Mm {
        self.wall
    }

    /// Bore diameter.
    #[must_use]
    pub fn inner(&self) -> Mm {
        self.outer - self.wall * 2.0
    }

    /// Wall factor: outside diameter over wall, a measure of how thin the tube is.
    #[must_use]
    pub fn wall_factor(&self) -> f64 {
        self.outer / self.wall
    }

    /// Bend factor: centreline radius over outside diameter, a measure of how tight a bend is.
    #[must_use]
    pub fn bend_factor(&self, clr: Mm) -> f64 {
        clr / self.outer
    }
}

/// Why there can be no such tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TubeFault {
    /// The outside diameter is zero or negative.
    OuterNotPositive {
        /// What was given.
        outer: Mm,
    },
    /// The wall is zero, negative, or half the diameter or more.
    WallOutOfRange {
        /// What was given.
        wall: Mm,
        /// The outside diameter.
        outer: Mm,
    },
}

impl fmt::Display for TubeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OuterNotPositive { outer } => {
                write!(f, "outside diameter is {outer}; it must be more than 0")
            }
            Self::WallOutOfRange { wall, outer } => {
                write!(
                    f,
                    "wall is {wall}; for an outside diameter of {outer} it must be more than 0 and less than {}",
                    *outer / 2.0
                )
            }
        }
    }
}

impl std::error::Error for TubeFault {}
