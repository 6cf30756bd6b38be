//! One more job in a schedule: where it does no harm, and where it is forced in.

use crate::insertion::{Fitter, Relaxed};
use crate::timeline::Timeline;
use elbowroom_engine::{Aim, probe};
use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};
use elbowroom_units::{Minute, Money};
use elbowroom_verify::{VerifiedSchedule, recompute, verify};

/// What a day of the new job counts for where only the order of importance matters: so much that
/// no changeover is worth an hour.
const HASTE_PER_DAY: f64 = 1e5;
/// What a day counts for by which an order becomes late: a minute of it outweighs every day that
/// the new job can gain inside the longest plan.
const HARM_PER_DAY: f64 = 1e11;
/// What a day counts for by which a forced job misses its aim: more than any order's lateness.
const FORCE_PER_DAY: f64 = 1e7;
/// How often a place that the verifier refuses is looked for again, later.
const MOST_TRIES: usize = 6;

/// A problem and a schedule of all its jobs but the last, which is to be placed.
pub(crate) struct Room<'r> {
    pub(crate) problem: &'r Problem,
    pub(crate) others: &'r Schedule,
    pub(crate) job: JobIdx,
    /// When each job ends as it stands; `None` for the new one.
    ends: Vec<Option<Minute>>,
    weighed: Problem,
}

/// A valid schedule with the job in it.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    pub(crate) schedule: Schedule,
    pub(crate) finish: Minute,
}

/// Where a job can go.
pub(crate) struct Places {
    /// Nobody is late for it who is not late now, nor later.
    pub(crate) harmless: Placed,
    /// Sooner than that, whoever suffers, where it was asked for and can be.
    pub(crate) forced: Option<Placed>,
}

impl<'r> Room<'r> {
    /// `None` if the problem's numbers cannot be weighed anew, which cannot happen to a sound one.
    pub(crate) fn new(problem: &'r Problem, others: &'r Schedule) -> Option<Self> {
        let job = JobIdx::new(problem.jobs.len().checked_sub(1)?);
        let ends = recompute(problem, others).completions;
        let weighed = weighed(problem, &ends)?;
        Some(Self { problem, others, job, ends, weighed })
    }

    /// Where the job can go with the options that `allowed` accepts; `None` if nowhere before the
    /// horizon. `aim` is told the earliest finish that forcing can reach, and says by when it is to
    /// be finished if it is forced; `None`: it is not to be.
    pub(crate) fn places(
        &self,
        allowed: &dyn Fn(OptionIdx) -> bool,
        aim: Option<&dyn Fn(Minute, Minute) -> Option<Minute>>,
    ) -> Option<Places> {
        let gap = self.in_a_gap(allowed)?;
        let probed = |aim| probe(&self.weighed, &gap.schedule, self.job, aim, allowed);
        let moved = probed(Aim::Cheapest).and_then(|found| self.harmless(found.schedule));
        let soonest = aim.and_then(|_| probed(Aim::Earliest)).map(|found| found.finish);
        let harmless = moved.filter(|placed| placed.finish < gap.finish).unwrap_or(gap);
        let by = aim.zip(soonest).and_then(|(aim, soonest)| aim(soonest, harmless.finish));
        let forced = by.and_then(|by| self.forced(&harmless, by, allowed));
        Some(Places { forced: forced.filter(|placed| placed.finish < harmless.finish), harmless })
    }

    /// Finished by a moment, at the least cost in all.
    fn forced(&self, at: &Placed, by: Minute, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let mut parts = self.problem.clone().into_parts();
        let job = &mut parts.jobs[self.job.get()];
        (job.due, job.late_cost_per_day) = (by, Money::new(FORCE_PER_DAY));
        let pressed = Problem::new(parts).ok()?;
        let found = probe(&pressed, &at.schedule, self.job, Aim::Cheapest, allowed)?;
        self.checked(found.schedule)
    }

    /// The first gap that takes it while all other lots stay where they are.
    pub(crate) fn in_a_gap(&self, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let line = Timeline::new(self.problem, self.others);
        let fitter = Fitter::new(&line, self.job);
        let fit = fitter.earliest(Relaxed::default(), allowed)?;
        match fitter.schedule(&fit) {
            Some(verified) => Some(self.placed(verified)),
            None => self.in_a_later_gap(fit.finish(), allowed),
        }
    }

    /// Now and then the place found is refused because another lot owed its short changeover to it;
    /// further on there is another.
    fn in_a_later_gap(&self, refused: Minute, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let mut release = refused;
        for _ in 0..MOST_TRIES {
            let mut parts = self.problem.clone().into_parts();
            parts.jobs[self.job.get()].release = release;
            let later = Problem::new(parts).ok()?;
            let line = Timeline::new(&later, self.others);
            let fitter = Fitter::new(&line, self.job);
            let fit = fitter.earliest(Relaxed::default(), allowed)?;
            // A later release only makes the rule stricter, so what is valid there is valid here.
            if let Some(found) = fitter.schedule(&fit) {
                return self.checked(found.into_schedule());
            }
            release = fit.finish();
        }
        None
    }

    fn placed(&self, verified: VerifiedSchedule) -> Placed {
        let schedule = verified.into_schedule();
        let finish = end_of(&schedule, self.job);
        Placed { schedule, finish }
    }

    /// The schedule with the problem's own objective, if the verifier accepts it.
    fn checked(&self, mut schedule: Schedule) -> Option<Placed> {
        schedule.objective = recompute(self.problem, &schedule).objective;
        schedule.lower_bound = None;
        verify(self.problem, schedule).ok().map(|verified| self.placed(verified))
    }

    /// A schedule of all jobs, if it is valid and makes nobody else late or later.
    pub(crate) fn harmless(&self, schedule: Schedule) -> Option<Placed> {
        let ends = recompute(self.problem, &schedule).completions;
        let nobody = self.harmed(&ends).next().is_none();
        nobody.then(|| self.checked(schedule)).flatten()
    }

    /// Jobs that end too late and later than they did, each with its end before and now.
    pub(crate) fn harmed(&self, now: &[Option<Minute>]) -> impl Iterator<Item = (JobIdx, Minute, Minute)> {
        let all = self.ends.iter().zip(now).enumerate();
        all.filter_map(|(job, (before, now))| Some((JobIdx::new(job), (*before)?, (*now)?)))
            .filter(|(job, before, now)| *now > self.problem.job(*job).due.max(*before))
    }
}

/// When the last step of a job ends; minute 0 for a job that stands nowhere.
pub(crate) fn end_of(schedule: &Schedule, job: JobIdx) -> Minute {
    let steps = schedule.operations.iter().filter(|placed| placed.option.job == job);
    steps.map(|placed| placed.end).max().unwrap_or(Minute::ZERO)
}

/// The same problem with the last job in haste and harm to all others dearer than anything.
fn weighed(problem: &Problem, ends: &[Option<Minute>]) -> Option<Problem> {
    let mut parts = problem.clone().into_parts();
    for (job, end) in parts.jobs.iter_mut().zip(ends) {
        (job.due, job.late_cost_per_day) = match end {
            Some(end) => (job.due.max(*end), Money::new(HARM_PER_DAY)),
            None => (Minute::ZERO, Money::new(HASTE_PER_DAY)),
        };
    }
    Problem::new(parts).ok()
}
