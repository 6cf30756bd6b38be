//! What follows what on a cell.

use super::super::arcs::Shift;
use super::super::trail::Atom;
use super::{Act, Builder, Decision, Order, Right};

/// More operations than this on one cell: what comes right before what is left out.
const MOST_FOLLOWED: usize = 45;

impl Builder<'_> {
    pub(super) fn cell(&mut self, cell: usize) {
        let acts = self.acts[cell].clone();
        let n = acts.len();
        let mut orders = vec![Order::Apart; n * n];
        for b in 0..n {
            for a in 0..b {
                (orders[a * n + b], orders[b * n + a]) = self.order(&acts[a], &acts[b]);
            }
        }
        self.keep_apart(cell, &acts, &orders);
        let keys = &self.shop.keys[cell];
        let changes = acts.iter().any(|a| {
            acts.iter().any(|b| keys.minutes(a.key, b.key) > 0) || keys.minutes(keys.count(), a.key) > 0
        });
        if changes && n <= MOST_FOLLOWED && !self.shop.cells[cell].has_momentary {
            self.set_ups(cell, &orders);
            self.followers(cell, &orders);
        }
    }

    /// The order of two operations, either way: known if they are of one job, else a new yes or no.
    pub(super) fn order(&mut self, a: &Act, b: &Act) -> (Order, Order) {
        if a.job == b.job {
            return self.order_in_job(a, b);
        }
        let var = self.out.trail.var(0, 1);
        let (starts, there) = ([a.start, b.start], [a.there, b.there]);
        self.out.decisions.push(Decision::Order { var, starts, there });
        (Order::Open(Atom::yes(var)), Order::Open(Atom::no(var)))
    }

    fn order_in_job(&self, a: &Act, b: &Act) -> (Order, Order) {
        let task = &self.shop.tasks[a.job];
        let places = task.routes.iter().find_map(|plan| {
            let at = |step| plan.steps.iter().position(|other| *other == step);
            Some((at(a.step)?, at(b.step)?))
        });
        match places {
            Some((x, y)) if x < y => (Order::Yes, Order::No),
            Some((x, y)) if x > y => (Order::No, Order::Yes),
            _ => (Order::Apart, Order::Apart),
        }
    }

    /// Runs on one cell do not overlap, and changing over lies between them.
    fn keep_apart(&mut self, cell: usize, acts: &[Act], orders: &[Order]) {
        let n = acts.len();
        let keys = self.shop.keys[cell].count();
        let apart = self.shop.apart(cell).unwrap_or_default();
        for (a, one) in acts.iter().enumerate() {
            for (b, other) in acts.iter().enumerate() {
                let Some(before) = orders[a * n + b].condition() else { continue };
                let between = match apart.get(one.key * keys + other.key) {
                    Some(minutes) if !other.pinned => *minutes,
                    _ => 0,
                };
                let shift = Shift::Works(cell, one.run + between);
                self.arc(&[before, one.there, other.there], one.start, other.start, shift);
            }
        }
    }

    /// Setups begin behind the work before; how long they take is said by [`Builder::followers`].
    fn set_ups(&mut self, cell: usize, orders: &[Order]) {
        let n = self.acts[cell].len();
        for at in 0..n {
            if !self.acts[cell][at].pinned {
                let act = &mut self.acts[cell][at];
                let time = &self.shop.cells[cell].time;
                let least = time.worked(time.before(act.needs.usable).min(time.total() - 1));
                act.set_up = self.out.trail.var(least, self.out.trail.most(act.start));
                if let Some(vars) = &mut self.out.jobs[act.job].steps[act.step] {
                    vars.set_up[act.choice] = act.set_up;
                }
            }
        }
        let acts = self.acts[cell].clone();
        for (b, act) in acts.iter().enumerate().filter(|(_, act)| !act.pinned) {
            self.arc(&[act.there], act.set_up, act.start, Shift::Works(cell, act.setup));
            for (a, other) in acts.iter().enumerate() {
                let Some(before) = orders[a * n + b].condition() else { continue };
                let shift = Shift::Works(cell, other.run);
                self.arc(&[before, other.there, act.there], other.start, act.set_up, shift);
            }
        }
    }

    /// What comes right before what on a cell.
    fn followers(&mut self, cell: usize, orders: &[Order]) {
        let acts = self.acts[cell].clone();
        let n = acts.len();
        let keys = &self.shop.keys[cell];
        for (b, act) in acts.iter().enumerate().filter(|(_, act)| !act.pinned) {
            let mut rights = vec![self.first_of_all(cell, b, orders)];
            for a in (0..n).filter(|a| *a != b) {
                if let Some(before) = orders[a * n + b].condition() {
                    let holds = Atom::yes(self.yes_or_no(false));
                    let minutes = keys.minutes(acts[a].key, act.key);
                    for needed in [acts[a].there, act.there, before].into_iter().flatten() {
                        self.never(&[Some(holds), Some(needed.not())]);
                    }
                    let shift = Shift::Works(cell, acts[a].run + minutes);
                    self.arc(&[Some(holds)], acts[a].start, act.start, shift);
                    for c in (0..n).filter(|c| *c != a && *c != b) {
                        self.none_between(holds, acts[c].there, orders[a * n + c], orders[c * n + b]);
                    }
                    rights.push(Right { cell, before: Some(a), after: b, holds, minutes });
                }
            }
            let none = rights.iter().map(|right| Some(right.holds.not()));
            let none: Vec<Option<Atom>> = none.chain([act.there]).collect();
            self.never(&none);
            let rate = self.shop.cells[cell].setup_rate;
            let extra = |right: &Right| (right.holds, rate * (right.minutes - act.setup).max(0) as f64);
            let absent = act.there.map(|there| (there.not(), 0.0));
            self.group(rights.iter().map(extra).chain(absent).collect());
            for right in &rights {
                self.arc(&[Some(right.holds)], act.set_up, act.start, Shift::Works(cell, right.minutes));
            }
            self.rights.extend(rights);
        }
    }

    /// That an operation is the first one of its cell.
    fn first_of_all(&mut self, cell: usize, b: usize, orders: &[Order]) -> Right {
        let acts = self.acts[cell].clone();
        let (n, act) = (acts.len(), &acts[b]);
        let holds = Atom::yes(self.yes_or_no(false));
        let minutes = self.shop.keys[cell].minutes(self.shop.keys[cell].count(), act.key);
        if let Some(there) = act.there {
            self.never(&[Some(holds), Some(there.not())]);
        }
        for (c, other) in acts.iter().enumerate().filter(|(c, _)| *c != b) {
            if let Some(before) = orders[c * n + b].condition() {
                self.never(&[Some(holds), other.there, before]);
            }
        }
        Right { cell, before: None, after: b, holds, minutes }
    }

    fn none_between(&mut self, right: Atom, there: Option<Atom>, after: Order, before: Order) {
        if let (Some(after), Some(before)) = (after.condition(), before.condition()) {
            self.never(&[Some(right), there, after, before]);
        }
    }
}
