//! Solves a scheduling problem: integer program, schedule builder, search and bound.
//!
//! # The way of a solve
//!
//! 1. `compiled` flattens the problem: numbers instead of names, 32-bit minutes, calendars that turn clock
//!    minutes into working minutes and back. What cannot be done even alone is left out (`compiled::alone`);
//!    if that leaves a job nothing, this is the proof that there is no schedule.
//! 2. `start` makes a first plan for each thread: dispatching with many settings, and for the first thread
//!    the advice of an integer program over routes, options and purchases (`model`).
//! 3. `race` divides the time between the search (`search`: one annealing for each thread) and the proof of
//!    a lower bound (`bound`). What either finds is told to the other, and to whoever waits, by `standing`: the
//!    proof's rules also find schedules, of small shops whole, of somewhat larger ones some jobs at a time.
//! 4. The best plan is written out as a schedule. Callers verify it; nothing here is trusted.
//!
//! # A plan is a list
//!
//! The search never handles times. It handles one list of operations, in which each stands behind the one
//! before it in its job, and for each job its route and for each operation its option. The times follow:
//! going through the list once, each operation is placed as early as the contract lets it stand, behind all
//! that its cell and its tools have taken so far, around pinned work, where its crews have a head left, its
//! setup ahead of its part where that helps (`plan::place`). So cells and tools take work strictly in the
//! order of the list, and only crews fill gaps, of which they see those that earlier operations left.
//! Placing is a function of what stands earlier in the list and of nothing else, and the next three things
//! rest on that.
//!
//! * **Redo what changed** (`plan::redo`). A change marks the operations that depend on what it touched: the
//!   next in the job, the next on the cell, the next user of each tool, whoever shares crew hours. Marked ones
//!   are placed again in list order; only where an operation's times really change are its own dependants
//!   marked. Most changes die out long before the end of the list.
//! * **Give up early.** The objective is kept up to date while times are found again. Once it exceeds what
//!   the annealing could accept by some temperatures, the rest is not looked at. For sums this is a guess
//!   (what is still marked could win it back), for the makespan it is exact, by the tails of `plan::tails`.
//! * **Undo by a log** (`plan::edit`). Every edit of the list and every changed time is logged; taking back
//!   goes through the log in reverse and costs as much as the change did. No plan is ever copied to try
//!   something.
//!
//! Work that does not fit inside the horizon runs into endless working time behind it and is fined by the
//! minute (`overrun_rate`), so that the search can repair what is not valid yet; `Plan::excess` counts these
//! minutes, and only a plan without any leaves the engine.
//!
//! Debug builds decode the whole list again after every kept change and compare times and objective
//! (`Plan::agrees_with_itself`): a wrong mark or a wrong undo is found by the first test that meets it.
//!
//! # The same answer again
//!
//! All chance comes from `dice`, with a stream for each thread. With [`Settings::iterations`] nothing depends
//! on the clock: rounds are counted in turns, islands exchange plans between rounds, and the bound follows the
//! search instead of running beside it.
//!
//! `search` explains the annealing and how to add a neighbourhood; `bound` argues each relaxation.

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
mod standing;
mod start;
mod watch;

pub use answer::{Aim, Answer, Failure, Reinsertion, SearchFigures, Settings};
pub use probe::{Prober, Terms};
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
/// `None` if the job cannot be put back that way. For many questions about one problem make a
/// [`Prober`] instead.
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
