//! Finding the times again after a change.

use super::book::Use;
use super::edit::Edit;
use super::{CREWS, FRESH, LAST, PINNED, Plan, Times};
use crate::compiled::{NONE, Time};
use elbowroom_problem::Objective;

/// A job that has to end by a moment for a change to be of use.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limit {
    /// Its slots, from and to.
    pub(crate) slots: (u32, u32),
    pub(crate) latest: Time,
}

impl Plan<'_> {
    /// Places again what is marked, in list order, and what depends on it.
    ///
    /// Gives up, with `false`, as soon as the objective as far as it is known exceeds `cut`. For
    /// the makespan that is exact, and it is known early (see [`super::tails`]); for sums it is a guess that what is still marked will not win
    /// back that much. After giving up only [`Plan::take_back`] makes sense.
    pub(crate) fn redo(&mut self, cut: f64) -> bool {
        self.redo_within(cut, None)
    }

    /// As [`Plan::redo`]; gives up too as soon as a job cannot end any more by a moment.
    pub(crate) fn redo_within(&mut self, cut: f64, limit: Option<Limit>) -> bool {
        for &x in &self.pending {
            let pos = self.slots[x as usize].pos;
            if pos > 0 {
                self.dirty.set(pos);
            }
        }
        self.pending.clear();
        let is_makespan = self.c.objective == Objective::Makespan;
        let edge = if is_makespan { self.edge() } else { 0 };
        let mut latest = 0;
        // A job that got another option may have been the last one.
        let mut shrank = is_makespan && self.edits.iter().any(|edit| matches!(edit, Edit::Choose { .. }));
        while let Some(pos) = self.dirty.pop() {
            let x = self.list[pos as usize];
            debug_assert!(self.follows_its_job(x));
            let (times, uses) = self.place(x);
            let was = self.slots[x as usize].times;
            let fresh = self.slots[x as usize].is(FRESH);
            let crews = self.slots[x as usize].is(CREWS);
            if !fresh && times == was && (!crews || uses == self.uses[x as usize]) {
                continue;
            }
            self.times_log.push((x, was, self.uses[x as usize]));
            self.set_times(x, times);
            if crews {
                self.rebook_and_mark(x, uses);
            }
            self.mark_followers(x, was, times, fresh);
            if limit.is_some_and(|limit| limit.slots.0 <= x && x < limit.slots.1)
                && limit.is_some_and(|limit| self.end_at_best(x, times.end, limit.slots.1) > limit.latest)
            {
                self.dirty.clear();
                return false;
            }
            if is_makespan {
                if self.slots[x as usize].is(LAST) {
                    latest = latest.max(times.end);
                }
                shrank |= was.end == self.makespan;
                if self.cost + f64::from(self.reach(x, times.end, edge)) > cut {
                    self.dirty.clear();
                    return false;
                }
            } else if self.cost > cut {
                self.dirty.clear();
                return false;
            }
        }
        if is_makespan {
            self.update_makespan(latest, shrank);
        }
        true
    }

    /// As [`Plan::redo`] for everything, whatever it costs.
    pub(crate) fn redo_all(&mut self) {
        for pos in 1..self.list.len() {
            if self.list[pos] != NONE {
                self.dirty.set(pos as u32);
            }
        }
        self.redo(f64::INFINITY);
        self.makespan = self.latest_end();
        self.find_tails();
        self.keep();
    }

    /// A moment before which the operation before slot `until` cannot end if `x` of its job ends at `end`:
    /// every step between at once, in the hours of its cell.
    pub(crate) fn end_at_best(&self, x: u32, mut end: Time, until: u32) -> Time {
        for slot in &self.slots[x as usize + 1..until as usize] {
            if slot.is(PINNED) {
                end = slot.times.end;
                continue;
            }
            let ready = (end + slot.before).max(slot.usable);
            end = if slot.cell == NONE {
                ready + slot.run
            } else {
                let calendar = &self.c.calendars[slot.calendar as usize];
                calendar.clock_end(calendar.work(ready) + slot.run)
            };
        }
        end
    }

    #[inline]
    pub(super) fn set_times(&mut self, x: u32, times: Times) {
        let before = (self.contribution(x), self.slots[x as usize].overrun());
        let slot = &mut self.slots[x as usize];
        slot.times = times;
        slot.flags &= !FRESH;
        self.cost += self.contribution(x) - before.0;
        self.excess = self.excess + self.slots[x as usize].overrun() - before.1;
    }

    #[inline]
    fn mark_followers(&mut self, x: u32, was: Times, times: Times, fresh: bool) {
        let ends_otherwise = fresh || was.end != times.end;
        if ends_otherwise && let Some(next) = self.follower_in_job(x) {
            self.dirty.set(self.slots[next as usize].pos);
        }
        if ends_otherwise || was.start != times.start && self.start_matters(x) {
            let next = self.slots[x as usize].cell_next;
            if next != NONE {
                self.dirty.set(self.slots[next as usize].pos);
            }
            let mut dirty = std::mem::take(&mut self.dirty);
            self.tool_followers(x, |follower| dirty.set(self.slots[follower as usize].pos));
            self.dirty = dirty;
        }
    }

    /// Enters new uses of crews in place of the old ones, and marks whom that may concern.
    fn rebook_and_mark(&mut self, x: u32, uses: [Use; 2]) {
        let was = self.uses[x as usize];
        let pos = self.slots[x as usize].pos;
        for which in 0..2 {
            if was[which] == uses[which] {
                continue;
            }
            let crew = self.crew(x, which);
            let mut dirty = std::mem::take(&mut self.dirty);
            let mut mark = |sharer: u32| dirty.set(self.slots[sharer as usize].pos);
            if (was[which].from, was[which].to) != (uses[which].from, uses[which].to) {
                self.sharers(x, crew, was[which].from, was[which].to, pos, &mut mark);
                self.sharers(x, crew, uses[which].from, uses[which].to, pos, &mut mark);
            }
            self.dirty = dirty;
        }
        self.rebook(x, uses);
    }

    /// Enters uses of crews in place of those that are entered.
    pub(super) fn rebook(&mut self, x: u32, uses: [Use; 2]) {
        for (which, new) in uses.iter().enumerate() {
            let crew = self.crew(x, which);
            let old = &self.uses[x as usize][which];
            if crew != NONE && old != new {
                let entry = 2 * x + which as u32;
                self.books[crew as usize].strike(entry, old);
                self.books[crew as usize].enter(entry, new);
            }
        }
        self.uses[x as usize] = uses;
    }

    /// Strikes all uses of crews of an operation.
    pub(super) fn forget_uses(&mut self, x: u32) {
        self.rebook(x, [Use::NONE; 2]);
    }

    fn update_makespan(&mut self, latest: Time, shrank: bool) {
        if latest >= self.makespan {
            self.makespan = latest;
        } else if shrank {
            self.makespan = self.latest_end();
        }
    }

    pub(super) fn latest_end(&self) -> Time {
        (0..self.c.jobs.len()).map(|job| self.job_end(job as u32)).max().unwrap_or(0)
    }

    /// The invariant of the list: an operation stands behind its predecessor.
    fn follows_its_job(&self, x: u32) -> bool {
        let slot = &self.slots[x as usize];
        slot.is(super::FIRST) || slot.pos > self.slots[x as usize - 1].pos
    }
}
