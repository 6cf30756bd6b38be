//! Whether a crew has a head left over.

use super::Plan;
use crate::compiled::{NONE, Time};

impl Plan<'_> {
    /// Where a use of a crew over the working minutes of `x`'s cell in `[from, to)` finds no head:
    /// the first minute behind the last such one at which a use may begin.
    #[inline]
    pub(super) fn clash(&mut self, x: u32, crew: u32, from: Time, to: Time) -> Option<Time> {
        let c = self.c;
        let slot = &self.slots[x as usize];
        let (pos, calendar) = (slot.pos, &c.calendars[slot.calendar as usize]);
        let heads = &c.crews[crew as usize].heads;
        for (a, b) in calendar.backwards(from, to) {
            let mut number = heads.at(b - 1);
            loop {
                let step = heads.step(number);
                let (low, high) = (step.start.max(a), step.end.min(b));
                if step.heads == 0 {
                    return Some(heads.next_manned(high));
                }
                if step.heads != u32::MAX
                    && let Some(free) = self.last_full(crew, pos, low, high, step.heads)
                {
                    return Some(heads.next_manned(free));
                }
                if step.start <= a {
                    break;
                }
                number -= 1;
            }
        }
        None
    }

    /// The minute after the last one in `[low, high)` at which operations before `pos` use all
    /// `heads`.
    fn last_full(&mut self, crew: u32, pos: u32, low: Time, high: Time, heads: u32) -> Option<Time> {
        let book = &self.books[crew as usize];
        self.scratch.clear();
        for slice in book.slice(low)..=book.slice(high - 1) {
            for &entry in book.entries(slice) {
                let (slot, which) = (entry as usize / 2, entry as usize % 2);
                let used = &self.uses[slot][which];
                let (from, to) = (used.from.max(low), used.to.min(high));
                // A use that lies in several slices counts in the first of them.
                if from >= to || self.slots[slot].pos >= pos || book.slice(from) != slice {
                    continue;
                }
                if used.gapless {
                    self.scratch.push((from, to));
                } else {
                    let calendar = &self.c.calendars[self.slots[slot].calendar as usize];
                    self.scratch.extend(calendar.backwards(from, to));
                }
            }
        }
        if self.scratch.len() < heads as usize {
            return None;
        }
        if heads == 1 {
            return self.scratch.iter().map(|&(_, to)| to).max();
        }
        last_crowded(&self.scratch, heads as usize)
    }

    /// Marks the operations that may be placed otherwise when the uses of a crew by `x` over
    /// `[from, to)` come or go; `mark` gets those behind `pos` in the list.
    #[inline]
    pub(super) fn sharers(
        &self,
        x: u32,
        crew: u32,
        from: Time,
        to: Time,
        pos: u32,
        mut mark: impl FnMut(u32),
    ) {
        if from >= to || crew == NONE {
            return;
        }
        let book = &self.books[crew as usize];
        for slice in book.slice(from)..=book.slice(to - 1) {
            for &entry in book.entries(slice) {
                let (slot, which) = (entry as usize / 2, entry as usize % 2);
                let used = &self.uses[slot][which];
                if used.seen < to && used.to > from && self.slots[slot].pos > pos && slot != x as usize {
                    mark(slot as u32);
                }
            }
        }
    }
}

/// The minute after the last one at which at least `heads` of the intervals are under way.
fn last_crowded(intervals: &[(Time, Time)], heads: usize) -> Option<Time> {
    let mut last = None;
    for &(start, _) in intervals {
        let mut ends = [0; 64];
        let mut under_way = 0;
        for &(from, to) in intervals {
            if from <= start && start < to {
                if under_way < ends.len() {
                    ends[under_way] = to;
                }
                under_way += 1;
            }
        }
        if under_way >= heads && under_way <= ends.len() {
            // Of those under way at `start`, all but `heads - 1` must end before it is not crowded.
            ends[..under_way].sort_unstable();
            last = last.max(Some(ends[under_way - heads]));
        } else if under_way >= heads {
            last = last.max(intervals.iter().map(|&(_, to)| to).max());
        }
    }
    last
}

#[cfg(test)]
mod tests {
    use super::last_crowded;

    #[test]
    fn two_heads_by_hand() {
        // Two are under way from 5 to 8 and from 20 to 25.
        let uses = [(0, 10), (5, 8), (20, 30), (18, 25)];
        assert_eq!(last_crowded(&uses, 2), Some(25));
        assert_eq!(last_crowded(&uses[..2], 2), Some(8));
        assert_eq!(last_crowded(&uses, 3), None);
    }
}
