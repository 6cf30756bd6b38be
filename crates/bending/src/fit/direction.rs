//! From which end the tube is bent.

use std::fmt;

/// From which end the tube is bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Bend 1 as drawn comes first.
    FromStart,
    /// The last bend as drawn comes first.
    FromEnd,
}

impl Direction {
    /// The number, as drawn, of the bend that is made as number `bend` of `count`.
    #[must_use]
    pub fn as_drawn(self, bend: usize, count: usize) -> usize {
        match self {
            Self::FromStart => bend,
            Self::FromEnd => count + 1 - bend,
        }
    }
}

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::FromStart => "from the start",
            Self::FromEnd => "from the end",
        })
    }
}
