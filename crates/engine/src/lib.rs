//! Solves a scheduling problem: integer program, schedule builder, search and bound.

mod answer;
mod bound;
mod compiled;
mod dice;
mod model;
mod plan;
mod probe;
mod race;
mod search;
mod solve;
mod start;
mod watch;

pub use answer::{Aim, Answer, Failure, Reinsertion, SearchFigures, Settings};
pub use watch::{Progress, Watch};

use elbowroom_problem::{JobIdx, OptionIdx, Placement, Problem, Schedule};

/// The best schedule that can be found in the time given, and a bound on how good any can be.
///
/// # Errors
/// [`Failure::Impossible`] with a proof, or [`Failure::NoneFound`].
pub fn solve(problem: &Problem, settings: &Settings, watch: &dyn Watch) -> Result<Answer, Failure> {
    solve::solve(problem, settings, watch)
}

/// As [`solve`], beginning from a valid schedule; the answer is never worse than it.
///
/// # Errors
/// As [`solve`].
pub fn improve(
    problem: &Problem,
    start: &Schedule,
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    solve::improve(problem, start, settings, watch)
}

/// As [`solve`], beginning near a hint: the routes, options and sequence of a schedule of a problem
/// much like this one. It need be neither whole nor possible here; jobs that it does not speak of
/// are put in.
///
/// # Errors
/// As [`solve`].
pub fn solve_near(
    problem: &Problem,
    hint: &[Placement],
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Answer, Failure> {
    solve::solve_near(problem, hint, settings, watch)
}

/// Takes one job out of a valid schedule and puts it back where it is best, using only the options
/// that `only` allows; all other work keeps its sequence.
///
/// `None` if the job cannot be put back that way.
#[must_use]
pub fn probe(
    problem: &Problem,
    schedule: &Schedule,
    job: JobIdx,
    aim: Aim,
    only: &dyn Fn(OptionIdx) -> bool,
) -> Option<Reinsertion> {
    probe::probe(problem, schedule, job, aim, only)
}
