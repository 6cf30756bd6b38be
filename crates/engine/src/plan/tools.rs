//! Tools: when pieces are free, and whether one was taken from the cell it stood mounted on.

use super::place::Before;
use super::{IRREGULAR, Plan, TOOLS, Times};
use crate::compiled::{Cell, NONE, Time};

impl Plan<'_> {
    /// From when on the operations before `x` on its tools allow it to begin. Of a tool with
    /// several pieces its users begin in list order, so that the changeovers of those before `x`
    /// stay what they are.
    #[inline]
    pub(super) fn tools_free(&self, x: u32) -> Time {
        let mut free = 0;
        for (place, &tool) in self.c.tools_of(self.slots[x as usize].option).iter().enumerate() {
            let prev = self.links[self.link(x, place)].prev;
            if prev != NONE {
                let times = &self.slots[self.owner(prev) as usize].times;
                free = free.max(if self.c.tools[tool as usize].count == 1 { times.end } else { times.start });
            }
        }
        free
    }

    /// Setup minutes of `x` behind `before` if the setup begins at `start`: the changeover, and at
    /// least the default where a tool has to be mounted again.
    #[inline]
    pub(super) fn setup(&self, x: u32, cell: &Cell, before: Before, start: Time) -> Time {
        let slot = &self.slots[x as usize];
        let setup = cell.change.minutes(before.key, slot.key);
        if setup >= cell.change.default || !slot.is(TOOLS) || !self.remounted(x, before, start) {
            return setup;
        }
        cell.change.default
    }

    fn remounted(&self, x: u32, before: Before, start: Time) -> bool {
        let slot = &self.slots[x as usize];
        for (place, &tool) in self.c.tools_of(slot.option).iter().enumerate() {
            let mounted = before.key == slot.key
                || before.slot != NONE
                    && self.c.tools_of(self.slots[before.slot as usize].option).contains(&tool);
            if !mounted {
                continue;
            }
            let irregular = &self.c.tools[tool as usize];
            let away = if irregular.count > 1 || !irregular.pins.is_empty() {
                self.all_away(x, place, tool, before.end, start)
            } else {
                // The last user is the only one that can have had it since.
                let prev = self.links[self.link(x, place)].prev;
                prev != NONE && {
                    let user = &self.slots[self.owner(prev) as usize];
                    user.cell != slot.cell && user.times.end > before.end
                }
            };
            if away {
                return true;
            }
        }
        false
    }

    /// Whether all pieces were held on other cells at some minute of `[since, start)`.
    fn all_away(&self, x: u32, place: usize, tool: u32, since: Time, start: Time) -> bool {
        if since >= start {
            return false;
        }
        let cell = self.slots[x as usize].cell;
        let count = self.c.tools[tool as usize].count as usize;
        let elsewhere = |s: &u32| {
            let slot = &self.slots[*s as usize];
            slot.cell != cell && slot.times.end > since && slot.times.start < start
        };
        let holders: Vec<u32> = self.holders(x, place, tool).filter(elsewhere).collect();
        holders.len() >= count
            && holders.iter().any(|&h| {
                let minute = self.slots[h as usize].times.start.max(since);
                holders.iter().filter(|&&o| self.holds_at(o, minute)).count() >= count
            })
    }

    #[inline]
    fn holds_at(&self, slot: u32, minute: Time) -> bool {
        let times = &self.slots[slot as usize].times;
        times.start <= minute && minute < times.end
    }

    /// All that hold a tool before `x` in the list, and the pinned work that does.
    fn holders(&self, x: u32, place: usize, tool: u32) -> impl Iterator<Item = u32> + '_ {
        let mut link = self.links[self.link(x, place)].prev;
        let chain = std::iter::from_fn(move || {
            (link != NONE).then(|| {
                let owner = self.owner(link);
                link = self.links[link as usize].prev;
                owner
            })
        });
        chain.chain(self.c.tools[tool as usize].pins.iter().copied())
    }

    /// Where no piece of some tool is left for `x` at these times: when one may be.
    pub(super) fn tools_busy(&self, x: u32, times: &Times) -> Option<Time> {
        debug_assert!(self.slots[x as usize].is(IRREGULAR));
        for (place, &tool) in self.c.tools_of(self.slots[x as usize].option).iter().enumerate() {
            let flat = &self.c.tools[tool as usize];
            if flat.count == 1 && flat.pinned_until <= times.start {
                continue;
            }
            let overlaps = |s: &u32| {
                let held = &self.slots[*s as usize].times;
                held.start < times.end && held.end > times.start
            };
            let holders: Vec<u32> = self.holders(x, place, tool).filter(overlaps).collect();
            if holders.len() < flat.count as usize {
                continue;
            }
            for &h in &holders {
                let minute = self.slots[h as usize].times.start.max(times.start);
                let at = holders.iter().filter(|&&o| self.holds_at(o, minute));
                if at.clone().count() >= flat.count as usize {
                    return at.map(|&o| self.slots[o as usize].times.end).min();
                }
            }
        }
        None
    }
}
