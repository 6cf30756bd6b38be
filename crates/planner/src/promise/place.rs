//! One more job in a schedule: where it does no harm, and where it is forced in.

use crate::insertion::{Fitter, Relaxed};
use crate::timeline::Timeline;
use elbowroom_engine::{Aim, Prober, Reinsertion, Terms};
use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};
use elbowroom_units::{Minute, Money};
use elbowroom_verify::{VerifiedSchedule, recompute, verify};
use std::sync::OnceLock;

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
    pub(crate) job: JobIdx,
    /// The other jobs as they stand.
    pub(crate) line: Timeline<'r>,
    /// When each job ends as it stands; `None` for the new one.
    ends: Vec<Option<Minute>>,
    /// Made when first asked for.
    probers: OnceLock<Option<Probers>>,
}

/// The problem made ready for moving others: all ways of the job are asked of the same ones.
struct Probers {
    /// What is late costs what it costs.
    plain: Prober,
    /// The job in haste and harm to all others dearer than anything.
    careful: Prober,
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

/// What forcing a job in is for: by when it is to be finished, given the earliest finish that can be
/// reached and the one that harms nobody; `None`: nothing is to be gained. A later first never asks for a
/// sooner one.
pub(crate) type Wish<'w> = &'w dyn Fn(Minute, Minute) -> Option<Minute>;

impl<'r> Room<'r> {
    pub(crate) fn new(problem: &'r Problem, others: &'r Schedule) -> Option<Self> {
        let job = JobIdx::new(problem.jobs.len().checked_sub(1)?);
        let ends = recompute(problem, others).completions;
        let line = Timeline::new(problem, others);
        Some(Self { problem, job, line, ends, probers: OnceLock::new() })
    }

    fn probers(&self) -> Option<&Probers> {
        self.probers.get_or_init(|| self.made_ready()).as_ref()
    }

    fn made_ready(&self) -> Option<Probers> {
        let plain = Prober::new(self.problem)?;
        let careful =
            self.careful(&plain, Terms { due: Minute::ZERO, late_cost_per_day: Money::new(HASTE_PER_DAY) });
        Some(Probers { careful, plain })
    }

    /// Harm to others dearer than anything, and terms for the new job.
    fn careful(&self, plain: &Prober, own: Terms) -> Prober {
        plain.with_terms(&|job: JobIdx| match self.ends[job.get()] {
            Some(end) => {
                let due = self.problem.job(job).due.max(end);
                Some(Terms { due, late_cost_per_day: Money::new(HARM_PER_DAY) })
            }
            None => Some(own),
        })
    }

    /// Where the job can go with the options that `allowed` accepts; `None` if nowhere before the
    /// horizon. `least`: no schedule finishes it before. `wish`: what forcing it in is for, if that is asked.
    pub(crate) fn places(
        &self,
        allowed: &dyn Fn(OptionIdx) -> bool,
        least: Minute,
        wish: Option<Wish<'_>>,
    ) -> Option<Places> {
        let gap = self.in_a_gap(allowed)?;
        let careful = &self.probers()?.careful;
        let (soon, reached) = self.sooner(&gap, least, allowed).unwrap_or_else(|| (gap.clone(), gap.finish));
        let harmless = self.cheaper(&soon, allowed).unwrap_or(soon);
        let soonest = |by: Wish<'_>| {
            by(least, harmless.finish)?;
            let found = careful.probe(&gap.schedule, self.job, Aim::Earliest, allowed)?;
            by(found.finish.min(reached), harmless.finish)
        };
        let forced = wish.and_then(soonest).and_then(|by| self.forced(&harmless, by, allowed));
        Some(Places { forced: forced.filter(|placed| placed.finish < harmless.finish), harmless })
    }

    /// Where the job is finished sooner than in a gap and others, moved within their slack, are not late
    /// for it; and the soonest finish that was come across, whoever may suffer there.
    ///
    /// It is looked for from the gap on, step by step, and then with the job put before all other work:
    /// each finds places that the other does not.
    fn sooner(
        &self,
        gap: &Placed,
        least: Minute,
        allowed: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<(Placed, Minute)> {
        let careful = &self.probers()?.careful;
        let (mut best, mut reached) = (gap.clone(), gap.finish);
        let mut take = |found: Option<Reinsertion>| {
            let Some(found) = found.filter(|found| found.finish < best.finish) else { return best.finish };
            reached = reached.min(found.finish);
            if let Some(placed) = self.harmless(found.schedule) {
                best = placed;
            }
            best.finish
        };
        let so_far = take(careful.nudge(&gap.schedule, self.job, allowed));
        if so_far > least {
            take(careful.probe_before(&gap.schedule, self.job, so_far, allowed));
        }
        Some((best, reached))
    }

    /// As soon, and cheaper: steps that nothing hurries go where they cost less.
    fn cheaper(&self, at: &Placed, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let own = Terms { due: at.finish, late_cost_per_day: Money::new(HARM_PER_DAY) };
        let unhurried = self.careful(&self.probers()?.plain, own);
        let placed = self.harmless(unhurried.nudge(&at.schedule, self.job, allowed)?.schedule)?;
        let is_cheaper = Money::new(placed.schedule.objective) < Money::new(at.schedule.objective);
        (is_cheaper && placed.finish <= at.finish).then_some(placed)
    }

    /// Finished by a moment, at the least cost in all.
    fn forced(&self, at: &Placed, by: Minute, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let pressing = Terms { due: by, late_cost_per_day: Money::new(FORCE_PER_DAY) };
        let pressed = self.probers()?.plain.with_terms(&|job| (job == self.job).then_some(pressing));
        let found = pressed.probe(&at.schedule, self.job, Aim::Cheapest, allowed)?;
        self.checked(found.schedule)
    }

    /// At the least cost in all among the places that harm nobody.
    pub(crate) fn cheapest(&self) -> Option<Placed> {
        let gap = self.in_a_gap(&|_| true)?;
        let moved = self.probers()?.plain.probe(&gap.schedule, self.job, Aim::Cheapest, &|_| true);
        Some(moved.and_then(|found| self.harmless(found.schedule)).unwrap_or(gap))
    }

    /// The first gap that takes it while all other lots stay where they are.
    pub(crate) fn in_a_gap(&self, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Placed> {
        let fitter = Fitter::new(&self.line, self.job);
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
            let line = Timeline::new(&later, self.line.schedule);
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
