//! What is to be cut, and out of what.

use elbowroom_units::Mm;
use std::fmt;

/// Blanks of one length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blank {
    /// Length to cut; rounded up to whole tenths of a millimetre, as saws are set.
    pub length: Mm,
    /// How many.
    pub count: u32,
}

/// Bars of one length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// Length of a bar; rounded down to whole tenths of a millimetre.
    pub length: Mm,
    /// How many there are; `None`: as many as are wanted, since they are bought.
    pub available: Option<u32>,
    /// What a millimetre of it counts, more than 0: 1 for bars to be bought, less for bars and
    /// remnants in the house, so that these go first and are still not wasted.
    pub weight: f64,
}

impl Stock {
    /// Bars that are bought, as many as are wanted.
    #[must_use]
    pub fn bought(length: Mm) -> Self {
        Self { length, available: None, weight: 1.0 }
    }
}

/// How bars are sawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saw {
    /// Width of a cut. A bar's last piece needs none where the bar ends with it.
    pub kerf: Mm,
    /// Length of each bar that gives no blank: squared off at the front, or held by the gripper.
    pub end_trim: Mm,
    /// What is left of a bar is kept as a remnant from this length on.
    pub keep_from: Mm,
}

/// Blanks, bars and saw.
#[derive(Clone, Debug, PartialEq)]
pub struct CuttingJob {
    /// What is wanted; equal lengths may come more than once.
    pub blanks: Vec<Blank>,
    /// What there is to cut it from. At least one length must be there as often as wanted and
    /// hold every blank.
    pub stocks: Vec<Stock>,
    /// How bars are sawn.
    pub saw: Saw,
}

/// Why blanks cannot be cut.
#[derive(Clone, Debug, PartialEq)]
pub enum CuttingFault {
    /// A length, weight or allowance makes no sense.
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// Its value in millimetres (a weight: as it is).
        value: f64,
    },
    /// More blanks than are planned at once.
    TooMany {
        /// How many.
        count: u64,
    },
    /// A blank is longer than what the longest bar that can be bought gives.
    TooLong {
        /// Position of the blank in the job.
        blank: usize,
        /// Its length.
        length: Mm,
        /// What the longest bar gives.
        longest: Mm,
    },
}

impl fmt::Display for CuttingFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value } => write!(f, "{what} of {value} makes no sense"),
            Self::TooMany { count } => write!(f, "{count} blanks are more than can be cut in one plan"),
            Self::TooLong { length, longest, .. } => {
                write!(f, "a blank of {length} is longer than the {longest} that the longest bar gives")
            }
        }
    }
}

impl std::error::Error for CuttingFault {}
