//! How much must still happen after each operation: the tails of the job shop literature.
//!
//! The tail of an operation is the longest chain of runs, lags and changeovers behind its end, from
//! an operation to the next one of its job or of its cell. Whatever else a schedule must obey only
//! lengthens it. An operation that ends at `t` thus proves a makespan of at least `t` and its tail,
//! long before the end of the chain has been placed again: most changes are given up there.

use super::Plan;
use super::edit::Edit;
use crate::compiled::{NONE, Time};
use elbowroom_problem::Objective;

impl Plan<'_> {
    /// Finds all tails again, where the makespan counts.
    pub(super) fn find_tails(&mut self) {
        if self.c.objective != Objective::Makespan {
            return;
        }
        for pos in (1..self.list.len()).rev() {
            let x = self.list[pos];
            if x != NONE {
                self.tails[x as usize] = self.after(x, 0);
            }
        }
    }

    /// The minutes that must follow an operation's end by those of its two followers that stand
    /// behind `edge`.
    #[inline]
    fn after(&self, x: u32, edge: u32) -> Time {
        let slot = &self.slots[x as usize];
        let mut most = 0;
        if let Some(next) = self.follower_in_job(x) {
            let next_slot = &self.slots[next as usize];
            if next_slot.pos > edge {
                most = next_slot.before + next_slot.run + self.tails[next as usize];
            }
        }
        if slot.cell != NONE && slot.cell_next != NONE {
            let next = &self.slots[slot.cell_next as usize];
            if next.pos > edge {
                let setup = self.c.cells[slot.cell as usize].change.minutes(slot.key, next.key);
                most = most.max(setup + next.run + self.tails[slot.cell_next as usize]);
            }
        }
        most
    }

    /// What must follow an operation's end, by the last times kept.
    pub(crate) fn tail(&self, x: u32) -> Time {
        self.tails[x as usize]
    }

    /// The last position at which tails may have changed with the list: they follow from what
    /// stands behind. Each drop may have moved its neighbours by one.
    pub(super) fn edge(&self) -> u32 {
        let last = self.edits.iter().map(|edit| match edit {
            Edit::Lift { pos, .. } => *pos,
            Edit::Drop { slot, .. } => self.slots[*slot as usize].pos,
            Edit::Choose { .. } | Edit::Route { .. } => 0,
        });
        last.max().unwrap_or(0) + self.edits.len() as u32
    }

    /// No end of all is earlier if an operation ends at `end`; see [`Plan::edge`].
    #[inline]
    pub(super) fn reach(&self, x: u32, end: Time, edge: u32) -> Time {
        let tail =
            if self.slots[x as usize].pos > edge { self.tails[x as usize] } else { self.after(x, edge) };
        end.saturating_add(tail)
    }
}
