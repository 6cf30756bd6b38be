//! The plan's problem with more orders in it than the plan has.

use crate::compile::{CompileError, Compiled, Key, Known, Request, compile_known};
use crate::insertion::{mend_setups, purchases};
use elbowroom_engine::{Settings, Watch, improve};
use elbowroom_problem::{Availability, JobIdx, Parts, Problem, Schedule};
use elbowroom_shop::Shop;
use elbowroom_units::{Minutes, Money};
use elbowroom_verify::{VerifiedSchedule, recompute, verify};
use std::time::Duration;

/// A compiled book in which the first jobs are the plan's own.
pub(crate) struct Trial {
    /// Everything compiled, all further orders side by side.
    pub(crate) compiled: Compiled,
    /// How many jobs the plan has.
    pub(crate) planned: usize,
}

impl Trial {
    /// Compiles the plan's orders, then `further` ones; all by position in the shop's book.
    /// `stretch`: so many times the time for the work.
    pub(crate) fn new(
        shop: &Shop,
        request: &Request,
        known: &Known,
        plan: (&[usize], &Problem),
        further: &[usize],
        stretch: u32,
    ) -> Result<Self, CompileError> {
        let (orders, problem) = plan;
        let all: Vec<usize> = orders.iter().chain(further).copied().collect();
        let compiled = compile_known(shop, request, known, &all, stretch, problem.horizon)?;
        Ok(Self { compiled, planned: problem.jobs.len() })
    }

    /// The same with some tools, by id, coming later.
    pub(crate) fn with_late(&self, tools: &[String], delay: Minutes) -> Compiled {
        let mut parts: Parts = self.compiled.problem.clone().into_parts();
        for tool in parts.tools.iter_mut().filter(|tool| tools.contains(&tool.id)) {
            if let Availability::Offer { lead, .. } = &mut tool.availability {
                *lead += delay;
            }
        }
        let problem = Problem::new(parts).expect("a later tool leaves a sound problem sound");
        Compiled { problem, ..self.compiled.clone() }
    }

    /// The job of a further order; `None` if it cannot be made.
    pub(crate) fn job_of(&self, order: usize) -> Option<JobIdx> {
        let further = self.compiled.key.jobs.iter().enumerate().skip(self.planned);
        further.rev().find(|(_, job)| job.order == order).map(|(position, _)| JobIdx::new(position))
    }

    /// The problem of the plan's jobs and some further ones, in this order. `open_ended`: nothing is
    /// due for the further ones.
    pub(crate) fn with(&self, further: &[JobIdx], open_ended: bool) -> Compiled {
        let (all, key) = (&self.compiled.problem, &self.compiled.key);
        let picked: Vec<usize> = (0..self.planned).chain(further.iter().map(|job| job.get())).collect();
        let jobs = picked.iter().map(|position| key.jobs[*position].clone()).collect();
        let mut parts = Parts {
            name: all.name.clone(),
            objective: all.objective,
            horizon: all.horizon,
            cells: all.cells.clone(),
            tools: all.tools.clone(),
            crews: all.crews.clone(),
            jobs: picked.iter().map(|position| all.jobs[*position].clone()).collect(),
            pinned: all.pinned.clone(),
            committed_purchases: all.committed_purchases.clone(),
        };
        for job in parts.jobs[self.planned..].iter_mut().filter(|_| open_ended) {
            job.due = parts.horizon;
            job.late_cost_per_day = Money::ZERO;
        }
        let problem = Problem::new(parts).expect("jobs left out of a sound problem leave a sound one");
        let key = Key { jobs, tools: key.tools.clone() };
        Compiled { problem, key, clock: self.compiled.clock, left_out: Vec::new(), findings: Vec::new() }
    }
}

/// A plan's schedule in a problem with more jobs' tools and programs: changeovers may take longer
/// there. They are made room for, or if there is none, the same sequence is built anew.
pub(crate) fn carried(plan: &Problem, schedule: &Schedule) -> Option<VerifiedSchedule> {
    let mut kept = schedule.clone();
    // Tools may have other places in the list there.
    kept.purchases = purchases(plan, &kept);
    mend_setups(plan, &mut kept);
    kept.objective = recompute(plan, &kept).objective;
    kept.lower_bound = None;
    verify(plan, kept.clone()).ok().or_else(|| rebuilt(plan, &kept))
}

fn rebuilt(plan: &Problem, schedule: &Schedule) -> Option<VerifiedSchedule> {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(1) };
    let answer = improve(plan, schedule, &settings, &Brief).ok()?;
    verify(plan, answer.schedule).ok()
}

/// Nobody waits and no time passes: the budget of iterations decides.
pub(super) struct Brief;

impl Watch for Brief {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(1)
    }

    fn cancelled(&self) -> bool {
        false
    }
}
