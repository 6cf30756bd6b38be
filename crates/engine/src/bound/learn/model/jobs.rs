//! Jobs: which route, which choices, one step after the other, and the end.

use super::super::super::tasks::{Choice, Step, Task};
use super::super::arcs::{Shift, far};
use super::super::costs::Lateness;
use super::super::trail::{Atom, Var};
use super::{Act, Builder, JobVars, Nothing, StepVars};
use std::rc::Rc;

impl Builder<'_> {
    pub(super) fn job(&mut self, job: usize, task: &Task) -> Result<(), Nothing> {
        let can = |step: &Step| step.pinned.is_some() || step.choices.iter().any(Choice::is_open);
        let is_open: Vec<bool> =
            task.routes.iter().map(|plan| plan.steps.iter().all(|at| can(&task.steps[*at]))).collect();
        let open: Vec<usize> = (0..is_open.len()).filter(|plan| is_open[*plan]).collect();
        let follows: Vec<Atom> = match open.len() {
            0 => return Err(Nothing),
            1 => Vec::new(),
            _ => open.iter().enumerate().map(|(at, _)| Atom::yes(self.yes_or_no(at == 0))).collect(),
        };
        if !follows.is_empty() {
            self.one_of(&follows, None);
        }
        let mut vars =
            JobVars { follows: vec![None; task.routes.len()], steps: vec![None; task.steps.len()] };
        for (at, plan) in open.iter().enumerate() {
            vars.follows[*plan] = Some(follows.get(at).copied());
        }
        for number in 0..task.steps.len() {
            let using: Vec<usize> =
                (0..open.len()).filter(|at| task.routes[open[*at]].steps.contains(&number)).collect();
            if using.is_empty() {
                continue;
            }
            let there = self.presence(&using, &follows);
            vars.steps[number] = Some(self.step(job, number, &task.steps[number], there));
        }
        self.chain(task, &open, &vars);
        self.ends(task, &open, &vars);
        self.plan_costs(task, &open, &vars);
        self.out.jobs.push(vars);
        Ok(())
    }

    /// That a step is there which these of the open plans have.
    fn presence(&mut self, using: &[usize], follows: &[Atom]) -> Option<Atom> {
        if using.len() == follows.len().max(1) {
            return None;
        }
        if let [only] = using {
            return Some(follows[*only]);
        }
        let there = Atom::yes(self.yes_or_no(true));
        let mut none = vec![Some(there)];
        for at in using {
            self.never(&[Some(follows[*at]), Some(there.not())]);
            none.push(Some(follows[*at].not()));
        }
        self.never(&none);
        Some(there)
    }

    fn step(&mut self, job: usize, number: usize, step: &Step, there: Option<Atom>) -> StepVars {
        if let Some((start, _)) = step.pinned {
            self.pinned_act((job, number), step);
            let start = self.out.trail.var(start, start);
            return StepVars { start, set_up: vec![start], takes: vec![Some(there)] };
        }
        let clock = |choice: &Choice, position| match choice.cell {
            None => position,
            Some(cell) => self.shop.cells[cell].time.worked(position),
        };
        let open: Vec<(usize, &Choice)> =
            step.choices.iter().enumerate().filter(|(_, choice)| choice.is_open()).collect();
        let spans: Vec<(i64, i64)> = open
            .iter()
            .map(|(_, choice)| (clock(choice, choice.first), clock(choice, choice.last)))
            .collect();
        let least = spans.iter().map(|span| span.0).min().unwrap_or(0);
        let most = spans.iter().map(|span| span.1).max().unwrap_or(0);
        let start = self.out.trail.var(least, if there.is_some() { far(self.shop) } else { most });
        let mut vars = StepVars {
            start,
            set_up: vec![start; step.choices.len()],
            takes: vec![None; step.choices.len()],
        };
        let takes: Vec<Option<Atom>> = match open.len() {
            1 => vec![there],
            _ => {
                let atoms: Vec<Atom> =
                    open.iter().enumerate().map(|(at, _)| Atom::yes(self.yes_or_no(at == 0))).collect();
                self.one_of(&atoms, there);
                let least = open.iter().map(|(_, choice)| choice.money).fold(f64::INFINITY, f64::min);
                let mut ways: Vec<(Atom, f64)> = atoms
                    .iter()
                    .zip(&open)
                    .map(|(atom, (_, choice))| (*atom, choice.money - least))
                    .collect();
                ways.extend(there.map(|there| (there.not(), 0.0)));
                self.group(ways);
                atoms.into_iter().map(Some).collect()
            }
        };
        for (((at, choice), take), span) in open.iter().zip(takes).zip(spans) {
            vars.takes[*at] = Some(take);
            self.never(&[take, Some(Atom::at_most(start, span.0 - 1))]);
            self.never(&[take, Some(Atom::at_least(start, span.1 + 1))]);
            if let Some(cell) = choice.cell {
                let Choice { run, key, setup, .. } = **choice;
                let needs = Rc::clone(&choice.needs);
                let (set_up, there, step, pinned) = (start, take, number, false);
                let (span, choice) = ((choice.first, choice.last), *at);
                self.acts[cell].push(Act {
                    job,
                    step,
                    choice,
                    start,
                    set_up,
                    there,
                    span,
                    run,
                    key,
                    setup,
                    pinned,
                    needs,
                });
            }
        }
        vars
    }

    /// Pinned work holds its cell from the begin of its setup on.
    fn pinned_act(&mut self, (job, number): (usize, usize), step: &Step) {
        let Some(choice) = step.choices.first() else { return };
        let (Some(cell), Some(block)) = (choice.cell, choice.needs.block) else { return };
        let time = &self.shop.cells[cell].time;
        if block.0 >= time.total() {
            return;
        }
        let from = time.worked(block.0);
        let start = self.out.trail.var(from, from);
        let (run, key, needs) = (block.1 - block.0, choice.key, Rc::clone(&choice.needs));
        let (set_up, there, step, choice, setup, pinned) = (start, None, number, 0, 0, true);
        let span = (block.0, block.0);
        let act = Act { job, step, choice, start, set_up, there, span, run, key, setup, pinned, needs };
        self.acts[cell].push(act);
    }

    /// From each step to the next.
    fn chain(&mut self, task: &Task, open: &[usize], vars: &JobVars) {
        let mut done = Vec::new();
        for plan in open {
            for pair in task.routes[*plan].steps.windows(2) {
                if done.contains(&(pair[0], pair[1])) {
                    continue;
                }
                done.push((pair[0], pair[1]));
                let (step, next) = (&task.steps[pair[0]], &task.steps[pair[1]]);
                let (Some(from), Some(to)) = (&vars.steps[pair[0]], &vars.steps[pair[1]]) else { continue };
                let mut cells = next.choices.iter().zip(&to.takes).filter(|(_, take)| take.is_some());
                let cell = match (cells.next(), cells.next()) {
                    (Some((choice, _)), None) if next.pinned.is_none() => choice.cell,
                    _ => None,
                };
                self.after(&[], (step, from), to.start, step.lag, cell);
            }
        }
    }

    /// A moment comes after the end of a step: in any case after the earliest of its choices, and after that of
    /// the one that is taken.
    fn after(
        &mut self,
        conditions: &[Option<Atom>],
        (step, from): (&Step, &StepVars),
        to: Var,
        lag: i64,
        cell: Option<usize>,
    ) {
        if let Some((_, end)) = step.pinned {
            self.arc(conditions, from.start, to, Shift::Until(end + lag));
            return;
        }
        let open = step.choices.iter().zip(&from.takes).filter_map(|(choice, take)| Some((choice, (*take)?)));
        let runs: Vec<(Option<usize>, i64, Option<Atom>)> =
            open.map(|(choice, take)| (choice.cell, choice.run, take)).collect();
        let shift = |runs: Vec<(Option<usize>, i64)>| match cell {
            Some(cell) => Shift::EndsBefore(runs, lag, cell),
            None => Shift::Ends(runs, lag),
        };
        self.arc(
            conditions,
            from.start,
            to,
            shift(runs.iter().map(|(cell, run, _)| (*cell, *run)).collect()),
        );
        let alike = runs.windows(2).all(|pair| (pair[0].0, pair[0].1) == (pair[1].0, pair[1].1));
        for (cell, run, take) in runs.iter().filter(|_| !alike) {
            let conditions: Vec<Option<Atom>> = conditions.iter().copied().chain([*take]).collect();
            self.arc(&conditions, from.start, to, shift(vec![(*cell, *run)]));
        }
    }

    /// When the job ends, if that costs money.
    fn ends(&mut self, task: &Task, open: &[usize], vars: &JobVars) {
        if task.late <= 0.0 {
            return;
        }
        let end = self.out.trail.var(task.earliest_end, self.shop.horizon);
        for plan in open {
            let Some(last) = task.routes[*plan].steps.last() else { continue };
            let Some(from) = &vars.steps[*last] else { continue };
            let follows = vars.follows[*plan].flatten();
            self.after(&[follows], (&task.steps[*last], from), end, 0, None);
        }
        self.out.costs.late.push(Lateness { end, due: task.due, rate: task.late });
    }

    /// What each plan costs at least.
    fn plan_costs(&mut self, task: &Task, open: &[usize], vars: &JobVars) {
        let least = |at: &usize| {
            let step = &task.steps[*at];
            let open = step.choices.iter().filter(|choice| step.pinned.is_some() || choice.is_open());
            open.map(|choice| choice.money).fold(f64::INFINITY, f64::min)
        };
        let cost = |plan: usize| {
            let plan = &task.routes[plan];
            plan.cost + plan.steps.iter().map(least).sum::<f64>()
        };
        let cheapest = open.iter().map(|plan| cost(*plan)).fold(f64::INFINITY, f64::min);
        self.out.costs.base += cheapest;
        let ways = open.iter().filter_map(|plan| Some((vars.follows[*plan]??, cost(*plan) - cheapest)));
        self.group(ways.collect());
    }
}
