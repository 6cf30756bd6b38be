//! Trying, learning from dead ends, and trying again.

use super::super::meter::Meter;
use super::super::tasks::Shop;
use super::arcs::Shift;
use super::costs::Dear;
use super::model::{Decision, Model};
use super::priced::Priced;
use super::trail::{Atom, Why};
use elbowroom_problem::{JobIdx, OptionIdx, Placement};
use elbowroom_units::Minute;

/// Dead ends before the first new beginning.
const PATIENCE: u64 = 100;
/// Nogoods learnt and kept, at most, at the beginning, and so many more after each clearing.
const KEPT: (usize, usize) = (8_000, 1_000);
/// What a dead end counts of the one after it.
const FADING: f64 = 0.95;
/// Activities beyond this are scaled down.
const MOST_ACTIVE: f64 = 1e100;
/// Nothing is needed of an entry.
const UNNEEDED: i64 = i64::MIN;

/// How a search ended.
pub(super) enum End {
    /// No schedule costs less than this.
    Proved(f64),
    /// The budget is spent.
    Spent,
}

pub(super) struct Search<'a> {
    shop: &'a Shop,
    model: Model,
    priced: Priced<'a>,
    /// Only schedules that cost less than this are looked for.
    target: f64,
    /// Entries from here on have not been followed.
    head: usize,
    /// By side, the arcs that it concerns.
    arcs: Vec<Vec<u32>>,
    /// By variable.
    activity: Vec<f64>,
    growth: f64,
    saved: Vec<bool>,
    /// By entry, what is needed of it.
    needed: Vec<i64>,
}

impl<'a> Search<'a> {
    pub(super) fn new(shop: &'a Shop, model: Model, priced: Priced<'a>, target: f64) -> Self {
        let sides = model.trail.sides();
        let mut arcs = vec![Vec::new(); sides];
        for (number, arc) in model.arcs.iter().enumerate() {
            let own = [2 * arc.from, 2 * arc.to + 1];
            for side in arc.conditions.iter().map(|atom| atom.side).chain(own) {
                arcs[side as usize].push(number as u32);
            }
        }
        let mut saved = vec![false; sides / 2];
        for decision in &model.decisions {
            if let Decision::Plain { var, yes } = decision {
                saved[*var as usize] = *yes;
            }
        }
        Self {
            shop,
            model,
            priced,
            target,
            head: 0,
            arcs,
            activity: vec![0.0; sides / 2],
            growth: 1.0,
            saved,
            needed: Vec::new(),
        }
    }

    /// Looks for a schedule that costs less than the target, lowers the target to it, and goes on until there
    /// is none. What is found is told; it obeys the rules of the model, which are not all.
    pub(super) fn run(&mut self, meter: &mut Meter<'_>, found: &mut dyn FnMut(Vec<Placement>)) -> End {
        let (mut kept, mut beginnings) = (KEPT.0, 0);
        let mut left = PATIENCE;
        for number in 0..self.model.arcs.len() {
            if !self.model.arcs[number].follow(number as u32, None, self.shop, &mut self.model.trail) {
                return End::Proved(self.target);
            }
        }
        loop {
            if let Some(conflict) = self.propagate() {
                if !self.learn(conflict) {
                    return End::Proved(self.target);
                }
                left = left.saturating_sub(1);
                if !meter.count() {
                    return End::Spent;
                }
                continue;
            }
            if left == 0 {
                beginnings += 1;
                left = PATIENCE * luby(beginnings);
                self.retreat(0);
                if self.model.nogoods.learnt() > kept {
                    self.model.nogoods.forget();
                    kept += KEPT.1;
                }
                continue;
            }
            match self.decision() {
                Some(atom) => {
                    self.model.trail.begin_level();
                    self.model.trail.set(atom, Why::Tried);
                }
                None => {
                    self.target = self.model.costs.least(&self.model.trail) * (1.0 - 1e-12);
                    found(self.solution());
                }
            }
        }
    }

    fn retreat(&mut self, level: u32) {
        self.model.trail.retreat(level);
        self.head = self.head.min(self.model.trail.entries.len());
    }

    /// All that follows; statements that cannot all hold if that is nothing.
    fn propagate(&mut self) -> Option<Vec<Atom>> {
        loop {
            while let Some(entry) = self.model.trail.entries.get(self.head).copied() {
                self.head += 1;
                if !self.model.nogoods.follow(&entry, &mut self.model.trail) {
                    return Some(self.clash());
                }
                for arc in &self.arcs[entry.side as usize] {
                    if !self.model.arcs[*arc as usize].follow(
                        *arc,
                        Some(entry.side),
                        self.shop,
                        &mut self.model.trail,
                    ) {
                        return Some(self.clash());
                    }
                }
            }
            match self.model.costs.follow(self.target, &mut self.model.trail) {
                Ok(()) => {}
                Err(Dear::Whole(conflict)) => return Some(conflict),
                Err(Dear::Clash) => return Some(self.clash()),
            }
            if self.head == self.model.trail.entries.len() {
                break;
            }
        }
        let Model { jobs, trail, .. } = &self.model;
        self.priced.follow(self.target, jobs, trail)
    }

    /// Statements that cannot all hold, where the last entry has left its variable no value.
    fn clash(&self) -> Vec<Atom> {
        let trail = &self.model.trail;
        let last = trail.entries.len() - 1;
        let side = trail.entries[last].side;
        let against = trail.opposite(side);
        let mut all = self.reason(last as u32, against.not());
        all.push(against);
        all
    }

    /// All work as early as it can be.
    fn solution(&self) -> Vec<Placement> {
        let Model { trail, jobs, .. } = &self.model;
        let mut out = Vec::new();
        for (job, (task, vars)) in self.shop.tasks.iter().zip(jobs).enumerate() {
            let holds =
                |atom: &Option<Option<Atom>>| atom.is_some_and(|atom| atom.is_none_or(|it| trail.holds(it)));
            let Some(plan) = vars.follows.iter().position(holds).map(|at| &task.routes[at]) else { continue };
            for (operation, at) in plan.steps.iter().enumerate() {
                let (step, Some(vars)) = (&task.steps[*at], &vars.steps[*at]) else { continue };
                let Some(choice) = vars.takes.iter().position(holds) else { continue };
                let [setup_start, run_start] = [vars.set_up[choice], vars.start].map(|var| trail.least(var));
                let end = Shift::Ends(vec![(step.choices[choice].cell, step.choices[choice].run)], 0);
                let end = end.forward(self.shop, run_start);
                out.push(Placement {
                    option: OptionIdx {
                        job: JobIdx::new(job),
                        route: plan.index,
                        operation,
                        option: step.choices[choice].index,
                    },
                    setup_start: Minute::new(setup_start),
                    run_start: Minute::new(run_start),
                    end: Minute::new(end),
                });
            }
        }
        out
    }

    /// What to try next; nothing if all is decided.
    fn decision(&self) -> Option<Atom> {
        let trail = &self.model.trail;
        let mut best: Option<(&Decision, f64)> = None;
        for decision in &self.model.decisions {
            let (Decision::Order { var, .. } | Decision::Plain { var, .. }) = decision;
            let activity = self.activity[*var as usize];
            if best.is_some_and(|(_, most)| activity <= most) || trail.least(*var) == trail.most(*var) {
                continue;
            }
            if matches!(decision, Decision::Order { there, .. } if there.iter().flatten().any(|atom| trail.fails(*atom)))
            {
                continue;
            }
            best = Some((decision, activity));
        }
        Some(match best?.0 {
            Decision::Order { var, starts, .. } => {
                let [a, b] = starts.map(|start| trail.least(start) + trail.most(start));
                if a <= b { Atom::yes(*var) } else { Atom::no(*var) }
            }
            Decision::Plain { var, .. } => {
                if self.saved[*var as usize] {
                    Atom::yes(*var)
                } else {
                    Atom::no(*var)
                }
            }
        })
    }

    /// Learns from statements that cannot all hold, and goes back to where that would have mattered; `false`
    /// if they do not hold together whatever is tried.
    fn learn(&mut self, conflict: Vec<Atom>) -> bool {
        let Some(atoms) = self.first_cause(conflict) else { return false };
        let trail = &self.model.trail;
        let level =
            |atom: &Atom| trail.entry_of(*atom).map_or(0, |entry| trail.entries[entry as usize].level);
        let mut rest: Vec<(u32, Atom)> = atoms[1..].iter().map(|atom| (level(atom), *atom)).collect();
        rest.sort_unstable_by(|a, b| b.cmp(a));
        let back = rest.first().map_or(0, |(level, _)| *level);
        let mut levels: Vec<u32> = rest.iter().map(|(level, _)| *level).collect();
        levels.dedup();
        let cause = atoms[0];
        self.note_choices(back);
        self.retreat(back);
        self.growth /= FADING;
        if rest.is_empty() {
            return self.model.trail.set(cause.not(), Why::Tried);
        }
        let atoms: Vec<Atom> = std::iter::once(cause).chain(rest.into_iter().map(|(_, atom)| atom)).collect();
        let number = self.model.nogoods.learn(atoms, levels.len() as u32 + 1);
        // It began to hold above this level, so that its opposite is possible here.
        debug_assert!(!self.model.trail.holds(cause));
        self.model.trail.set(cause.not(), Why::Nogood(number))
    }

    /// Remembers what was tried above a level.
    fn note_choices(&mut self, level: u32) {
        for entry in self.model.trail.entries.iter().rev().take_while(|entry| entry.level > level) {
            let var = (entry.side >> 1) as usize;
            self.saved[var] = entry.side & 1 == 0;
        }
    }

    /// The nogood that follows from a conflict by going back to the last point through which all of it goes
    /// (first unique implication point: Marques-Silva and Sakallah, IEEE Transactions on Computers 48, 1999):
    /// that statement first. `None` if there is nothing to go back to.
    fn first_cause(&mut self, conflict: Vec<Atom>) -> Option<Vec<Atom>> {
        let deepest = conflict.iter().filter_map(|atom| self.model.trail.entry_of(*atom));
        let level = deepest.map(|entry| self.model.trail.entries[entry as usize].level).max().unwrap_or(0);
        if level == 0 {
            return None;
        }
        self.retreat(level);
        self.needed.clear();
        self.needed.resize(self.model.trail.entries.len(), UNNEEDED);
        let mut open = 0;
        let mut lower = Vec::new();
        self.need(&conflict, level, &mut open, &mut lower);
        let mut at = self.needed.len();
        let cause = loop {
            at -= 1;
            if self.needed[at] == UNNEEDED {
                continue;
            }
            let held = Atom { side: self.model.trail.entries[at].side, least: self.needed[at] };
            if open == 1 {
                break held;
            }
            open -= 1;
            self.needed[at] = UNNEEDED;
            let reason = self.reason(at as u32, held);
            debug_assert!(
                reason.iter().all(|atom| self.model.trail.held_before(*atom, at as u32)),
                "{reason:?}"
            );
            self.need(&reason, level, &mut open, &mut lower);
        };
        let mut out = vec![cause];
        for entry in &lower {
            if !self.is_implied(*entry) {
                out.push(Atom {
                    side: self.model.trail.entries[*entry as usize].side,
                    least: self.needed[*entry as usize],
                });
            }
        }
        // Of two statements on one side the stronger one says both.
        out[1..].sort_unstable_by(|a, b| b.cmp(a));
        out.dedup_by_key(|atom| atom.side);
        if let Some(weaker) = out[1..].iter().position(|atom| atom.side == cause.side) {
            out.remove(weaker + 1);
        }
        Some(out)
    }

    /// Notes that statements are needed.
    fn need(&mut self, atoms: &[Atom], level: u32, open: &mut u32, lower: &mut Vec<u32>) {
        for atom in atoms {
            let Some(entry) = self.model.trail.entry_of(*atom) else { continue };
            let at = entry as usize;
            let of = self.model.trail.entries[at].level;
            if of == 0 {
                continue;
            }
            self.bump(atom.var());
            if self.needed[at] == UNNEEDED {
                if of == level {
                    *open += 1;
                } else {
                    lower.push(entry);
                }
            }
            self.needed[at] = self.needed[at].max(atom.least);
        }
    }

    fn bump(&mut self, var: u32) {
        let activity = &mut self.activity[var as usize];
        *activity += self.growth;
        if *activity > MOST_ACTIVE {
            self.activity.iter_mut().for_each(|activity| *activity /= MOST_ACTIVE);
            self.growth /= MOST_ACTIVE;
        }
    }

    /// Whether what is needed of an entry follows from what else is needed.
    fn is_implied(&self, entry: u32) -> bool {
        let trail = &self.model.trail;
        let about = trail.entries[entry as usize];
        if matches!(about.why, Why::Tried | Why::Cost(_) | Why::Late(_)) {
            return false;
        }
        let held = Atom { side: about.side, least: self.needed[entry as usize] };
        self.reason(entry, held).iter().all(|atom| match trail.entry_of(*atom) {
            None => true,
            Some(at) => trail.entries[at as usize].level == 0 || self.needed[at as usize] >= atom.least,
        })
    }

    /// Statements from which what is needed of an entry follows.
    fn reason(&self, entry: u32, held: Atom) -> Vec<Atom> {
        let Model { trail, nogoods, arcs, costs, .. } = &self.model;
        match trail.entries[entry as usize].why {
            Why::Tried => Vec::new(),
            Why::Nogood(number) => {
                nogoods.atoms(number).iter().copied().filter(|atom| atom.side != held.side ^ 1).collect()
            }
            Why::Arc(number) => {
                let mut out = Vec::new();
                arcs[number as usize].explain(held, entry, self.shop, trail, &mut out);
                out
            }
            Why::Cost(group) => costs.explain_group(group, held, self.target, entry, trail),
            Why::Late(late) => costs.explain_late(late, held, self.target, entry, trail),
        }
    }
}

/// 1, 1, 2, 1, 1, 2, 4, ... (Luby, Sinclair and Zuckerman, Information Processing Letters 47, 1993), from 1 on.
fn luby(number: u64) -> u64 {
    let mut at = number;
    loop {
        let power = (at + 1).next_power_of_two();
        if power == at + 1 {
            return power / 2;
        }
        at -= power / 2 - 1;
    }
}

#[cfg(test)]
mod tests {
    use super::luby;

    #[test]
    fn new_beginnings_come_after_longer_and_longer_stretches() {
        let first: Vec<u64> = (1..=15).map(luby).collect();
        assert_eq!(first, [1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8]);
    }
}
