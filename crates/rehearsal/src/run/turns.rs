//! Whose turn it is at cells and tools.

use super::{Event, Run, Stage};
use crate::script::Act;
use crate::uncertainty::Turns;
use std::cmp::Reverse;

/// Lots behind the one whose turn it is that a cell or tool considers instead.
const MOST_CONSIDERED: usize = 12;

/// Whether a tool is there for an operation; of several the latest counts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum ToolWait {
    There,
    /// Not before this moment.
    Until(i64),
    /// Something else has to happen first.
    Unknown,
}

impl Run<'_> {
    /// Occupies the cell if cell and tools are there; outside, begins if the part is there.
    pub(super) fn look_for_cell(&mut self, act: Act) {
        let part = self.part_of(act);
        let ready = self.part[act] <= self.now;
        let Some(cell) = part.cell else {
            if ready && self.may_run(act) {
                self.occupy(act);
            }
            return;
        };
        let lane = &self.script.lanes[cell].acts;
        let has_turn = lane.get(self.lane_turn[cell]) == Some(&act);
        if self.occupied[cell] || !(has_turn || self.may_pass(cell, act, ready)) {
            return;
        }
        if let Some(moment) = self.too_soon(act, ready) {
            if moment < i64::MAX {
                self.events.push(Reverse((moment, Event::Look(act))));
            }
            return;
        }
        if let Some(times) = part.pinned {
            if times.setup <= self.now {
                self.occupy(act);
            }
            return;
        }
        match part.tools.iter().map(|tool| self.tool_for(*tool, act, ready)).max() {
            None | Some(ToolWait::There) => self.occupy(act),
            Some(ToolWait::Until(moment)) => self.events.push(Reverse((moment, Event::Look(act)))),
            Some(ToolWait::Unknown) => {}
        }
    }

    /// Whether a lot may go before those whose turn it would be at its cell: pinned work at its time,
    /// other work if it is ready and no pinned work is before it.
    fn may_pass(&self, cell: usize, act: Act, ready: bool) -> bool {
        if self.turns == Turns::Kept {
            return false;
        }
        let lane = self.script.lanes[cell].acts.iter().skip(self.lane_turn[cell]);
        let mut before = lane.take_while(|other| **other != act);
        let waits = |other: &Act| self.stage[*other] == Stage::Waiting;
        let is_pinned = |act: Act| self.part_of(act).pinned.is_some();
        is_pinned(act)
            || (ready
                && self.turn_until[cell] < self.now
                && !before.any(|other| waits(other) && is_pinned(*other)))
    }

    /// Where a lot can lose its turn, nobody occupies a cell for a part that is not there: but to change
    /// over, from the published moment on, as long as the part is not known to be late. The moment to
    /// look again; the far future where the part's arrival will be that moment.
    fn too_soon(&self, act: Act, ready: bool) -> Option<i64> {
        let part = self.part_of(act);
        if self.turns == Turns::Kept || ready || part.pinned.is_some() {
            None
        } else if part.setup == 0 || part.expected < self.now {
            Some(i64::MAX)
        } else {
            Some(part.setup_at).filter(|moment| *moment > self.now)
        }
    }

    /// Whether a tool is there for an operation. Who is ready need not let it lie for one who is overdue.
    fn tool_for(&self, tool: usize, act: Act, ready: bool) -> ToolWait {
        let users = &self.script.tools[tool].users;
        if self.tool_free[tool] <= 0 || self.draws.tool_from[tool] > self.now {
            return ToolWait::Unknown;
        }
        if users.get(self.tool_turn[tool]) == Some(&act) {
            return ToolWait::There;
        }
        if self.turns == Turns::Kept || !ready {
            return ToolWait::Unknown;
        }
        let before = users.iter().skip(self.tool_turn[tool]).take_while(|user| **user != act);
        let waiting = before.filter(|user| self.stage[**user] == Stage::Waiting);
        match waiting.map(|user| self.part_of(*user).setup_at + 1).max() {
            Some(overdue) if overdue > self.now => ToolWait::Until(overdue),
            _ => ToolWait::There,
        }
    }

    /// Whether somebody before it at its cell or one of its tools has not had his turn.
    pub(super) fn is_out_of_turn(&self, act: Act, cell: usize) -> bool {
        let first = |list: &[Act], turn: usize| list.get(turn) == Some(&act);
        !first(&self.script.lanes[cell].acts, self.lane_turn[cell])
            || self
                .part_of(act)
                .tools
                .iter()
                .any(|tool| !first(&self.script.tools[*tool].users, self.tool_turn[*tool]))
    }

    /// Planned minutes from what stands on the cell, with remounting of a tool that was elsewhere.
    pub(super) fn changeover(&self, act: Act, cell: usize) -> i64 {
        let (part, lane) = (self.part_of(act), &self.script.lanes[cell]);
        let (Some(changes), None) = (&lane.changes, part.pinned) else { return part.setup };
        let last = self.last[cell].map(|last| self.part_of(last));
        let mounted = last.map_or(lane.initial, |last| Some(last.key));
        let plain = changes.minutes(mounted, part.key);
        let stood =
            |tool: &usize| mounted == Some(part.key) || last.is_some_and(|last| last.tools.contains(tool));
        let away = |tool: &usize| {
            self.script.tools[*tool].count == 1 && self.tool_cell[*tool].is_some_and(|other| other != cell)
        };
        let remount = part.tools.iter().any(|tool| stood(tool) && away(tool));
        if remount { plain.max(changes.default) } else { plain }
    }

    /// The turn goes past those who have had the tool, pinned work among them.
    pub(super) fn pass_tool(&mut self, tool: usize) {
        let users = &self.script.tools[tool].users;
        let before = self.tool_turn[tool];
        while users.get(self.tool_turn[tool]).is_some_and(|user| self.stage[*user] > Stage::Waiting) {
            self.tool_turn[tool] += 1;
        }
        if self.tool_turn[tool] > before {
            self.offer_tool(tool);
        }
    }

    pub(super) fn offer_tool(&mut self, tool: usize) {
        let script = self.script;
        let considered = if self.turns == Turns::Kept { 1 } else { MOST_CONSIDERED };
        for user in script.tools[tool].users.iter().skip(self.tool_turn[tool]).take(considered) {
            if self.tool_free[tool] > 0 && self.stage[*user] == Stage::Waiting {
                self.look(*user);
            }
        }
    }

    /// A cell is free for the lot whose turn it is.
    pub(super) fn offer_cell(&mut self, cell: usize) {
        let lane = &self.script.lanes[cell];
        let Some(&first) = lane.acts.get(self.lane_turn[cell]) else { return };
        if let Turns::LostAfter(patience) = self.turns {
            let from = self.now.max(self.part_of(first).setup_at);
            let mut hint = self.hints[lane.calendar];
            let until = self.script.calendars[lane.calendar].add(&mut hint, from, patience.count());
            self.turn_until[cell] = until;
            self.events.push(Reverse((until + 1, Event::Cell(cell))));
        }
        self.look(first);
    }

    /// A cell that has waited long enough takes the next lot that is ready.
    pub(super) fn pass_turn(&mut self, cell: usize) {
        let script = self.script;
        let lane = script.lanes[cell].acts.iter().skip(self.lane_turn[cell]);
        for act in lane.take(MOST_CONSIDERED) {
            if !self.occupied[cell] && self.turn_until[cell] < self.now && self.stage[*act] == Stage::Waiting
            {
                self.look(*act);
            }
        }
    }
}
