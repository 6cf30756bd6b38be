//! From a shop to a verified plan.

use crate::compile::{CompileError, Compiled, Finding, JobRole, Key, Request, compile_further};
use crate::late_setups::without_early_setups;
use crate::lateness::reason;
use crate::near::Near;
use crate::no_tooling::no_tooling;
use crate::plan::{LeftOut, Plan};
use crate::readback::{self, Source};
use crate::spare::{FirstPart, Parts, with_spare};
use crate::timeline::Timeline;
use elbowroom_engine::{Answer, Failure, SearchFigures, Settings, Watch, solve, solve_near};
use elbowroom_problem::{JobIdx, Problem};
use elbowroom_shop::Shop;
use elbowroom_units::Minutes;
use elbowroom_verify::{VerifiedSchedule, verify};
use std::collections::BTreeSet;
use std::fmt;

/// A plan with everything that it was made from.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// The problem that was solved.
    pub problem: Problem,
    /// What its parts are in the shop.
    pub key: Key,
    /// The schedule, accepted by the verifier.
    pub schedule: VerifiedSchedule,
    /// What was noticed while compiling.
    pub findings: Vec<Finding>,
    /// What the search did.
    pub figures: SearchFigures,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanError {
    /// There is nothing to plan: no order, or none that can be made.
    NothingToPlan {
        /// The orders that cannot be made, with every reason.
        left_out: Vec<LeftOut>,
        /// What was noticed while compiling.
        findings: Vec<Finding>,
    },
    /// No valid schedule was found in the time given; there may be one.
    NoneFound {
        /// An order that stood in the way, where one can be named.
        order: Option<String>,
        /// What was tried.
        why: String,
    },
    /// The program contradicted itself: a problem that does not hold together, or a schedule that
    /// the verifier refused.
    OurFault {
        /// Everything that was wrong.
        why: Vec<String>,
    },
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NothingToPlan { left_out, .. } if left_out.is_empty() => {
                write!(f, "there is no order to plan")
            }
            Self::NothingToPlan { left_out, .. } => {
                write!(f, "none of the orders can be made")?;
                left_out.iter().try_for_each(|out| {
                    write!(f, "\n  `{}` (part `{}`): {}", out.order, out.part, out.reasons.join("; "))
                })
            }
            Self::NoneFound { order, why } => {
                let at = order.as_ref().map_or_else(String::new, |order| format!(" (order `{order}`)"));
                write!(f, "no valid plan was found in the time given{at}: {why}")
            }
            Self::OurFault { why } => write!(f, "the program contradicted itself: {}", why.join("; ")),
        }
    }
}

impl std::error::Error for PlanError {}

/// Plans a shop: compiles it, has the problem solved, verifies the schedule and reads it back.
///
/// An order that cannot be finished within the longest horizon is left out with the reason, and
/// the rest is planned.
///
/// # Errors
/// If nothing can be planned, none was found in the time given, or the program is at fault.
pub fn plan_week(
    shop: &Shop,
    request: &Request,
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Planned, PlanError> {
    attempts(shop, request, watch, |compiled| {
        let (problem, spare) = (&compiled.problem, shop.terms.spare);
        if spare <= Minutes::ZERO {
            return Ok(match solve(problem, settings, watch) {
                Ok(answer) => Ok(solved(problem, answer)?),
                Err(failure) => Err(failure),
            });
        }
        let parts = Parts::of(settings);
        Ok(match solve(problem, &parts.cheapest, &FirstPart(watch)) {
            Ok(answer) => {
                let (moved, figures) =
                    with_spare(problem, spare, solved(problem, answer)?, &parts.spare, watch);
                Ok((without_early_setups(problem, moved), figures))
            }
            Err(failure) => Err(failure),
        })
    })
}

/// As [`plan_week`], with the search beginning near an earlier plan.
///
/// # Errors
/// As [`plan_week`].
pub fn plan_week_near(
    shop: &Shop,
    request: &Request,
    settings: &Settings,
    watch: &dyn Watch,
    near: Near<'_>,
) -> Result<Planned, PlanError> {
    attempts(shop, request, watch, |compiled| {
        let problem = &compiled.problem;
        match solve_near(problem, &near.hint(problem), settings, watch) {
            Ok(answer) => solved(problem, answer).map(Ok),
            Err(failure) => Ok(Err(failure)),
        }
    })
}

/// A schedule that the verifier accepted, and what the search for it did.
pub(crate) type Solved = (VerifiedSchedule, SearchFigures);

fn solved(problem: &Problem, answer: Answer) -> Result<Solved, PlanError> {
    let schedule = verify(problem, answer.schedule).map_err(refused)?;
    Ok((without_early_setups(problem, schedule), answer.figures))
}

/// Compiles and has the problem solved, again and again until there is a plan or nothing is left to
/// be tried: with a longer horizon, or without an order that cannot be finished.
pub(crate) fn attempts(
    shop: &Shop,
    request: &Request,
    watch: &dyn Watch,
    mut solve: impl FnMut(&Compiled) -> Result<Result<Solved, Failure>, PlanError>,
) -> Result<Planned, PlanError> {
    let mut attempt = Attempt { without: BTreeSet::new(), stretch: 1, impossible: Vec::new() };
    loop {
        let compiled = compile_further(shop, request, &attempt.without, attempt.stretch)
            .map_err(|error| attempt.no_problem(error))?;
        match solve(&compiled)? {
            Ok(solved) => return Ok(attempt.planned(shop, request, compiled, solved)),
            Err(failure) => attempt.learn(shop, &compiled, failure, watch)?,
        }
    }
}

/// What earlier attempts have shown.
struct Attempt {
    without: BTreeSet<usize>,
    stretch: u32,
    impossible: Vec<LeftOut>,
}

/// Stretching by more than this reaches the longest horizon from any start.
const MOST_STRETCH: u32 = 64;

impl Attempt {
    /// What to try next: a longer horizon, then the rest without the order that cannot be done.
    fn learn(
        &mut self,
        shop: &Shop,
        compiled: &Compiled,
        failure: Failure,
        watch: &dyn Watch,
    ) -> Result<(), PlanError> {
        match failure {
            Failure::Impossible { .. } if self.stretch < MOST_STRETCH => self.stretch = MOST_STRETCH,
            Failure::Impossible { job, why } => self.leave_out(shop, compiled, job, why),
            Failure::NoneFound { .. } if self.stretch < MOST_STRETCH && has_time(watch) => self.stretch *= 2,
            Failure::NoneFound { job, why } => {
                let order = job.map(|job| shop.orders[compiled.key.job(job).order].id.clone());
                return Err(PlanError::NoneFound { order, why });
            }
        }
        Ok(())
    }

    /// The plan of a compiled problem that has been solved.
    fn planned(
        self,
        shop: &Shop,
        request: &Request,
        mut compiled: Compiled,
        (schedule, figures): Solved,
    ) -> Planned {
        compiled.left_out.extend(self.impossible);
        let plan = read_back(shop, request.weeks, &compiled, &schedule);
        let Compiled { problem, key, findings, .. } = compiled;
        Planned { plan, problem, key, schedule, findings, figures }
    }

    fn no_problem(&mut self, error: CompileError) -> PlanError {
        match error {
            CompileError::NothingToPlan { mut left_out, findings } => {
                left_out.append(&mut self.impossible);
                PlanError::NothingToPlan { left_out, findings }
            }
            CompileError::Faulty(faults) => {
                PlanError::OurFault { why: faults.iter().map(ToString::to_string).collect() }
            }
        }
    }

    fn leave_out(&mut self, shop: &Shop, compiled: &Compiled, job: JobIdx, why: String) {
        let position = compiled.key.job(job).order;
        let order = &shop.orders[position];
        self.without.insert(position);
        self.impossible.push(LeftOut {
            order: order.id.clone(),
            part: order.part.clone(),
            reasons: vec![why],
        });
        // The long horizon was for this order's sake.
        self.stretch = 1;
    }
}

fn has_time(watch: &dyn Watch) -> bool {
    !watch.cancelled() && watch.elapsed() < watch.limit()
}

pub(crate) fn refused(rejected: elbowroom_verify::Rejected) -> PlanError {
    PlanError::OurFault { why: rejected.violations.iter().map(ToString::to_string).collect() }
}

/// Reads a verified schedule of a compiled problem back as a plan, with the reason for every late
/// order and both courses of every order that could go without new tools. `weeks`: how many lists
/// and charts show at least.
#[must_use]
pub fn read_back(shop: &Shop, weeks: u32, compiled: &Compiled, schedule: &VerifiedSchedule) -> Plan {
    let line = Timeline::new(&compiled.problem, schedule.schedule());
    let source = Source { shop, clock: &compiled.clock, key: &compiled.key, line: &line };
    let mut plan = readback::plan(&source, weeks, compiled.left_out.clone());
    for order in &mut plan.orders {
        order.late = last_job(&source, &order.id).and_then(|job| reason(&source, job));
    }
    plan.no_tooling = no_tooling(&source);
    plan
}

/// The job that finishes an order.
fn last_job(source: &Source<'_>, order: &str) -> Option<JobIdx> {
    let mut jobs = source.key.jobs.iter().enumerate();
    let found = jobs.find(|(_, job)| job.role == JobRole::Rest && source.shop.orders[job.order].id == order);
    found.map(|(position, _)| JobIdx::new(position))
}
