//! Changing the order of two operations and of nothing else.
//!
//! Moving one operation past others in the list may need others to go along, because everything in
//! the list stands behind what it depends on. Here exactly those go along, so that every cell and
//! tool keeps its order but for the one operation that moves.

use super::{FIRST, Plan};
use crate::compiled::NONE;
use std::collections::BTreeSet;

impl Plan<'_> {
    /// Moves `x` right before `y`, which stands before it, along with what `x` depends on and what
    /// stands between; `false`, and nothing changed, if `x` depends on `y` itself other than by
    /// their order on the cell.
    pub(crate) fn overtake(&mut self, x: u32, y: u32) -> bool {
        let from = self.slots[y as usize].pos;
        let mut along = BTreeSet::new();
        let mut open = Vec::new();
        if !self.slots[x as usize].is(FIRST) {
            open.push(x - 1);
        }
        while let Some(next) = open.pop() {
            let slot = &self.slots[next as usize];
            if next == y {
                return false;
            }
            if slot.pos < from || !along.insert((slot.pos, next)) {
                continue;
            }
            if !slot.is(FIRST) {
                open.push(next - 1);
            }
            if slot.cell != NONE && slot.cell_prev != NONE {
                open.push(slot.cell_prev);
            }
            self.tool_neighbours_of(next, true, &mut open);
        }
        for (_, next) in along {
            self.relocate(next, self.slots[y as usize].pos);
        }
        self.relocate(x, self.slots[y as usize].pos);
        true
    }

    /// Moves `x` right behind `y`, which stands behind it, along with what depends on `x` and
    /// stands between; `false`, and nothing changed, if `y` depends on `x` itself other than by
    /// their order on the cell.
    pub(crate) fn fall_behind(&mut self, x: u32, y: u32) -> bool {
        let to = self.slots[y as usize].pos;
        let mut along = BTreeSet::new();
        let mut open: Vec<u32> = self.follower_in_job(x).into_iter().collect();
        while let Some(next) = open.pop() {
            let slot = &self.slots[next as usize];
            if next == y {
                return false;
            }
            if slot.pos > to || !along.insert((slot.pos, next)) {
                continue;
            }
            open.extend(self.follower_in_job(next));
            if slot.cell != NONE && slot.cell_next != NONE {
                open.push(slot.cell_next);
            }
            self.tool_neighbours_of(next, false, &mut open);
        }
        for (_, next) in along.into_iter().rev() {
            self.relocate(next, self.slots[y as usize].pos + 1);
        }
        self.relocate(x, self.slots[y as usize].pos + 1);
        true
    }

    fn tool_neighbours_of(&self, x: u32, before: bool, found: &mut Vec<u32>) {
        for place in 0..self.c.tools_of(self.slots[x as usize].option).len() {
            let link = self.links[self.link(x, place)];
            let other = if before { link.prev } else { link.next };
            if other != NONE {
                found.push(self.owner(other));
            }
        }
    }
}
