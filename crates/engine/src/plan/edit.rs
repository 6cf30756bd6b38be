//! Changes to the list, each with its way back.
//!
//! A change lifts operations out of the list, perhaps gives them another option, and drops them
//! elsewhere; [`Plan::redo`] then finds the times. The list has holes, so that dropping moves few
//! neighbours. Taking back goes through the log in reverse.

use super::book::Use;
use super::{CREWS, EMPTY, FIRST, FRESH, IRREGULAR, LAST, PINNED, Plan, Slot, TOOLS};
use crate::compiled::NONE;

/// One step of a change.
#[derive(Clone, Copy)]
pub(super) enum Edit {
    /// Taken out of the list at a position; its links are in `saved_links`.
    Lift { slot: u32, pos: u32, cell_prev: u32, cell_next: u32 },
    /// Put into the list; what lay between its place and a hole moved over by one.
    Drop { slot: u32, hole: u32 },
    /// Another option; the slot and its crew uses as they were.
    Choose { slot: u32, was: Slot, uses: [Use; 2] },
    /// Another route.
    Route { job: u32, was: u32 },
}

impl Plan<'_> {
    /// Takes an operation out of the list.
    pub(crate) fn lift(&mut self, x: u32) {
        self.mark_dependants(x);
        let slot = self.slots[x as usize];
        let edit =
            Edit::Lift { slot: x, pos: slot.pos, cell_prev: slot.cell_prev, cell_next: slot.cell_next };
        for place in 0..self.c.tools_of(slot.option).len() {
            self.saved_links.push(self.links[self.link(x, place)]);
        }
        self.unlink(x);
        self.list[slot.pos as usize] = NONE;
        self.slots[x as usize].pos = 0;
        self.length -= 1;
        self.edits.push(edit);
    }

    /// Puts an operation that is not in the list right before position `at`.
    pub(crate) fn drop_before(&mut self, x: u32, at: u32) {
        let (pos, hole) = self.make_room(at);
        self.list[pos as usize] = x;
        self.slots[x as usize].pos = pos;
        self.length += 1;
        self.link_in(x);
        self.edits.push(Edit::Drop { slot: x, hole });
        self.pending.push(x);
        self.mark_dependants(x);
    }

    /// Lifts an operation and drops it right before the operation or hole at position `at`.
    pub(crate) fn relocate(&mut self, x: u32, at: u32) {
        self.lift(x);
        self.drop_before(x, at);
    }

    /// Gives another option to an operation that is not in the list.
    pub(crate) fn choose(&mut self, x: u32, option: u32) {
        let was = self.slots[x as usize];
        self.edits.push(Edit::Choose { slot: x, was, uses: self.uses[x as usize] });
        self.forget_uses(x);
        self.cost -= self.contribution(x);
        self.excess -= was.overrun();
        self.slots[x as usize] = EMPTY;
        if was.option != NONE {
            self.cost -= self.c.options[was.option as usize].cost;
        }
        if option != NONE {
            self.set_up(x, option);
            self.cost += self.c.options[option as usize].cost;
        }
    }

    /// Gives another route to a job, none of whose operations is in the list. Its slots have no
    /// options afterwards; the caller chooses them.
    pub(crate) fn reroute(&mut self, job: u32, route: u32) {
        for slot in self.slots_of(job) {
            if !self.slots[slot as usize].pinned() {
                self.choose(slot, NONE);
            }
        }
        let was = std::mem::replace(&mut self.route[job as usize], route);
        self.cost += self.c.routes[route as usize].cost - self.c.routes[was as usize].cost;
        self.edits.push(Edit::Route { job, was });
    }

    /// Fixes the fields of a slot that follow from its option.
    pub(super) fn set_up(&mut self, x: u32, option: u32) {
        let c = self.c;
        let job = c.slot_job[x as usize];
        let k = x - c.jobs[job as usize].first_slot;
        let route = self.route[job as usize];
        let (op, choice) = (c.op(route, k), &c.options[option as usize]);
        let ops = &c.routes[route as usize].ops;
        let tools = c.tools_of(option);
        let irregular = tools.iter().any(|&t| {
            let tool = &c.tools[t as usize];
            tool.count > 1 || !tool.pins.is_empty()
        });
        let mut flags = FRESH;
        for (holds, flag) in [
            (k == 0, FIRST),
            (k + 1 == ops.end - ops.start, LAST),
            (!tools.is_empty(), TOOLS),
            (choice.setup_crew != NONE || choice.run_crew != NONE, CREWS),
            (irregular, IRREGULAR),
            (op.pinned.is_some(), PINNED),
        ] {
            flags |= if holds { flag } else { 0 };
        }
        self.slots[x as usize] = Slot {
            option,
            cell: choice.cell,
            key: choice.key,
            before: if k == 0 { c.jobs[job as usize].release } else { c.op(route, k - 1).lag },
            run: choice.run,
            usable: choice.usable,
            calendar: if choice.cell == NONE { 0 } else { c.cells[choice.cell as usize].calendar },
            deadline: op.deadline,
            flags,
            ..EMPTY
        };
    }

    /// Keeps the change.
    pub(crate) fn keep(&mut self) {
        if !self.edits.is_empty() || !self.times_log.is_empty() {
            self.find_tails();
        }
        self.edits.clear();
        self.saved_links.clear();
        self.times_log.clear();
        self.before_change = (self.cost, self.excess, self.makespan);
    }

    /// Takes the change back.
    pub(crate) fn take_back(&mut self) {
        while let Some((x, times, uses)) = self.times_log.pop() {
            if self.slots[x as usize].is(CREWS) {
                self.rebook(x, uses);
            }
            self.slots[x as usize].times = times;
        }
        while let Some(edit) = self.edits.pop() {
            self.undo(edit);
        }
        self.pending.clear();
        (self.cost, self.excess, self.makespan) = self.before_change;
    }

    fn undo(&mut self, edit: Edit) {
        match edit {
            Edit::Lift { slot, pos, cell_prev, cell_next } => {
                self.list[pos as usize] = slot;
                self.slots[slot as usize].pos = pos;
                self.length += 1;
                self.undo_links(slot, cell_prev, cell_next);
            }
            Edit::Drop { slot, hole } => {
                self.unlink(slot);
                let pos = self.slots[slot as usize].pos;
                self.slots[slot as usize].pos = 0;
                self.length -= 1;
                self.close_room(pos, hole);
            }
            Edit::Choose { slot, was, uses } => {
                self.forget_uses(slot);
                self.slots[slot as usize] = was;
                self.rebook(slot, uses);
            }
            Edit::Route { job, was } => self.route[job as usize] = was,
        }
    }

    /// What a slot adds to the objective besides its option's cost.
    #[inline]
    pub(super) fn contribution(&self, x: u32) -> f64 {
        let slot = &self.slots[x as usize];
        if slot.is(FRESH) {
            return 0.0;
        }
        let mut cost = 0.0;
        if slot.times.setup > 0 {
            cost += self.c.cells[slot.cell as usize].setup_rate * f64::from(slot.times.setup);
        }
        if slot.is(LAST) {
            cost += self.c.lateness_cost(self.c.slot_job[x as usize], slot.times.end);
        }
        cost + self.c.overrun_rate * slot.overrun() as f64
    }
}

impl Slot {
    /// Minutes by which it ends too late.
    #[inline]
    pub(super) fn overrun(&self) -> u64 {
        if self.is(FRESH) { 0 } else { u64::from(self.times.end.saturating_sub(self.deadline)) }
    }
}
