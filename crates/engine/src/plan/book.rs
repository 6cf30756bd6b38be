//! Who uses a crew when.

use crate::compiled::{Crew, Time};

/// Which of an operation's two crews.
pub(crate) const SETUP: u32 = 0;
/// See [`SETUP`].
pub(crate) const RUN: u32 = 1;

/// One use of a crew by an operation: over `[from, to)`, in the minutes that its cell works.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Use {
    /// The crew was looked at from this minute on: whoever takes or frees a head between here and
    /// `to` may change where this use belongs.
    pub(crate) seen: Time,
    pub(crate) from: Time,
    pub(crate) to: Time,
    /// Whether the cell works all the time from `from` to `to`.
    pub(crate) gapless: bool,
}

impl Use {
    pub(crate) const NONE: Self = Self { seen: 0, from: 0, to: 0, gapless: true };

    #[inline]
    pub(crate) fn is_none(&self) -> bool {
        self.to == 0
    }
}

/// The uses of one crew by slices of time; an entry is `2 * slot + which`.
#[derive(Clone, Debug)]
pub(crate) struct Book {
    slices: Vec<Vec<u32>>,
    shift: u32,
}

impl Book {
    pub(crate) fn new(crew: &Crew) -> Self {
        Self { slices: vec![Vec::new(); crew.slices], shift: crew.slice_shift }
    }

    /// The slice of a minute; all time behind the horizon is in the last one.
    #[inline]
    pub(crate) fn slice(&self, minute: Time) -> usize {
        ((minute >> self.shift) as usize).min(self.slices.len() - 1)
    }

    #[inline]
    pub(crate) fn entries(&self, slice: usize) -> &[u32] {
        &self.slices[slice]
    }

    #[inline]
    pub(crate) fn enter(&mut self, entry: u32, used: &Use) {
        if !used.is_none() {
            for slice in self.slice(used.seen)..=self.slice(used.to - 1) {
                self.slices[slice].push(entry);
            }
        }
    }

    #[inline]
    pub(crate) fn strike(&mut self, entry: u32, used: &Use) {
        if !used.is_none() {
            for slice in self.slice(used.seen)..=self.slice(used.to - 1) {
                let entries = &mut self.slices[slice];
                let at = entries.iter().position(|&e| e == entry);
                entries.swap_remove(at.expect("what is struck was entered"));
            }
        }
    }
}
