//! What needs nothing but another place in the plan: earlier on its cells, another process,
//! another vendor.

use super::words::moved;
use super::{Bench, Trial};
use crate::plan::RemedyKind;
use elbowroom_engine::{Aim, probe};
use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};
use elbowroom_units::Money;
use std::borrow::Cow;

/// An order brought forward, where there is no room to say before whom on which cells.
const EARLIER: &str = "earlier on its cells, before others";

/// Tries each in turn; the job is taken out of the plan and put back.
pub(super) fn trials(bench: &Bench<'_>, job: JobIdx, take: &mut dyn FnMut(Trial<'_>)) {
    let problem = &bench.planned.problem;
    let Some(now) = chosen(bench.planned.schedule.schedule(), job) else { return };
    put_back(bench, job, RemedyKind::Forward, take, &|at| {
        at.route == now[0].route && same_vendors(problem, &now, at)
    });
    if now.iter().any(|at| has_other_vendor(problem, *at)) {
        put_back(bench, job, RemedyKind::Vendor, take, &|at| {
            at.route == now[0].route && (same_vendors(problem, &now, at) || is_vendor(problem, at))
        });
    }
    for route in (0..problem.job(job).routes.len()).filter(|route| *route != now[0].route) {
        if bench.time_is_up() {
            return;
        }
        put_back(bench, job, RemedyKind::Process, take, &|at| at.route == route);
    }
}

fn put_back(
    bench: &Bench<'_>,
    job: JobIdx,
    kind: RemedyKind,
    take: &mut dyn FnMut(Trial<'_>),
    only: &dyn Fn(OptionIdx) -> bool,
) {
    let (problem, schedule) = (&bench.planned.problem, bench.planned.schedule.schedule());
    let mut last: Option<Schedule> = None;
    for aim in [Aim::Cheapest, Aim::Earliest] {
        let Some(found) = probe(problem, schedule, job, aim, only) else { return };
        let schedule = found.schedule;
        if last.as_ref() == Some(&schedule) {
            continue;
        }
        last = Some(schedule.clone());
        let Some(text) = moved(bench, job, kind, &schedule) else { continue };
        take(Trial {
            kind,
            brief: if kind == RemedyKind::Forward { EARLIER.to_owned() } else { text.clone() },
            text,
            shop: Cow::Borrowed(bench.shop),
            problem: Cow::Borrowed(problem),
            key: Cow::Borrowed(&bench.planned.key),
            schedule,
            extra: Money::ZERO,
        });
    }
}

/// The options of a job in a schedule, by operation; `None` if it has none.
pub(super) fn chosen(schedule: &Schedule, job: JobIdx) -> Option<Vec<OptionIdx>> {
    let placed = schedule.operations.iter().map(|placed| placed.option).filter(|at| at.job == job);
    let mut options: Vec<OptionIdx> = placed.collect();
    options.sort_unstable();
    (!options.is_empty()).then_some(options)
}

/// Whether an option is inside the house, or the vendor that is chosen now.
pub(super) fn same_vendors(problem: &Problem, now: &[OptionIdx], at: OptionIdx) -> bool {
    !is_vendor(problem, at) || now.contains(&at)
}

fn is_vendor(problem: &Problem, at: OptionIdx) -> bool {
    problem.option(at).on_cell().is_none()
}

fn has_other_vendor(problem: &Problem, at: OptionIdx) -> bool {
    is_vendor(problem, at) && problem.operation(at).options.len() > 1
}
