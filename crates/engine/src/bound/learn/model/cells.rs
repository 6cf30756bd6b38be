//! What follows what on a cell.

use super::super::arcs::Shift;
use super::super::trail::Atom;
use super::{Act, Builder, Decision, Order, Right};

/// More pairs of operations of which one may come right before the other, on one cell: that is left out.
const MOST_FOLLOWED: usize = 2_000;

impl Builder<'_> {
    pub(super) fn cell(&mut self, cell: usize) {
        let acts = self.acts[cell].clone();
        let n = acts.len();
        let mut orders = vec![Order::Apart; n * n];
        for b in 0..n {
            for a in 0..b {
                let can = [(a, b), (b, a)].map(|(x, y)| acts[x].span.0 + acts[x].run <= acts[y].span.1);
                (orders[a * n + b], orders[b * n + a]) = self.order(&acts[a], &acts[b], can);
            }
        }
        self.keep_apart(cell, &acts, &orders);
        let keys = &self.shop.keys[cell];
        let changes = acts.iter().any(|a| {
            acts.iter().any(|b| keys.minutes(a.key, b.key) > 0) || keys.minutes(keys.count(), a.key) > 0
        });
        let rights = Rights::new(&acts, orders);
        if changes && rights.count() <= MOST_FOLLOWED && !self.shop.cells[cell].has_momentary {
            self.set_ups(cell, &rights);
            self.followers(cell, &rights);
        }
    }

    /// The order of two operations, either way: known if they are of one job or if one way cannot be, else a new
    /// yes or no. `can` says whether there is time for the first before the second, and the other way round.
    pub(super) fn order(&mut self, a: &Act, b: &Act, can: [bool; 2]) -> (Order, Order) {
        if a.job == b.job {
            return self.order_in_job(a, b);
        }
        match can {
            [true, true] => {}
            [true, false] => return (Order::Yes, Order::No),
            [false, true] => return (Order::No, Order::Yes),
            [false, false] => {
                self.never(&[a.there, b.there]);
                return (Order::Apart, Order::Apart);
            }
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
                // What the starts that are left say already needs no arc.
                if one.span.1 + one.run + between > other.span.0 {
                    let shift = Shift::Works(cell, one.run + between);
                    self.arc(&[before, one.there, other.there], one.start, other.start, shift);
                }
            }
        }
    }

    /// Setups begin behind the work before; how long they take is said by [`Builder::followers`].
    fn set_ups(&mut self, cell: usize, rights: &Rights) {
        for at in 0..self.acts[cell].len() {
            if !self.acts[cell][at].pinned {
                let act = &mut self.acts[cell][at];
                let time = &self.shop.cells[cell].time;
                let usable = time.before(act.needs.usable);
                let least = time.worked(usable.max(rights.earliest[at]).min(time.total() - 1));
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
                let Some(before) = rights.order(a, b).condition() else { continue };
                if other.span.1 + other.run > rights.earliest[b] {
                    let shift = Shift::Works(cell, other.run);
                    self.arc(&[before, other.there, act.there], other.start, act.set_up, shift);
                }
            }
        }
    }

    /// What comes right before what on a cell.
    fn followers(&mut self, cell: usize, all: &Rights) {
        let acts = self.acts[cell].clone();
        let n = acts.len();
        let keys = &self.shop.keys[cell];
        for (b, act) in acts.iter().enumerate().filter(|(_, act)| !act.pinned) {
            let mut rights = Vec::new();
            if all.can_be_first[b] {
                rights.push(self.first_of_all(cell, b, all));
            }
            for &a in &all.before[b] {
                let before = all.order(a, b).condition().flatten();
                let holds = Atom::yes(self.yes_or_no(false));
                let minutes = keys.minutes(acts[a].key, act.key);
                for needed in [acts[a].there, act.there, before].into_iter().flatten() {
                    self.never(&[Some(holds), Some(needed.not())]);
                }
                let shift = Shift::Works(cell, acts[a].run + minutes);
                self.arc(&[Some(holds)], acts[a].start, act.start, shift);
                for c in (0..n).filter(|c| *c != a && *c != b) {
                    self.none_between(holds, acts[c].there, all.order(a, c), all.order(c, b));
                }
                rights.push(Right { cell, before: Some(a), after: b, holds, minutes });
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
    fn first_of_all(&mut self, cell: usize, b: usize, all: &Rights) -> Right {
        let acts = self.acts[cell].clone();
        let act = &acts[b];
        let holds = Atom::yes(self.yes_or_no(false));
        let minutes = self.shop.keys[cell].minutes(self.shop.keys[cell].count(), act.key);
        if let Some(there) = act.there {
            self.never(&[Some(holds), Some(there.not())]);
        }
        for (c, other) in acts.iter().enumerate().filter(|(c, _)| *c != b) {
            if let Some(before) = all.order(c, b).condition() {
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

/// What may come right before what on a cell.
struct Rights {
    orders: Vec<Order>,
    /// For each operation, those that may be right before it.
    before: Vec<Vec<usize>>,
    /// Whether nothing has to come before it.
    can_be_first: Vec<bool>,
    /// The first position at which its setup may begin, by what may be right before it.
    earliest: Vec<i64>,
}

impl Rights {
    fn new(acts: &[Act], orders: Vec<Order>) -> Self {
        let n = acts.len();
        let surely = |a: usize, b: usize| orders[a * n + b] == Order::Yes;
        let fixed: Vec<usize> = (0..n).filter(|c| acts[*c].there.is_none()).collect();
        let between = |a: usize, b: usize| fixed.iter().any(|c| surely(a, *c) && surely(*c, b));
        let before: Vec<Vec<usize>> = (0..n)
            .map(|b| {
                let others = (0..n).filter(|a| *a != b && orders[a * n + b].condition().is_some());
                others.filter(|a| !between(*a, b)).collect()
            })
            .collect();
        let can_be_first: Vec<bool> = (0..n).map(|b| !fixed.iter().any(|c| surely(*c, b))).collect();
        let end = |a: &usize| acts[*a].span.0 + acts[*a].run;
        let earliest = (0..n)
            .map(|b| if can_be_first[b] { 0 } else { before[b].iter().map(end).min().unwrap_or(0) })
            .collect();
        Self { orders, before, can_be_first, earliest }
    }

    fn count(&self) -> usize {
        self.before.iter().map(Vec::len).sum()
    }

    fn order(&self, a: usize, b: usize) -> Order {
        self.orders[a * self.before.len() + b]
    }
}
