//! From the plan to a schedule of the problem, and back.

use super::{PINNED, Plan};
use crate::compiled::{Compiled, Time};
use elbowroom_problem::{JobIdx, Objective, OptionIdx, Placement, Schedule, ToolIdx};
use elbowroom_units::Minute;
use std::collections::BTreeMap;

impl<'a> Plan<'a> {
    /// The plan as a schedule without a bound, its objective added up anew.
    pub(crate) fn schedule(&self) -> Schedule {
        let operations = (0..self.c.jobs.len() as u32)
            .flat_map(|job| self.slots_of(job))
            .map(|x| self.placement(x))
            .collect();
        let objective = match self.c.objective {
            Objective::Makespan => f64::from(self.latest_end()),
            Objective::Cost | Objective::Tardiness => self.total(),
        };
        Schedule { objective, lower_bound: None, purchases: self.purchases(), operations }
    }

    /// Tools that the plan buys.
    pub(crate) fn purchases(&self) -> Vec<ToolIdx> {
        (0..self.c.tools.len())
            .filter(|&t| self.c.tools[t].to_buy && self.tool_users[t] > 0)
            .map(ToolIdx::new)
            .collect()
    }

    fn placement(&self, x: u32) -> Placement {
        let slot = &self.slots[x as usize];
        let minute = |time: Time| Minute::new(i64::from(time));
        let times = slot.times;
        Placement {
            option: self.name(x),
            setup_start: minute(times.start),
            run_start: minute(times.run_start),
            end: minute(times.end),
        }
    }

    /// What the problem calls the slot's option.
    pub(crate) fn name(&self, x: u32) -> OptionIdx {
        let job = self.job_of(x);
        name(self.c, job, self.route[job as usize], x, self.slots[x as usize].option)
    }

    /// The plan of a schedule's routes, options and sequence. Its times are the earliest for that
    /// sequence, hence seldom later than the schedule's. `None` if the schedule is not one of the
    /// problem's, or uses what cannot be finished in time.
    pub(crate) fn of_schedule(c: &'a Compiled, schedule: &Schedule) -> Option<Self> {
        let placed: BTreeMap<_, _> =
            schedule.operations.iter().map(|p| ((p.option.job.get(), p.option.operation), *p)).collect();
        Self::of_choices(c, |job, step| {
            let p = placed.get(&(job, step))?;
            let OptionIdx { route, option, .. } = p.option;
            Some(Choice { route, option, start: p.setup_start.get() })
        })
    }

    /// The plan of a hint: placements that need not be all, and whose times need not be possible.
    /// A job that it says nothing of, or something impossible, goes its first route, each step by
    /// its first option and about when the job may begin.
    pub(crate) fn of_hint(c: &'a Compiled, hint: &[Placement]) -> Option<Self> {
        let placed: BTreeMap<_, _> =
            hint.iter().map(|p| ((p.option.job.get(), p.option.operation), *p)).collect();
        let route_of = |job: usize| {
            let hinted = placed.get(&(job, 0)).map(|p| p.option.route);
            let mut routes = c.jobs[job].routes.clone();
            let known = routes.find(|&r| Some(c.routes[r as usize].number as usize) == hinted);
            (known.is_some(), known.unwrap_or(c.jobs[job].routes.start))
        };
        Self::of_choices(c, |job, step| {
            let (known, route) = route_of(job);
            let mut options = c.op(route, step as u32).options.clone();
            let first = options.start;
            let hinted = placed.get(&(job, step)).filter(|_| known);
            let start = hinted.map_or(i64::from(c.jobs[job].release), |p| p.setup_start.get());
            let option = options
                .find(|&o| hinted.is_some_and(|p| c.options[o as usize].number as usize == p.option.option));
            let number = |option: u32| c.options[option as usize].number as usize;
            let route = c.routes[route as usize].number as usize;
            Some(Choice { route, option: number(option.unwrap_or(first)), start })
        })
    }

    /// The plan of what was chosen for each job and step, sequenced by start. `None` if something
    /// is missing, or was dropped because it cannot be finished in time.
    pub(crate) fn of_choices(
        c: &'a Compiled,
        chosen: impl Fn(usize, usize) -> Option<Choice>,
    ) -> Option<Self> {
        let mut plan = Self::empty(c);
        let mut order: Vec<(i64, u32, u32)> = Vec::new();
        for job in 0..c.jobs.len() as u32 {
            let first = chosen(job as usize, 0)?;
            let mut routes = c.jobs[job as usize].routes.clone();
            let route = routes.find(|&r| c.routes[r as usize].number as usize == first.route)?;
            plan.take_route(job, route);
            let mut least = i64::MIN;
            for (k, x) in plan.slots_of(job).enumerate() {
                if plan.slots[x as usize].is(PINNED) {
                    continue;
                }
                let choice = chosen(job as usize, k)?;
                let mut options = c.op(route, k as u32).options.clone();
                let option = options.find(|&o| c.options[o as usize].number as usize == choice.option)?;
                least = choice.start.max(least);
                order.push((least, x, option));
            }
        }
        // Where two begin together, the job's order decides, and slots are in job order.
        order.sort_unstable();
        for (_, x, option) in order {
            plan.append(x, option);
        }
        plan.arrange();
        Some(plan)
    }
}

/// How a step is done, in the problem's numbers, and about when it begins.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Choice {
    pub(crate) route: usize,
    pub(crate) option: usize,
    pub(crate) start: i64,
}

/// What the problem calls an option.
pub(crate) fn name(c: &Compiled, job: u32, route: u32, x: u32, option: u32) -> OptionIdx {
    OptionIdx {
        job: JobIdx::new(job as usize),
        route: c.routes[route as usize].number as usize,
        operation: (x - c.jobs[job as usize].first_slot) as usize,
        option: c.options[option as usize].number as usize,
    }
}
