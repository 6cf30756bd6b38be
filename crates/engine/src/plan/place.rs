//! Where one operation goes, given the operations before it in the list.

use super::book::{self, Use};
use super::{CREWS, FIRST, IRREGULAR, Plan, TOOLS, Times};
use crate::compiled::{Calendar, Cell, LATEST, NONE, Time};

/// The crews of [`Plan::uses`].
const SETUP: usize = book::SETUP as usize;
const RUN: usize = book::RUN as usize;

/// What stands on the cell before an operation.
#[derive(Clone, Copy)]
pub(super) struct Before {
    /// [`NONE`] at the beginning.
    pub(super) slot: u32,
    pub(super) key: u32,
    /// When it ends.
    pub(super) end: Time,
}

impl Plan<'_> {
    /// When the part of an operation is there.
    #[inline]
    pub(crate) fn ready(&self, x: u32) -> Time {
        let slot = &self.slots[x as usize];
        if slot.is(FIRST) { slot.before } else { self.slots[x as usize - 1].times.end + slot.before }
    }

    /// Times and crew uses of an operation by the rules of the list.
    #[inline]
    pub(super) fn place(&mut self, x: u32) -> (Times, [Use; 2]) {
        let slot = &self.slots[x as usize];
        let ready = self.ready(x);
        if slot.cell == NONE {
            let end = (ready + slot.run).min(LATEST);
            return (Times { start: ready, run_start: ready, end, setup: 0 }, [Use::NONE; 2]);
        }
        let c = self.c;
        let cell = &c.cells[slot.cell as usize];
        let before = self.before(x, cell);
        if !slot.is(TOOLS | CREWS) && cell.pins.is_empty() {
            let setup = cell.change.minutes(before.key, slot.key);
            let calendar = &c.calendars[slot.calendar as usize];
            return (
                run_after(calendar, before.end.max(slot.usable), setup, ready, slot.run),
                [Use::NONE; 2],
            );
        }
        self.place_among(x, cell, before, ready)
    }

    #[inline]
    fn before(&self, x: u32, cell: &Cell) -> Before {
        match self.slots[x as usize].cell_prev {
            NONE => Before { slot: NONE, key: cell.initial, end: 0 },
            prev => self.stands(prev),
        }
    }

    #[inline]
    fn stands(&self, slot: u32) -> Before {
        let found = &self.slots[slot as usize];
        Before { slot, key: found.key, end: found.times.end }
    }

    /// The general case: pinned work on the cell, tools, crews. Every turn of the loop begins later
    /// than the one before, or behind one more pinned operation.
    fn place_among(&mut self, x: u32, cell: &Cell, mut before: Before, mut ready: Time) -> (Times, [Use; 2]) {
        let c = self.c;
        let slot = self.slots[x as usize];
        let calendar = &c.calendars[slot.calendar as usize];
        let choice = &c.options[slot.option as usize];
        let mut pins = self.pins_after(cell, before.slot);
        let mut low = before.end.max(slot.usable).max(self.tools_free(x));
        let mut uses = [Use::NONE; 2];
        let mut must = 0;
        loop {
            let setup = self.setup(x, cell, before, low).max(must);
            let times = run_after(calendar, low, setup, ready, slot.run);
            if let Some((&pin, rest)) = pins.split_first()
                && self.slots[pin as usize].times.start < times.end
            {
                before = self.stands(pin);
                low = low.max(before.end);
                must = 0;
                pins = rest;
                continue;
            }
            if slot.is(IRREGULAR) {
                if times.start > low && self.setup(x, cell, before, times.start) > setup {
                    must = cell.change.default;
                    low = times.start;
                    continue;
                }
                if let Some(free) = self.tools_busy(x, &times) {
                    low = free;
                    continue;
                }
            }
            if choice.setup_crew != NONE {
                let to = if setup > 0 { calendar.clock_end(calendar.work(times.start) + setup) } else { 0 };
                if let Some(free) = self.engage(x, &mut uses, SETUP, choice.setup_crew, times.start, to) {
                    low = free;
                    continue;
                }
                uses[SETUP].gapless = to == 0 || to - times.start == setup;
            }
            if choice.run_crew != NONE {
                let (from, to) = (times.run_start, times.end);
                if let Some(free) = self.engage(x, &mut uses, RUN, choice.run_crew, from, to) {
                    ready = free;
                    continue;
                }
                uses[RUN].gapless = to - from == slot.run;
            }
            return (times, uses);
        }
    }

    /// Notes a use of a crew over `[from, to)` (none where `to` is 0), or the minute to try next.
    #[inline]
    fn engage(
        &mut self,
        x: u32,
        uses: &mut [Use; 2],
        which: usize,
        crew: u32,
        from: Time,
        to: Time,
    ) -> Option<Time> {
        let used = &mut uses[which];
        if to == 0 {
            used.from = used.to; // what was looked at still counts, nothing is used
            return None;
        }
        if used.is_none() {
            used.seen = from;
        }
        (used.from, used.to) = (from, to);
        let free = self.clash(x, crew, from, to)?;
        uses[which].to = to.max(free);
        Some(free)
    }

    /// The pinned work on a cell that comes after a slot.
    #[inline]
    fn pins_after<'c>(&self, cell: &'c Cell, slot: u32) -> &'c [u32] {
        if cell.pins.is_empty() || slot == NONE {
            return &cell.pins;
        }
        let order = |s: u32| (self.slots[s as usize].times.start, self.slots[s as usize].times.end);
        let at = order(slot);
        if cell.pinned_until <= at.0 {
            return &[];
        }
        &cell.pins[cell.pins.partition_point(|&pin| order(pin) < at)..]
    }
}

/// Setup from `low` on, then the run once the part is there; without a setup both begin together.
#[inline]
fn run_after(calendar: &Calendar, low: Time, setup: Time, ready: Time, run: Time) -> Times {
    let (start, run_start, end) = calendar.setup_and_run(low, setup, ready, run);
    Times { start, run_start, end, setup }
}
