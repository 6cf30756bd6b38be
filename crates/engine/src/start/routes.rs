//! A route for each job before anything is sequenced.

use super::Setting;
use crate::compiled::{Compiled, LATEST, NONE, Time};
use crate::dice::Dice;

/// Jobs choose in the order of their due dates: each takes the route that is cheapest when every
/// operation queues, on its cell, behind all work chosen before.
pub(crate) fn choose_routes(c: &Compiled, setting: &Setting, dice: &mut Dice) -> Vec<u32> {
    let mut order: Vec<(i64, u32)> = (0..c.jobs.len() as u32)
        .map(|job| {
            let flat = &c.jobs[job as usize];
            let span = (flat.due - i64::from(flat.release)).clamp(0, 1 << 20) as f64;
            let jitter = setting.noise * span * (dice.unit() - 0.5);
            (flat.due + jitter as i64, job)
        })
        .collect();
    order.sort_unstable();
    let mut queues = Queues { c, queue: vec![0; c.cells.len()], bought: vec![false; c.tools.len()] };
    let mut routes = vec![0; c.jobs.len()];
    for (_, job) in order {
        routes[job as usize] = queues.choose(job, setting, dice);
    }
    routes
}

struct Queues<'a> {
    c: &'a Compiled,
    /// Working minutes that each cell is taken for.
    queue: Vec<Time>,
    bought: Vec<bool>,
}

impl Queues<'_> {
    fn choose(&mut self, job: u32, setting: &Setting, dice: &mut Dice) -> u32 {
        let routes = self.c.jobs[job as usize].routes.clone();
        let mut best = (f64::INFINITY, routes.start, Vec::new());
        for route in routes.clone() {
            let (cost, taken) = self.try_route(job, route, setting);
            let cost = cost * (1.0 + setting.noise * dice.unit());
            if cost < best.0 {
                best = (cost, route, taken);
            }
        }
        for option in best.2 {
            let choice = &self.c.options[option as usize];
            if choice.cell != NONE {
                let minutes = choice.run + self.c.cells[choice.cell as usize].change.default / 2;
                let queue = &mut self.queue[choice.cell as usize];
                *queue = (*queue + minutes).min(LATEST);
            }
            for &tool in self.c.tools_of(option) {
                self.bought[tool as usize] = true;
            }
        }
        best.1
    }

    /// What a route would cost, and the options it would take.
    fn try_route(&self, job: u32, route: u32, setting: &Setting) -> (f64, Vec<u32>) {
        let flat = &self.c.jobs[job as usize];
        let ops = self.c.routes[route as usize].ops.clone();
        let mut now = flat.release;
        let mut cost = self.c.routes[route as usize].cost;
        let mut taken = Vec::new();
        for op in &self.c.ops[ops.start as usize..ops.end as usize] {
            let ends = op.options.clone().map(|option| (self.end(option, now), option));
            let (end, option) = ends.min().expect("an operation keeps at least one option");
            cost += self.c.options[option as usize].cost;
            for &tool in self.c.tools_of(option) {
                cost += if self.bought[tool as usize] { 0.0 } else { self.c.tools[tool as usize].price };
            }
            taken.push(option);
            now = end.saturating_add(op.lag).min(LATEST);
        }
        let late = self.c.lateness_cost(job, now)
            + f64::from(now.saturating_sub(self.c.horizon)) * self.c.overrun_rate;
        (cost + setting.haste * late + 1e-6 * f64::from(now), taken)
    }

    fn end(&self, option: u32, now: Time) -> Time {
        let choice = &self.c.options[option as usize];
        if choice.cell == NONE {
            return (now + choice.run).min(LATEST);
        }
        let cell = &self.c.cells[choice.cell as usize];
        let calendar = self.c.calendar(choice.cell);
        let start = calendar.work(now.max(choice.usable)).max(self.queue[choice.cell as usize]);
        // What is left of work under way can be nothing.
        calendar.clock_end((start + choice.run).clamp(1, LATEST) + cell.change.default / 2)
    }
}
