//! Arcs: one moment comes so long after another, if some statements hold.

use super::super::tasks::Shop;
use super::trail::{Atom, Trail, Var, Why};
use std::rc::Rc;

/// How long after.
#[derive(Clone, Debug)]
pub(super) enum Shift {
    /// By the end of a run that starts at the moment, on any of these cells (`None`: outside), and a lag.
    Ends(Vec<(Option<usize>, i64)>, i64),
    /// As before, but up to a moment at which a cell works.
    EndsBefore(Vec<(Option<usize>, i64)>, i64, usize),
    /// By so many working minutes of a cell.
    Works(usize, i64),
    /// By so many working minutes of a cell, and then up to a moment at which another one works.
    HandsOver((usize, i64), usize),
    /// The same, or up to the first of these gaps that has room for so many minutes, if that comes before.
    Yields((usize, i64), (usize, i64), Rc<Vec<(i64, i64)>>),
    /// To where so many working minutes of a cell fit between these holes.
    Clears(usize, i64, Rc<Vec<(i64, i64)>>),
    /// Whatever the one moment is, the other is no earlier than this.
    Until(i64),
}

/// If all conditions hold, `to` is no earlier than `from` shifted.
#[derive(Clone, Debug)]
pub(super) struct Arc {
    pub(super) conditions: Vec<Atom>,
    pub(super) from: Var,
    pub(super) to: Var,
    pub(super) shift: Shift,
}

/// A moment that no work of a schedule reaches: where absent work may stand.
pub(super) fn far(shop: &Shop) -> i64 {
    2 * shop.horizon + 2
}

impl Shift {
    /// The earliest moment after `minute`; never falls as `minute` rises.
    pub(super) fn forward(&self, shop: &Shop, minute: i64) -> i64 {
        let reached = match self {
            Self::Ends(runs, lag) => first_end(shop, runs, minute) + lag,
            Self::EndsBefore(runs, lag, cell) => {
                let time = &shop.cells[*cell].time;
                let position = time.before(first_end(shop, runs, minute) + lag);
                if position < time.total() { time.worked(position) } else { far(shop) }
            }
            Self::Works(cell, minutes) => work_from(shop, *cell, minute, *minutes),
            Self::HandsOver((cell, minutes), next) => {
                work_from(shop, *next, end_of(shop, Some(*cell), *minutes, minute), 0)
            }
            Self::Yields((cell, minutes), next, gaps) => {
                let end = end_of(shop, Some(*cell), *minutes, minute);
                let coming = &gaps[gaps.partition_point(|gap| gap.1 <= minute)..];
                let mut rooms =
                    coming.iter().take_while(|gap| gap.0 < end).map(|gap| (gap.0.max(minute), gap.1));
                let room = rooms.find(|(from, to)| to - from >= next.1).map_or(end, |room| room.0.min(end));
                work_from(shop, next.0, room, 0)
            }
            Self::Clears(cell, minutes, holes) => clear_from(shop, *cell, *minutes, holes, minute),
            Self::Until(until) => *until,
        };
        reached.min(far(shop))
    }

    /// The earliest minute, from `first` on, that is shifted to `wanted` or later; `minute` is one.
    fn backward(&self, shop: &Shop, wanted: i64, first: i64, minute: i64) -> i64 {
        let (mut low, mut high) = (first, minute);
        while low < high {
            let middle = low + (high - low) / 2;
            if self.forward(shop, middle) >= wanted {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        high
    }
}

fn first_end(shop: &Shop, runs: &[(Option<usize>, i64)], minute: i64) -> i64 {
    runs.iter().map(|(cell, run)| end_of(shop, *cell, *run, minute)).min().unwrap_or(minute)
}

fn end_of(shop: &Shop, cell: Option<usize>, run: i64, minute: i64) -> i64 {
    let Some(cell) = cell else { return minute + run };
    let time = &shop.cells[cell].time;
    let position = time.before(minute) + run;
    if position <= time.total() { time.over(position) } else { far(shop) }
}

/// The minute at which a cell works after so many more working minutes.
fn work_from(shop: &Shop, cell: usize, minute: i64, minutes: i64) -> i64 {
    let time = &shop.cells[cell].time;
    let position = time.before(minute) + minutes;
    if position < time.total() { time.worked(position) } else { far(shop) }
}

/// The first moment from `minute` on at which a cell works for so many minutes without meeting a hole.
fn clear_from(shop: &Shop, cell: usize, minutes: i64, holes: &[(i64, i64)], minute: i64) -> i64 {
    let time = &shop.cells[cell].time;
    let mut position = time.before(minute);
    let after = holes.partition_point(|hole| hole.1 <= position);
    for (from, to) in &holes[after..] {
        if position + minutes <= *from {
            break;
        }
        position = *to;
    }
    if position < time.total() { time.worked(position) } else { far(shop) }
}

impl Arc {
    /// What follows from what became known of a side (`None`: of any); `false` if that leaves a variable no value.
    pub(super) fn follow(&self, number: u32, side: Option<u32>, shop: &Shop, trail: &mut Trail) -> bool {
        let mut open = None;
        for condition in &self.conditions {
            if !trail.holds(*condition) {
                if open.is_some() || trail.fails(*condition) {
                    return true;
                }
                open = Some(*condition);
            }
        }
        let latest = trail.most(self.to);
        if let Some(open) = open {
            let earliest = self.shift.forward(shop, trail.least(self.from));
            return earliest <= latest || trail.set(open.not(), Why::Arc(number));
        }
        if side != Some(2 * self.to + 1) {
            let earliest = self.shift.forward(shop, trail.least(self.from));
            if !trail.set(Atom::at_least(self.to, earliest), Why::Arc(number)) {
                return false;
            }
        }
        if side == Some(2 * self.from) {
            return true;
        }
        let most = trail.most(self.from);
        if self.shift.forward(shop, most) <= latest {
            return true;
        }
        let beyond = self.shift.backward(shop, latest + 1, trail.least(self.from), most);
        trail.set(Atom::at_most(self.from, beyond - 1), Why::Arc(number))
    }

    /// Statements from which a statement that this arc has made hold with an entry follows.
    pub(super) fn explain(&self, held: Atom, entry: u32, shop: &Shop, trail: &Trail, out: &mut Vec<Atom>) {
        let (low, high) = (2 * self.from, 2 * self.to + 1);
        if held.side == 2 * self.to {
            out.extend(&self.conditions);
            out.push(self.start_of(held.least, entry, shop, trail));
        } else if held.side == 2 * self.from + 1 {
            // Begun a minute later than that, it would reach this.
            let reached = self.shift.forward(shop, 1 - held.least);
            out.extend(&self.conditions);
            out.push(Atom { side: high, least: 1 - reached });
        } else {
            let latest = -trail.low_before(high, entry);
            let start = self.start_of(latest + 1, entry, shop, trail);
            // As late as this start allows.
            let reached = self.shift.forward(shop, start.least);
            debug_assert!(start.side == low && reached > latest);
            out.extend(self.conditions.iter().filter(|condition| condition.side != held.side ^ 1));
            out.extend([start, Atom { side: high, least: 1 - reached }]);
        }
    }

    /// The weakest statement on `from` by which `to` is no earlier than `wanted`.
    fn start_of(&self, wanted: i64, entry: u32, shop: &Shop, trail: &Trail) -> Atom {
        let known = trail.low_before(2 * self.from, entry);
        let first = known.min(0);
        Atom::at_least(self.from, self.shift.backward(shop, wanted, first, known))
    }
}
