//! "What if this job went another way?": one job is taken out of a plan and put back.
//!
//! Only that job's operations move in the list, so that all other work keeps its sequence (its times
//! may change). Each allowed route is tried; along a route the operations start where their time
//! seems to be and then, one after the other and again, take the best place and option, until none
//! finds a better one.

mod settle;

use crate::compiled::{Compiled, Time, compile};
use crate::plan::Plan;
use crate::{Aim, Reinsertion};
use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};
use elbowroom_units::{Minute, Money};
use settle::{Search, Way, put_back, score, settled, way};

/// What being late means for a job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// Lateness counts from here.
    pub due: Minute,
    /// Money for 1,440 minutes of lateness.
    pub late_cost_per_day: Money,
}

/// A problem made ready for many questions of the kind "what if this job went another way?".
#[derive(Clone, Debug)]
pub struct Prober {
    compiled: Compiled,
}

impl Prober {
    /// `None` for a problem that is proved to have no schedule.
    #[must_use]
    pub fn new(problem: &Problem) -> Option<Self> {
        compile(problem).ok().map(|compiled| Self { compiled })
    }

    /// The same problem with other terms for some jobs; `None` leaves a job its own.
    #[must_use]
    pub fn with_terms(&self, terms: &dyn Fn(JobIdx) -> Option<Terms>) -> Self {
        let mut compiled = self.compiled.clone();
        for job in 0..compiled.jobs.len() {
            if let Some(Terms { due, late_cost_per_day }) = terms(JobIdx::new(job)) {
                compiled.set_terms(job, due, late_cost_per_day);
            }
        }
        compiled.weigh_overrun();
        Self { compiled }
    }

    /// Takes one job out of a valid schedule and puts it back where it is best, using only the
    /// options that `only` allows; all other work keeps its sequence. `None` if that cannot be.
    #[must_use]
    pub fn probe(
        &self,
        schedule: &Schedule,
        job: JobIdx,
        aim: Aim,
        only: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Reinsertion> {
        self.put_back(schedule, job, Search { aim, before: Time::MAX }, only)
    }

    /// As [`Self::probe`] for the cheapest place, as long as the job ends before a moment there: what ends
    /// later is not looked at.
    #[must_use]
    pub fn probe_before(
        &self,
        schedule: &Schedule,
        job: JobIdx,
        before: Minute,
        only: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Reinsertion> {
        let before = Time::try_from(before.get().max(0)).unwrap_or(Time::MAX);
        let found = self.put_back(schedule, job, Search { aim: Aim::Cheapest, before }, only)?;
        (found.finish.get() < i64::from(before)).then_some(found)
    }

    fn put_back(
        &self,
        schedule: &Schedule,
        job: JobIdx,
        search: Search,
        only: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Reinsertion> {
        let (compiled, number) = (&self.compiled, job.get() as u32);
        let base = Plan::of_schedule(compiled, schedule)?;
        let routes = compiled.jobs.get(job.get())?.routes.clone();
        let ways: Vec<Way> = routes.filter_map(|route| way(compiled, number, route, only)).collect();
        let tried = ways.iter().filter_map(|way| put_back(&base, number, way, search));
        let scored = |plan: &Plan<'_>| score(plan, number, search.aim);
        let best = tried.min_by(|a, b| scored(a).total_cmp(&scored(b)))?;
        Some(reinsertion(&best, number))
    }

    /// Moves one job of a valid schedule, from where it stands, to where it is cheaper on the same route,
    /// using only the options that `only` allows; all other work keeps its sequence. Quicker than
    /// [`Self::probe`] where the job stands well already.
    #[must_use]
    pub fn nudge(
        &self,
        schedule: &Schedule,
        job: JobIdx,
        only: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Reinsertion> {
        let number = job.get() as u32;
        let plan = Plan::of_schedule(&self.compiled, schedule)?;
        let way = way(&self.compiled, number, plan.route(number), only)?;
        let search = Search { aim: Aim::Cheapest, before: Time::MAX };
        Some(reinsertion(&settled(plan, number, &way, search)?, number))
    }
}

/// See [`crate::probe`].
pub(crate) fn probe(
    problem: &Problem,
    schedule: &Schedule,
    job: JobIdx,
    aim: Aim,
    only: &dyn Fn(OptionIdx) -> bool,
) -> Option<Reinsertion> {
    let prober = Prober::new(problem)?;
    let found = |aim| prober.probe(schedule, job, aim, only);
    match aim {
        Aim::Cheapest => found(aim),
        // Looking for the cheapest place sometimes ends at an earlier one than looking for the earliest.
        Aim::Earliest => {
            let both = [found(Aim::Earliest), found(Aim::Cheapest)].into_iter().flatten();
            both.min_by(|a, b| {
                (a.finish, a.objective).partial_cmp(&(b.finish, b.objective)).expect("numbers")
            })
        }
    }
}

fn reinsertion(plan: &Plan<'_>, job: u32) -> Reinsertion {
    let schedule = plan.schedule();
    Reinsertion {
        finish: Minute::new(i64::from(plan.job_end(job))),
        objective: schedule.objective,
        purchases: schedule.purchases.clone(),
        schedule,
    }
}
