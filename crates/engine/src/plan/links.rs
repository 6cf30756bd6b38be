//! Chains of the operations of a cell, and of the users of a tool, in list order.

use super::book::Use;
use super::{IRREGULAR, LAST, Link, Plan};
use crate::compiled::NONE;

/// How far the list is searched for a neighbour on the cell before the cell's chain is.
const NEARBY: u32 = 96;

impl Plan<'_> {
    /// Takes an operation out of its chains.
    pub(super) fn unlink(&mut self, x: u32) {
        let slot = self.slots[x as usize];
        if slot.cell != NONE {
            match slot.cell_next {
                NONE => self.cell_last[slot.cell as usize] = slot.cell_prev,
                next => self.slots[next as usize].cell_prev = slot.cell_prev,
            }
            if slot.cell_prev != NONE {
                self.slots[slot.cell_prev as usize].cell_next = slot.cell_next;
            }
        }
        for (place, &tool) in self.c.tools_of(slot.option).iter().enumerate() {
            let Link { prev, next } = self.links[self.link(x, place)];
            match next {
                NONE => self.tool_last[tool as usize] = prev,
                next => self.links[next as usize].prev = prev,
            }
            if prev != NONE {
                self.links[prev as usize].next = next;
            }
            self.count_user(tool, false);
        }
    }

    /// Puts an operation that has just got its place in the list into its chains.
    pub(super) fn link_in(&mut self, x: u32) {
        let slot = self.slots[x as usize];
        if slot.cell != NONE {
            let prev = self.cell_neighbour(slot.cell, slot.pos);
            let next = match prev {
                NONE => self.cell_first(slot.cell, x),
                prev => self.slots[prev as usize].cell_next,
            };
            self.join_cell(x, prev, next);
        }
        for (place, &tool) in self.c.tools_of(slot.option).iter().enumerate() {
            let (prev, next) = self.tool_neighbours(tool, slot.pos);
            self.join_tool(x, place, tool, Link { prev, next });
        }
    }

    /// Links as they were before the last lift, from the log.
    pub(super) fn undo_links(&mut self, x: u32, cell_prev: u32, cell_next: u32) {
        let slot = self.slots[x as usize];
        if slot.cell != NONE {
            self.join_cell(x, cell_prev, cell_next);
        }
        for (place, &tool) in self.c.tools_of(slot.option).iter().enumerate().rev() {
            let link = self.saved_links.pop().expect("a lift saves a link for each tool");
            self.join_tool(x, place, tool, link);
        }
    }

    pub(super) fn join_cell(&mut self, x: u32, prev: u32, next: u32) {
        let cell = self.slots[x as usize].cell as usize;
        self.slots[x as usize].cell_prev = prev;
        self.slots[x as usize].cell_next = next;
        if prev != NONE {
            self.slots[prev as usize].cell_next = x;
        }
        match next {
            NONE => self.cell_last[cell] = x,
            next => self.slots[next as usize].cell_prev = x,
        }
    }

    pub(super) fn join_tool(&mut self, x: u32, place: usize, tool: u32, link: Link) {
        let own = self.link(x, place);
        self.links[own] = link;
        if link.prev != NONE {
            self.links[link.prev as usize].next = own as u32;
        }
        match link.next {
            NONE => self.tool_last[tool as usize] = own as u32,
            next => self.links[next as usize].prev = own as u32,
        }
        self.count_user(tool, true);
    }

    /// A tool that must be bought is paid for once, with its first user.
    fn count_user(&mut self, tool: u32, comes: bool) {
        let users = &mut self.tool_users[tool as usize];
        let price = self.c.tools[tool as usize].price;
        if comes {
            *users += 1;
            self.cost += if *users == 1 { price } else { 0.0 };
        } else {
            *users -= 1;
            self.cost -= if *users == 0 { price } else { 0.0 };
        }
    }

    /// The last operation on a cell before a position: near in the list, or from the chain's end.
    fn cell_neighbour(&self, cell: u32, pos: u32) -> u32 {
        let near = pos.saturating_sub(NEARBY).max(1);
        for at in (near..pos).rev() {
            let other = self.list[at as usize];
            if other != NONE && self.slots[other as usize].cell == cell {
                return other;
            }
        }
        let mut other = self.cell_last[cell as usize];
        while other != NONE && self.slots[other as usize].pos >= pos {
            other = self.slots[other as usize].cell_prev;
        }
        other
    }

    /// The first operation of a cell's chain, other than `x`.
    fn cell_first(&self, cell: u32, x: u32) -> u32 {
        let pos = self.slots[x as usize].pos;
        let near = (pos + NEARBY).min(self.positions());
        for at in pos + 1..near {
            let other = self.list[at as usize];
            if other != NONE && self.slots[other as usize].cell == cell {
                return other;
            }
        }
        let mut first = self.cell_last[cell as usize];
        while first != NONE && self.slots[first as usize].cell_prev != NONE {
            first = self.slots[first as usize].cell_prev;
        }
        first
    }

    fn tool_neighbours(&self, tool: u32, pos: u32) -> (u32, u32) {
        let (mut prev, mut next) = (self.tool_last[tool as usize], NONE);
        while prev != NONE && self.slots[self.owner(prev) as usize].pos > pos {
            next = prev;
            prev = self.links[prev as usize].prev;
        }
        (prev, next)
    }

    /// Marks what depends on the place of an operation in the list.
    pub(super) fn mark_dependants(&mut self, x: u32) {
        let slot = self.slots[x as usize];
        if slot.cell_next != NONE && slot.cell != NONE {
            self.pending.push(slot.cell_next);
        }
        let mut pending = std::mem::take(&mut self.pending);
        self.tool_followers(x, |follower| pending.push(follower));
        for which in 0..2 {
            let Use { from, to, .. } = self.uses[x as usize][which];
            let crew = self.crew(x, which);
            self.sharers(x, crew, from, to, slot.pos, |sharer| pending.push(sharer));
        }
        self.pending = pending;
    }

    /// The users of `x`'s tools whose times follow from it: the next one, or all later ones where
    /// there are several pieces.
    #[inline]
    pub(super) fn tool_followers(&self, x: u32, mut mark: impl FnMut(u32)) {
        for (place, &tool) in self.c.tools_of(self.slots[x as usize].option).iter().enumerate() {
            let mut next = self.links[self.link(x, place)].next;
            while next != NONE {
                mark(self.owner(next));
                if self.c.tools[tool as usize].count == 1 {
                    break;
                }
                next = self.links[next as usize].next;
            }
        }
    }

    /// The crew of one of an operation's two uses, or [`NONE`].
    #[inline]
    pub(super) fn crew(&self, x: u32, which: usize) -> u32 {
        let option = self.slots[x as usize].option;
        if option == NONE {
            return NONE;
        }
        let choice = &self.c.options[option as usize];
        if which == 0 { choice.setup_crew } else { choice.run_crew }
    }

    /// The operation after `x` in its job, if it is in the list.
    #[inline]
    pub(super) fn follower_in_job(&self, x: u32) -> Option<u32> {
        (!self.slots[x as usize].is(LAST) && self.slots[x as usize + 1].pos > 0).then_some(x + 1)
    }

    /// Whether the begin of an operation matters to others, not only its end.
    #[inline]
    pub(super) fn start_matters(&self, x: u32) -> bool {
        let slot = &self.slots[x as usize];
        slot.is(IRREGULAR) || slot.cell != NONE && !self.c.cells[slot.cell as usize].pins.is_empty()
    }
}
