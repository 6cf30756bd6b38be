//! List scheduling: the cell that is free first takes its most urgent waiting operation.
//!
//! Urgency is the apparent tardiness cost of scheduling theory with setups: weight by minute of
//! work, waiting and changeover, falling off exponentially with slack. For the makespan urgency is
//! the work that is left of the job.

use super::Setting;
use crate::compiled::{Compiled, NONE, Time};
use crate::dice::Dice;
use crate::plan::Plan;
use elbowroom_problem::Objective;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The plan that a setting dispatches; `None` if `stop` says so before it is there.
pub(super) fn dispatch<'a>(
    c: &'a Compiled,
    routes: &[u32],
    setting: &Setting,
    dice: &mut Dice,
    stop: &dyn Fn() -> bool,
) -> Option<Plan<'a>> {
    let mut run = Dispatch::new(c, routes, setting);
    for job in 0..c.jobs.len() as u32 {
        run.arrive(run.plan.slots_of(job).start);
    }
    let mut looked = 0;
    while let Some(Reverse((at, cell))) = run.free.pop() {
        looked += 1;
        if looked % STRETCH == 0 && stop() {
            return None;
        }
        if run.next[cell as usize] == at {
            run.next[cell as usize] = Time::MAX;
            run.serve(cell, at, dice);
        }
    }
    run.plan.arrange();
    Some(run.plan)
}

/// Looks at cells between two looks at the clock.
const STRETCH: u32 = 256;

/// A cell looks at parts that arrive within so many minutes: it may wait for one of them.
const FORESIGHT: Time = 600;

/// An operation that waits for one of its cells.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Waiting {
    ready: Time,
    slot: u32,
    option: u32,
}

/// What waits for a cell.
#[derive(Clone, Default)]
struct Queue {
    /// Parts that arrive after the cell's foresight.
    coming: BinaryHeap<Reverse<Waiting>>,
    here: Vec<Waiting>,
}

struct Dispatch<'a, 's> {
    c: &'a Compiled,
    setting: &'s Setting,
    plan: Plan<'a>,
    queues: Vec<Queue>,
    /// When a cell may take its next operation; entries other than `next` are out of date.
    free: BinaryHeap<Reverse<(Time, u32)>>,
    /// When each cell is looked at next.
    next: Vec<Time>,
    done: Vec<bool>,
    /// About how many clock minutes a job takes from each of its slots on.
    rest: Vec<f64>,
    look: f64,
}

impl<'a, 's> Dispatch<'a, 's> {
    fn new(c: &'a Compiled, routes: &[u32], setting: &'s Setting) -> Self {
        let mut plan = Plan::empty(c);
        for (job, &route) in routes.iter().enumerate() {
            plan.take_route(job as u32, route);
        }
        let stretch: Vec<f64> = (0..c.cells.len() as u32)
            .map(|cell| f64::from(c.horizon) / f64::from(c.calendar(cell).work(c.horizon)).max(1.0))
            .collect();
        let mut rest = vec![0.0; c.slots()];
        for job in 0..c.jobs.len() as u32 {
            let mut total = 0.0;
            for x in plan.slots_of(job).rev() {
                let op = c.op(plan.route(job), x - c.jobs[job as usize].first_slot);
                let first = &c.options[op.options.start as usize];
                let factor = if first.cell == NONE { 1.0 } else { stretch[first.cell as usize] };
                total += f64::from(op.lag) + f64::from(first.run) * factor;
                rest[x as usize] = total;
            }
        }
        let jobs = c.jobs.len() as f64;
        let mean = c.jobs.iter().map(|job| rest[job.first_slot as usize]).sum::<f64>() / jobs;
        Self {
            c,
            setting,
            plan,
            queues: vec![Queue::default(); c.cells.len()],
            free: BinaryHeap::new(),
            next: vec![Time::MAX; c.cells.len()],
            done: vec![false; c.slots()],
            rest,
            look: (setting.look * mean).max(1.0),
        }
    }

    /// An operation's part is there: it joins the queues of its cells. Steps without a cell, and
    /// pinned ones, are over at once.
    fn arrive(&mut self, mut x: u32) {
        let job = self.plan.job_of(x);
        let (first, end) = (self.c.jobs[job as usize].first_slot, self.plan.slots_of(job).end);
        while x < end {
            let op = self.c.op(self.plan.route(job), x - first);
            let ready = self.plan.ready_for(x);
            let outside = op.options.clone().find(|&o| self.c.options[o as usize].cell == NONE);
            if op.pinned.is_some() {
                x += 1;
            } else if let Some(option) = outside {
                self.plan.append(x, option);
                x += 1;
            } else {
                for option in op.options.clone() {
                    let cell = self.c.options[option as usize].cell;
                    self.queues[cell as usize].coming.push(Reverse(Waiting { ready, slot: x, option }));
                    self.look_at(cell, ready.max(self.plan.cell_free(cell)));
                }
                return;
            }
        }
    }

    fn look_at(&mut self, cell: u32, at: Time) {
        if at < self.next[cell as usize] {
            self.next[cell as usize] = at;
            self.free.push(Reverse((at, cell)));
        }
    }

    /// Lets a cell take an operation, if one is there by `at`.
    fn serve(&mut self, cell: u32, at: Time, dice: &mut Dice) {
        let free = self.plan.cell_free(cell);
        let done = &self.done;
        let queue = &mut self.queues[cell as usize];
        queue.here.retain(|w| !done[w.slot as usize]);
        while let Some(Reverse(next)) = queue.coming.peek() {
            if next.ready > at.saturating_add(FORESIGHT) && !(queue.here.is_empty() && next.ready <= at) {
                break;
            }
            if !done[next.slot as usize] {
                queue.here.push(*next);
            }
            queue.coming.pop();
        }
        let here = queue.here.iter().map(|w| w.ready).min();
        let Some(first) = here.or(queue.coming.peek().map(|Reverse(w)| w.ready)) else { return };
        if first.max(free) > at {
            self.look_at(cell, first.max(free));
            return;
        }
        let Some(next) = self.most_urgent(cell, at, &self.queues[cell as usize].here, dice) else { return };
        self.done[next.slot as usize] = true;
        let times = self.plan.append(next.slot, next.option);
        self.look_at(cell, times.end);
        let job = self.plan.job_of(next.slot);
        if next.slot + 1 < self.plan.slots_of(job).end {
            self.arrive(next.slot + 1);
        }
    }

    fn most_urgent(&self, cell: u32, at: Time, queue: &[Waiting], dice: &mut Dice) -> Option<Waiting> {
        let mut best = None;
        let mut most = -1.0;
        for waiting in queue {
            let value = self.urgency(cell, at, waiting) * (1.0 - self.setting.noise * dice.unit());
            if value > most {
                let value = value * self.fit(waiting);
                if value > most {
                    (best, most) = (Some(*waiting), value);
                }
            }
        }
        best
    }

    fn urgency(&self, cell: u32, at: Time, waiting: &Waiting) -> f64 {
        let c = self.c;
        let choice = &c.options[waiting.option as usize];
        let job = &c.jobs[c.slot_job[waiting.slot as usize] as usize];
        let setup = c.cells[cell as usize].change.minutes(self.plan.cell_key(cell), choice.key);
        let mut wait = waiting.ready.saturating_sub(at.saturating_add(setup));
        for &tool in c.tools_of(waiting.option) {
            wait = wait.max(self.plan.tool_free(tool).saturating_sub(at));
        }
        wait = wait.max(choice.usable.saturating_sub(at));
        let (run, setup, wait) = (f64::from(choice.run), f64::from(setup), f64::from(wait));
        let effort = run + self.setting.setup * setup + wait + 1.0;
        let rest = self.rest[waiting.slot as usize];
        if c.objective == Objective::Makespan {
            (rest / self.look).min(500.0).exp()
                / (1.0 + (self.setting.setup * setup + wait) / self.look).exp()
        } else {
            let slack = (job.due as f64 - f64::from(at) - rest - wait).max(0.0);
            (job.weight + 1e-6) / effort * (-slack / self.look).exp().max(1e-200)
        }
    }

    /// How well a cell fits an operation that other cells could do as well.
    fn fit(&self, waiting: &Waiting) -> f64 {
        let job = self.plan.job_of(waiting.slot);
        let op = self.c.op(self.plan.route(job), waiting.slot - self.c.jobs[job as usize].first_slot);
        if op.options.len() == 1 {
            return 1.0;
        }
        let end = |option: u32| {
            let choice = &self.c.options[option as usize];
            let free = self.plan.cell_free(choice.cell).max(waiting.ready);
            let setup = self.c.cells[choice.cell as usize]
                .change
                .minutes(self.plan.cell_key(choice.cell), choice.key);
            f64::from(free) + f64::from(choice.run) + f64::from(setup) - f64::from(waiting.ready) + 1.0
        };
        let least = op.options.clone().map(end).fold(f64::INFINITY, f64::min);
        let ratio = least / end(waiting.option);
        ratio * ratio
    }
}
