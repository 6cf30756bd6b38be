//! The ways of bending a tube.

use std::fmt;

/// A way of bending a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Process {
    /// The tube is clamped to a turning bend die and drawn around it; tight radii, best roundness.
    RotaryDraw,
    /// Two heads wipe the tube around fixed dies; fast, bends somewhat flat, no mandrel.
    TwinHeadCompression,
    /// Three rolls curve the tube as it passes; large radii only.
    ThreeRoll,
    /// The tube is pushed through a fixed and a moving ring; any larger radius, no die per radius.
    FreeForm,
}

impl Process {
    /// Every process, in the order in which tables list them.
    pub const ALL: [Self; 4] = [Self::RotaryDraw, Self::TwinHeadCompression, Self::ThreeRoll, Self::FreeForm];

    /// The name used in files and shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::RotaryDraw => "rotary draw",
            Self::TwinHeadCompression => "twin-head compression",
            Self::ThreeRoll => "three-roll",
            Self::FreeForm => "free-form",
        }
    }
}

impl fmt::Display for Process {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}
