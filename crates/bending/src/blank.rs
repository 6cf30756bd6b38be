//! Blanks out of bars.
//!
//! Mathematics of sawing: each piece takes its length, each cut the saw's kerf.

use elbowroom_units::Mm;

/// How bars are sawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sawing {
    /// Length of a bar.
    pub bar: Mm,
    /// Cut off the front of each bar before the first piece.
    pub front_trim: Mm,
    /// Width of a cut.
    pub kerf: Mm,
    /// Whether the last piece of a bar needs a cut too, or the bar's end serves.
    pub cut_after_last: bool,
}

/// What a bar gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yield {
    /// Pieces of a bar.
    pub pieces: u32,
    /// What is left of the bar, before a last kerf that was not needed.
    pub drop: Mm,
}

impl Sawing {
    /// What a bar gives of pieces of length `blank`; `None` if no piece comes out of it, or the
    /// lengths make no sense.
    #[must_use]
    pub fn of(&self, blank: Mm) -> Option<Yield> {
        if blank <= Mm::ZERO || self.kerf < Mm::ZERO || self.front_trim < Mm::ZERO {
            return None;
        }
        let room = self.bar - self.front_trim + if self.cut_after_last { Mm::ZERO } else { self.kerf };
        // A rounding error must not lose a piece that fits exactly.
        let pieces = (room / (blank + self.kerf) + 1e-9).floor();
        if !(1.0..=1e6).contains(&pieces) {
            return None;
        }
        let cuts = if self.cut_after_last { pieces } else { pieces - 1.0 };
        let drop = self.bar - self.front_trim - blank * pieces - self.kerf * cuts;
        Some(Yield { pieces: pieces as u32, drop: drop.max(Mm::ZERO) })
    }

    /// Bars for `quantity` pieces of length `blank`; `None` if no piece comes out of a bar.
    #[must_use]
    pub fn bars(&self, blank: Mm, quantity: u32) -> Option<u32> {
        self.of(blank).map(|bar| quantity.div_ceil(bar.pieces))
    }
}
