//! Standard times of every step but bending, whose times are bending knowledge.

use elbowroom_units::{Minutes, Mm, Seconds};

/// Standard times of the steps before and after bending: `config/steps.toml`, a table for each.
/// A cell divides them by its speed factor.
#[derive(Clone, Debug, PartialEq)]
pub struct StepTimes {
    /// How bars are sawn: not a time, but kept beside those of cutting.
    pub saw: Saw,
    /// Cutting tube to length, and cutting trim off.
    pub cut: CutTimes,
    /// Taking the burr off.
    pub deburr: DeburrTimes,
    /// Washing.
    pub wash: WashTimes,
    /// Forming ends.
    pub end_form: EndFormTimes,
    /// Welding.
    pub weld: WeldTimes,
    /// Inspecting the finished lot.
    pub inspect: InspectTimes,
}

/// How bars are sawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saw {
    /// Width of a cut.
    pub kerf: Mm,
    /// Length of each bar that gives no blank: squared off in front, held at the end.
    pub end_trim: Mm,
    /// What is left of a bar is kept from this length on.
    pub keep_from: Mm,
}

/// Cutting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutTimes {
    /// Changing over to another tube: bundle, clamping jaws, blade.
    pub changeover: Minutes,
    /// Setting the length and measuring the first piece, once a lot.
    pub per_lot: Seconds,
    /// Feeding, cutting and putting down a piece.
    pub per_piece: Seconds,
    /// Cutting trim off one end of a bent piece.
    pub per_trimmed_end: Seconds,
}

impl CutTimes {
    /// Cutting `pieces` blanks from the bar.
    #[must_use]
    pub fn lot(&self, pieces: u32) -> Seconds {
        self.per_lot + self.per_piece * f64::from(pieces)
    }

    /// Cutting the trim off both ends of `pieces` bent pieces.
    #[must_use]
    pub fn trimming(&self, pieces: u32) -> Seconds {
        self.per_lot + self.per_trimmed_end * 2.0 * f64::from(pieces)
    }
}

/// Deburring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeburrTimes {
    /// Changing over to another tube.
    pub changeover: Minutes,
    /// Fetching and putting away, once a lot.
    pub per_lot: Seconds,
    /// One end of a piece, inside and outside.
    pub per_end: Seconds,
}

impl DeburrTimes {
    /// Deburring both ends of `pieces` pieces.
    #[must_use]
    pub fn lot(&self, pieces: u32) -> Seconds {
        self.per_lot + self.per_end * 2.0 * f64::from(pieces)
    }
}

/// Washing. How long the pieces themselves take is bending knowledge: it depends on the lubricant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WashTimes {
    /// Loading and unloading baskets, once a lot.
    pub per_lot: Seconds,
    /// Shortest washing programme; no lot takes less.
    pub least: Seconds,
    /// Wall-clock time of drying and cooling afterwards, off the washer.
    pub drying: Minutes,
}

impl WashTimes {
    /// A lot whose pieces take `washing` together.
    #[must_use]
    pub fn lot(&self, washing: Seconds) -> Seconds {
        self.per_lot + washing.max(self.least)
    }
}

/// Forming ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndFormTimes {
    /// Changing over to the tools of another tube.
    pub changeover: Minutes,
    /// Setting and measuring the first end, once a lot.
    pub per_lot: Seconds,
    /// One end of a piece.
    pub per_end: Seconds,
}

impl EndFormTimes {
    /// Forming `ends` ends of each of `pieces` pieces.
    #[must_use]
    pub fn lot(&self, pieces: u32, ends: u32) -> Seconds {
        self.per_lot + self.per_end * f64::from(pieces) * f64::from(ends)
    }
}

/// Welding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeldTimes {
    /// Changing over to the jig of another part.
    pub changeover: Minutes,
    /// Welding and checking the first piece, once a lot.
    pub per_lot: Seconds,
    /// Putting a piece into the jig and taking it out.
    pub load: Seconds,
}

impl WeldTimes {
    /// Welding `pieces` pieces of `welding` each.
    #[must_use]
    pub fn lot(&self, pieces: u32, welding: Seconds) -> Seconds {
        self.per_lot + (self.load + welding) * f64::from(pieces)
    }
}

/// Inspecting the finished lot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InspectTimes {
    /// Drawing, gauge and record, once a lot.
    pub per_lot: Seconds,
    /// Checking a piece.
    pub per_checked_piece: Seconds,
    /// Share of the pieces that is checked, in percent; 0 to 100.
    pub checked_percent: f64,
    /// So many pieces are checked at least, where the lot has them.
    pub least_checked: u32,
}

impl InspectTimes {
    /// How many of `pieces` pieces are checked.
    #[must_use]
    pub fn checked(&self, pieces: u32) -> u32 {
        // A rounding error of the percentage must not cost a piece; the share is at most all of them.
        let share = (f64::from(pieces) * self.checked_percent / 100.0 - 1e-9).ceil() as u32;
        share.max(self.least_checked).min(pieces)
    }

    /// Inspecting a lot of `pieces` pieces.
    #[must_use]
    pub fn lot(&self, pieces: u32) -> Seconds {
        self.per_lot + self.per_checked_piece * f64::from(self.checked(pieces))
    }
}
