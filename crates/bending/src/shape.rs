//! The bent shape of a part: straights and bends in their order.

use elbowroom_units::{Deg, Mm};

/// One bend of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Straight between the end of the bend before (or the tube's start) and this one's start.
    pub straight_before: Mm,
    /// Turn of the bend plane since the bend before, right-handed along the tube; 0 for the first.
    pub rotation: Deg,
    /// Radius of the tube's centreline.
    pub clr: Mm,
    /// Change of direction; more than 0.
    pub angle: Deg,
}

/// A bent shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    bends: Vec<Bend>,
    end_straight: Mm,
}

impl Shape {
    /// The bends, from the tube's start.
    #[must_use]
    pub fn bends(&self) -> &[Bend] {
        &self.bends
    }

    /// Straight after the last bend.
    #[must_use]
    pub fn end_straight(&self) -> Mm {
        self.end_straight
    }
}
