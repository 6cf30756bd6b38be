//! Putting the list in order of time, with fresh holes.

use super::{FIRST, Link, PINNED, Plan};
use crate::compiled::{NONE, Time};

/// Every so many positions of a fresh list one is a hole.
const HOLE_EVERY: usize = 6;

impl Plan<'_> {
    /// Gives the list fresh holes; the order and so the times stay.
    pub(crate) fn arrange(&mut self) {
        let order: Vec<u32> = self.in_order().collect();
        self.lay_out(&order);
        self.find_tails();
        self.keep();
    }

    /// Sorts the list by begin and finds all times again. They hardly change: where two
    /// operations share a cell or a tool they stand in order of time already, but one that stood
    /// late in the list and had to take the crew that was left may now choose first.
    pub(crate) fn sort(&mut self) {
        let mut keyed: Vec<(Time, u32, u32)> = Vec::with_capacity(self.length);
        for job in 0..self.c.jobs.len() as u32 {
            let mut least = 0;
            for x in self.slots_of(job) {
                let slot = &self.slots[x as usize];
                if !slot.is(PINNED) {
                    // A setup done ahead must not bring an operation before its predecessor.
                    least = slot.times.start.max(least);
                    keyed.push((least, slot.pos, x));
                }
            }
        }
        keyed.sort_unstable();
        let order: Vec<u32> = keyed.into_iter().map(|(_, _, x)| x).collect();
        self.lay_out(&order);
        self.redo_all();
    }

    /// Makes `order` the list, with holes, and links everything anew.
    pub(super) fn lay_out(&mut self, order: &[u32]) {
        self.list.clear();
        self.list.push(NONE);
        self.cell_last.fill(NONE);
        self.tool_last.fill(NONE);
        self.tool_users.fill(0);
        for (i, &x) in order.iter().enumerate() {
            if i % HOLE_EVERY == 0 {
                self.list.push(NONE);
            }
            self.slots[x as usize].pos = self.list.len() as u32;
            self.list.push(x);
            let slot = self.slots[x as usize];
            if slot.cell != NONE {
                self.join_cell(x, self.cell_last[slot.cell as usize], NONE);
            }
            for (place, &tool) in self.c.tools_of(slot.option).iter().enumerate() {
                self.join_tool(x, place, tool, Link { prev: self.tool_last[tool as usize], next: NONE });
            }
        }
        self.list.push(NONE);
        self.length = order.len();
        self.dirty.resize(self.list.len() + 64);
        self.pending.clear();
        self.cost = self.total();
        self.keep();
    }

    /// Whether the list decodes from nothing to the very times and objective it has.
    pub(crate) fn agrees_with_itself(&self) -> bool {
        let mut again = Self::empty(self.c);
        for job in 0..self.c.jobs.len() as u32 {
            again.take_route(job, self.route[job as usize]);
        }
        for x in self.in_order() {
            again.append(x, self.slots[x as usize].option);
        }
        let same_times = (0..self.c.slots()).all(|x| {
            !self.present(x as u32) || {
                let (a, b) = (&self.slots[x], &again.slots[x]);
                a.times == b.times && (a.is(FIRST) || a.is(PINNED) || a.pos > self.slots[x - 1].pos)
            }
        });
        let (a, b) = (self.cost(), again.cost());
        let same_cost = (a - b).abs() <= 1e-6 * a.abs().max(1.0) && self.excess == again.excess;
        if !(same_times && same_cost) {
            for x in 0..self.c.slots() {
                if self.present(x as u32) && self.slots[x].times != again.slots[x].times {
                    eprintln!("slot {x}: {:?} again {:?}", self.slots[x], again.slots[x]);
                    break;
                }
            }
            eprintln!("{a} {b} {} {}", self.excess, again.excess);
        }
        same_times && same_cost
    }
}
