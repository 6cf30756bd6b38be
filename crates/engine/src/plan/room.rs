//! Holes in the list: room for one more at a place, and giving it back.

use super::Plan;
use crate::compiled::NONE;

impl Plan<'_> {
    /// Room right before what stands at `at`: the free position, and where the hole was.
    pub(super) fn make_room(&mut self, at: u32) -> (u32, u32) {
        let at = (at as usize).clamp(1, self.list.len());
        if at > 1 && self.list[at - 1] == NONE {
            return (at as u32 - 1, at as u32 - 1);
        }
        let (mut left, mut right) = (at - 1, at);
        loop {
            if right < self.list.len() && self.list[right] == NONE {
                self.shift_right(at, right);
                return (at as u32, right as u32);
            }
            if left > 0 && self.list[left] == NONE {
                self.shift_left(left, at - 1);
                return (at as u32 - 1, left as u32);
            }
            if right >= self.list.len() && left == 0 {
                self.list.push(NONE);
                self.dirty.grow(self.list.len());
                continue;
            }
            right += usize::from(right < self.list.len());
            left = left.saturating_sub(1);
        }
    }

    /// Undoes [`Plan::make_room`].
    pub(super) fn close_room(&mut self, pos: u32, hole: u32) {
        let (pos, hole) = (pos as usize, hole as usize);
        self.list[pos] = NONE;
        if hole > pos {
            self.shift_left(pos, hole);
        } else if hole < pos {
            self.shift_right(hole, pos);
        }
    }

    /// Moves what stands in `[first, hole)` one to the right, into the hole.
    fn shift_right(&mut self, first: usize, hole: usize) {
        for i in (first..hole).rev() {
            self.settle(self.list[i], i + 1);
        }
        self.list[first] = NONE;
    }

    /// Moves what stands in `(hole, last]` one to the left, into the hole.
    fn shift_left(&mut self, hole: usize, last: usize) {
        for i in hole + 1..=last {
            self.settle(self.list[i], i - 1);
        }
        self.list[last] = NONE;
    }

    #[inline]
    fn settle(&mut self, x: u32, at: usize) {
        self.list[at] = x;
        if x != NONE {
            self.slots[x as usize].pos = at as u32;
        }
    }
}
