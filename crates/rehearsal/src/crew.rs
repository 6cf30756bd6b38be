//! Whose turn it is at a crew.

use crate::script::CrewScript;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A crew in one run.
pub(crate) struct CrewState {
    /// Places of duties that are ready for a head.
    ready: BinaryHeap<Reverse<usize>>,
    /// By place: whether the duty has begun.
    begun: Vec<bool>,
    /// Duties before it were to begin before now: they have lost their turn.
    overdue: usize,
    /// The first duty not begun among those that keep their turn.
    front: usize,
    /// Heads at work.
    pub(crate) busy: i64,
    /// Position in [`CrewScript::heads`].
    at: usize,
    /// When it will next be asked by itself.
    pub(crate) wake: i64,
}

/// What a crew does next.
pub(crate) enum Service {
    /// Nobody is waiting.
    Idle,
    /// The duty at this place has the next free head.
    Next(usize),
    /// Nothing before this moment, unless something changes.
    Later(i64),
}

impl CrewState {
    pub(crate) fn new(script: &CrewScript) -> Self {
        let mut state = Self {
            ready: BinaryHeap::new(),
            begun: vec![false; script.duties.len()],
            overdue: 0,
            front: 0,
            busy: 0,
            at: 0,
            wake: i64::MIN,
        };
        state.reset();
        state
    }

    pub(crate) fn reset(&mut self) {
        self.ready.clear();
        self.begun.fill(false);
        (self.overdue, self.front, self.busy, self.at, self.wake) = (0, 0, 0, 0, i64::MIN);
    }

    /// The duty at a place is ready.
    pub(crate) fn ask(&mut self, place: usize) {
        self.ready.push(Reverse(place));
    }

    /// The duty that is asked for next leaves the queue.
    pub(crate) fn withdraw_next(&mut self) {
        self.ready.pop();
    }

    /// The duty at a place has begun.
    pub(crate) fn begin(&mut self, place: usize) {
        self.begun[place] = true;
    }

    /// Who is served now. A head goes to the first ready duty, unless one before it is not ready
    /// and not overdue either.
    pub(crate) fn service(&mut self, script: &CrewScript, now: i64) -> Service {
        let Some(&Reverse(place)) = self.ready.peek() else { return Service::Idle };
        while script.heads.get(self.at + 1).is_some_and(|step| step.0 <= now) {
            self.at += 1;
        }
        if self.busy >= i64::from(script.heads[self.at].1) {
            return Service::Later(script.heads.get(self.at + 1).map_or(i64::MAX, |step| step.0));
        }
        while script.duties.get(self.overdue).is_some_and(|duty| duty.start < now) {
            self.overdue += 1;
        }
        self.front = self.front.max(self.overdue);
        while self.begun.get(self.front) == Some(&true) {
            self.front += 1;
        }
        if place <= self.front {
            Service::Next(place)
        } else {
            Service::Later(script.duties[self.front].start + 1)
        }
    }
}
