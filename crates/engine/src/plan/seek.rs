//! Finding places in the list by time, and moving an operation together with its job.

use super::{FIRST, LAST, PINNED, Plan};
use crate::compiled::{NONE, Time};

impl Plan<'_> {
    /// From position `from` to the left, past everything that begins after `time`.
    pub(crate) fn seek_left(&self, from: u32, time: Time) -> u32 {
        let mut at = from;
        while at > 1 {
            let other = self.list[at as usize - 1];
            if other != NONE && self.slots[other as usize].times.start <= time {
                break;
            }
            at -= 1;
        }
        at
    }

    /// From position `from` to the right, past everything that begins before `time`.
    pub(crate) fn seek_right(&self, from: u32, time: Time) -> u32 {
        let mut at = from;
        while (at as usize) < self.list.len() {
            let other = self.list[at as usize];
            if other != NONE && self.slots[other as usize].times.start >= time {
                break;
            }
            at += 1;
        }
        at
    }

    /// Moves an operation before position `at`, where it would begin at about `time`, and what
    /// must or should come along of its job: predecessors so that they end in time, successors so
    /// that they follow.
    pub(crate) fn carry(&mut self, x: u32, at: u32, time: Time) {
        let was = self.slots[x as usize].times.start;
        let to_the_left = at <= self.slots[x as usize].pos;
        self.relocate(x, at);
        self.bring_predecessors(x, time);
        if to_the_left {
            self.bring_successors(x, was.saturating_sub(time));
        } else {
            self.push_successors(x, time);
        }
    }

    /// Predecessors of `x` move to the left until they end about when `x` begins.
    pub(crate) fn bring_predecessors(&mut self, x: u32, time: Time) {
        let (mut next, mut time) = (x, time);
        while !self.slots[next as usize].is(FIRST) {
            let lag = self.slots[next as usize].before;
            let pred = next - 1;
            let slot = self.slots[pred as usize];
            let in_order = slot.pos < self.slots[next as usize].pos;
            if slot.is(PINNED) || in_order && slot.times.end + lag <= time {
                break;
            }
            time = time.saturating_sub(lag + (slot.times.end - slot.times.start));
            let at = self.seek_left(self.slots[next as usize].pos, time);
            if at < slot.pos {
                self.relocate(pred, at);
            }
            next = pred;
        }
    }

    /// Successors of `x` move to the left by about `gain` minutes.
    fn bring_successors(&mut self, x: u32, gain: Time) {
        let mut prev = x;
        while !self.slots[prev as usize].is(LAST) {
            let next = prev + 1;
            let slot = self.slots[next as usize];
            if slot.is(PINNED) {
                break;
            }
            let at = self.seek_left(slot.pos, slot.times.start.saturating_sub(gain));
            let at = at.max(self.slots[prev as usize].pos + 1);
            if at < slot.pos {
                self.relocate(next, at);
            }
            prev = next;
        }
    }

    /// Successors of `x` that it has passed move to the right, behind it.
    pub(crate) fn push_successors(&mut self, x: u32, time: Time) {
        let (mut prev, mut time) = (x, time);
        while !self.slots[prev as usize].is(LAST) {
            let next = prev + 1;
            let slot = self.slots[next as usize];
            let prev_slot = self.slots[prev as usize];
            if slot.is(PINNED) || slot.pos > prev_slot.pos {
                break;
            }
            time += prev_slot.times.end - prev_slot.times.start;
            let at = self.seek_right(prev_slot.pos + 1, time);
            self.relocate(next, at);
            prev = next;
        }
    }
}
