//! Solves a scheduling problem: integer program, schedule builder, search and bound.

mod answer;
mod bound;
mod model;
mod watch;

pub use answer::{Answer, Failure, Probe, Reinsertion, SearchFigures, Settings};
pub use watch::{Progress, Watch};

use elbowroom_problem::{JobIdx, OptionIdx, Problem, Schedule};

/// The best schedule that can be found in the time given, and a bound on how good any can be.
///
/// # Errors
/// [`Failure::Impossible`] with a proof, or [`Failure::NoneFound`].
pub fn solve(_problem: &Problem, _settings: &Settings, watch: &dyn Watch) -> Result<Answer, Failure> {
    let _ = watch::over(watch);
    Err(Failure::NoneFound { job: None, why: "the search is not built in yet".to_owned() })
}

/// As [`solve`], beginning from a valid schedule; the answer is never worse than it.
///
/// # Errors
/// As [`solve`].
pub fn improve(
    problem: &Problem,
    _start: &Schedule,
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    solve(problem, settings, watch)
}

/// Takes one job out of a valid schedule and puts it back at its cheapest, and at its earliest
/// place, using only the options that `only` allows; all other work keeps its sequence.
///
/// `None` if the job cannot be put back that way.
#[must_use]
pub fn probe(
    _problem: &Problem,
    _schedule: &Schedule,
    _job: JobIdx,
    _only: &dyn Fn(OptionIdx) -> bool,
) -> Option<Probe> {
    None
}
