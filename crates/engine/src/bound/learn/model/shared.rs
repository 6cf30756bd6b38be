//! Tools and crews that cells share.

use super::super::super::tasks::Hours;
use super::super::arcs::Shift;
use super::super::trail::{Atom, Var};
use super::{Act, Builder, Decision, Order, Right};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A cell and one of its acts.
type At = (usize, usize);

/// Something that needs a crew.
struct Duty {
    at: At,
    start: Var,
    /// That it is there.
    there: Option<Atom>,
    /// It takes at least so many working minutes of its cell if it is there.
    least: i64,
    /// What it takes if something else holds, where that is longer.
    longer: Vec<(Atom, i64)>,
    /// If it is there, it is not begun before and is over after these minutes.
    within: (i64, i64),
}

/// Gaps by the cell that stands still in them and the one that works.
type Gaps = BTreeMap<(usize, usize), Rc<Vec<(i64, i64)>>>;

impl Builder<'_> {
    pub(super) fn share(&mut self) {
        let orders = self.share_tools();
        let again = self.mount_again(&orders);
        self.share_crews(&again);
    }

    fn act(&self, at: At) -> &Act {
        &self.acts[at.0][at.1]
    }

    /// When a run that ends at a position of a cell ends.
    fn end_of(&self, cell: usize, position: i64) -> i64 {
        self.shop.cells[cell].time.over(position)
    }

    /// When a run starts at a position of a cell.
    fn minute_of(&self, cell: usize, position: i64) -> i64 {
        self.shop.cells[cell].time.worked(position)
    }

    fn all_acts(&self) -> Vec<At> {
        let cells = self.acts.iter().enumerate();
        cells.flat_map(|(cell, acts)| (0..acts.len()).map(move |at| (cell, at))).collect()
    }

    /// Of two operations on two cells with a tool in common, one ends before the other is set up.
    fn share_tools(&mut self) -> BTreeMap<(At, At), Order> {
        let mut orders = BTreeMap::new();
        let all = self.all_acts();
        for (number, x) in all.iter().enumerate() {
            for y in &all[..number] {
                let (a, b) = (self.act(*x).clone(), self.act(*y).clone());
                let in_common = a.needs.tools.iter().any(|tool| b.needs.tools.contains(tool));
                if x.0 == y.0 || !in_common || a.pinned && b.pinned {
                    continue;
                }
                let can = [((x.0, &a), &b, y.0), ((y.0, &b), &a, x.0)].map(|(one, other, cell)| {
                    self.end_of(one.0, one.1.span.0 + one.1.run) <= self.minute_of(cell, other.span.1)
                });
                let (ab, ba) = self.order(&a, &b, can);
                for (one, other, order) in [((x, &a), (y, &b), ab), ((y, &b), (x, &a), ba)] {
                    orders.insert((*one.0, *other.0), order);
                    if let Some(before) = order.condition() {
                        let shift = Shift::HandsOver((one.0.0, one.1.run), other.0.0);
                        self.arc(&[before, a.there, b.there], one.1.start, other.1.set_up, shift);
                    }
                }
            }
        }
        orders
    }

    /// Where a tool that stood mounted is used elsewhere before the next setup, it is mounted again. Says what
    /// that takes, for each of [`Builder::rights`] where it can happen.
    fn mount_again(&mut self, orders: &BTreeMap<(At, At), Order>) -> Vec<Option<(Atom, i64)>> {
        let rights = std::mem::take(&mut self.rights);
        let again = rights.iter().map(|right| self.mount_again_after(right, orders)).collect();
        self.rights = rights;
        again
    }

    fn mount_again_after(
        &mut self,
        right: &Right,
        orders: &BTreeMap<(At, At), Order>,
    ) -> Option<(Atom, i64)> {
        let keys = &self.shop.keys[right.cell];
        let minutes = keys.default();
        let after = (right.cell, right.after);
        let act = self.act(after).clone();
        if minutes <= right.minutes {
            return None;
        }
        let before = right.before.map(|before| (right.cell, before));
        let stood: Vec<usize> = match before.map(|before| self.act(before)) {
            Some(before) => {
                act.needs.tools.iter().copied().filter(|tool| before.needs.tools.contains(tool)).collect()
            }
            None if keys.initial() == Some(act.key) => act.needs.tools.clone(),
            None => Vec::new(),
        };
        let mut again = None;
        for at in self.all_acts() {
            let other = self.act(at).clone();
            if at.0 == right.cell || !other.needs.tools.iter().any(|tool| stood.contains(tool)) {
                continue;
            }
            let known = |pair| orders.get(&pair).copied().unwrap_or(Order::Apart).condition();
            let since = before.map_or(Some(None), |before| known((before, at)));
            let (Some(since), Some(until)) = (since, known((at, after))) else { continue };
            let again = *again.get_or_insert_with(|| Atom::yes(self.yes_or_no(false)));
            self.never(&[Some(right.holds), other.there, since, until, Some(again.not())]);
        }
        let again = again?;
        self.arc(&[Some(again)], act.set_up, act.start, Shift::Works(right.cell, minutes));
        let rate = self.shop.cells[right.cell].setup_rate;
        let extra = rate * (minutes - right.minutes.max(act.setup)).max(0) as f64;
        self.group(vec![(again.not(), 0.0), (again, extra)]);
        Some((again, minutes))
    }

    fn share_crews(&mut self, again: &[Option<(Atom, i64)>]) {
        for crew in 0..self.shop.hours.len() {
            let hours = self.shop.hours[crew].clone();
            let duties = self.duties(crew, again);
            for duty in &duties {
                self.within_hours(duty, &hours);
            }
            if hours.is_one {
                self.one_at_a_time(&duties, &hours);
            }
        }
    }

    /// The setups and runs that need a crew.
    fn duties(&mut self, crew: usize, again: &[Option<(Atom, i64)>]) -> Vec<Duty> {
        let mut duties = Vec::new();
        for at in self.all_acts() {
            let act = self.act(at).clone();
            if act.pinned {
                continue;
            }
            if act.needs.run_crew == Some(crew) {
                let (start, there, least) = (act.start, act.there, act.run);
                let end = self.end_of(at.0, act.span.1 + act.run);
                let within = (self.minute_of(at.0, act.span.0), end);
                duties.push(Duty { at, start, there, least, longer: Vec::new(), within });
            }
            if act.needs.setup_crew == Some(crew) {
                duties.extend(self.setup_duty(at, &act, again));
            }
        }
        duties
    }

    fn setup_duty(&mut self, at: At, act: &Act, again: &[Option<(Atom, i64)>]) -> Option<Duty> {
        let own = self.rights.iter().zip(again).filter(|(right, _)| (right.cell, right.after) == at);
        let ways: Vec<(Atom, i64)> =
            own.flat_map(|(right, again)| [(right.holds, right.minutes)].into_iter().chain(*again)).collect();
        let is_longer: Vec<(Atom, i64)> = ways.iter().copied().filter(|way| way.1 > 0).collect();
        let least = is_longer.iter().map(|way| way.1).min()?;
        let there = if is_longer.len() == ways.len() {
            act.there
        } else {
            let there = Atom::yes(self.yes_or_no(false));
            for (way, _) in &is_longer {
                self.never(&[Some(*way), Some(there.not())]);
            }
            Some(there)
        };
        let longer = is_longer.into_iter().filter(|way| way.1 > least).collect();
        let within = (self.out.trail.least(act.set_up), self.minute_of(at.0, act.span.1));
        Some(Duty { at, start: act.set_up, there, least, longer, within })
    }

    /// Somebody is there as long as it takes.
    fn within_hours(&mut self, duty: &Duty, hours: &Hours) {
        let cell = duty.at.0;
        let holes = Rc::new(hours.holes(&self.shop.cells[cell].time));
        if holes.is_empty() {
            return;
        }
        let ways = duty.longer.iter().map(|(holds, minutes)| (Some(*holds), *minutes));
        for (holds, minutes) in ways.chain([(duty.there, duty.least)]) {
            self.arc(&[holds], duty.start, duty.start, Shift::Clears(cell, minutes, Rc::clone(&holes)));
        }
    }

    /// Of two things on two cells that need one head, one is over before the other begins, or at least stands
    /// still as its cell does.
    fn one_at_a_time(&mut self, duties: &[Duty], hours: &Hours) {
        let mut gaps = Gaps::new();
        for (number, one) in duties.iter().enumerate() {
            for other in &duties[..number] {
                let never_meet = one.within.1 <= other.within.0 || other.within.1 <= one.within.0;
                if one.at.0 == other.at.0 || never_meet {
                    continue;
                }
                let var = self.out.trail.var(0, 1);
                let (starts, there) = ([one.start, other.start], [one.there, other.there]);
                self.out.decisions.push(Decision::Order { var, starts, there });
                for (order, one, other) in [(Atom::yes(var), one, other), (Atom::no(var), other, one)] {
                    let cells = (one.at.0, other.at.0);
                    let [here, there] = [cells.0, cells.1].map(|cell| &self.shop.cells[cell].time);
                    let gaps = gaps.entry(cells).or_insert_with(|| Rc::new(hours.gaps(here, there)));
                    self.ends_before(order, (one, other), gaps);
                }
            }
        }
    }

    fn ends_before(&mut self, order: Atom, (one, other): (&Duty, &Duty), gaps: &Rc<Vec<(i64, i64)>>) {
        let ways = one.longer.iter().map(|(holds, minutes)| (Some(*holds), *minutes));
        for (holds, minutes) in ways.chain([(one.there, one.least)]) {
            let shift = Shift::Yields((one.at.0, minutes), (other.at.0, other.least), Rc::clone(gaps));
            self.arc(&[Some(order), holds, other.there], one.start, other.start, shift);
        }
    }
}
