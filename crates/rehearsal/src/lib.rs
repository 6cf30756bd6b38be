//! How sure is a schedule? It is carried out thousands of times by chance, and the finishes are
//! counted.
//!
//! * [`Uncertainty`] says what can go otherwise than planned: how long work takes, how late material
//!   and tools come, how often cells break down, how many pieces are spoilt.
//! * [`rehearse`] carries a verified schedule out as often as asked.
//! * An [`Outcome`] has the finishes of every job, and how often every cell ran out of time.
//!
//! # How a schedule is carried out
//! Nobody replans, and nobody knows what is still to come:
//! * Each cell does its lots in the published order; each tool goes to its users in theirs. An
//!   operation begins when its cell, its tools, its crew, the operation before it (with its lag) and
//!   its material are there and the cell is open. A cell is changed over as soon as it and the tools
//!   are free, be the part there or not, as the contract allows.
//! * With [`Turns::Kept`] that order is kept however late a lot is. With [`Turns::LostAfter`] a lot
//!   that cannot begin loses its turn, as a foreman would have it: the cell takes the next lot that
//!   is ready, a tool goes to a lot that is ready rather than wait for one that is overdue, and a cell
//!   is changed over ahead only from the published moment on, for parts not known to be late.
//! * Crews serve in the published order. Work that is not ready at its published time loses its turn
//!   to the next that is, and gets the next free head once it is ready. Work begun keeps its head: it
//!   stands still while its cell is closed or nobody of the crew is in the house.
//! * Changeovers are those of the published schedule, with the spread given; once a lot has lost its
//!   turn, those of the cell's table, remounting included (of tools with one piece).
//! * A breakdown comes while a cell runs and costs working time of the cell; spoilt pieces beyond
//!   the spare ones are made again at once.
//! * After the horizon every cell and crew goes on as in the last week before it.
//!
//! Where nothing is uncertain, every operation therefore ends no later than published.
//!
//! # Chance
//! Each run draws from streams of its own, one for each job, so that the outcome depends on the
//! seed and the number of runs, never on the number of threads, and two schedules of one problem
//! meet the same luck.
//!
//! This crate knows no tubes, files or clocks.

mod calendar;
mod chance;
mod crew;
mod draws;
mod outcome;
mod run;
mod script;
mod uncertainty;

pub use outcome::{CellOutcome, Finishes, Outcome};
pub use uncertainty::{Breakdown, Delay, Scrap, Shape, Spread, Turns, Uncertainty, WorkChance};

use elbowroom_problem::Problem;
use elbowroom_units::Minute;
use elbowroom_verify::VerifiedSchedule;
use run::Run;
use script::Script;
use std::ops::Range;

/// How often, from which seed, and what to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Number of runs; at least 1.
    pub runs: u32,
    /// Start of the pseudo-random numbers.
    pub seed: u64,
    /// What a cell does while the lot whose turn it is cannot begin.
    pub turns: Turns,
    /// Threads, at least 1; they change nothing but the time it takes.
    pub threads: usize,
    /// Moments at which it is looked whether each cell has done what was to be done by then.
    pub marks: Vec<Minute>,
}

/// Carries a schedule out as often as asked.
///
/// # Panics
/// If `uncertainty` was made for another problem or schedule.
#[must_use]
pub fn rehearse(
    problem: &Problem,
    schedule: &VerifiedSchedule,
    uncertainty: &Uncertainty,
    settings: &Settings,
) -> Outcome {
    rehearse_while(problem, schedule, uncertainty, settings, &|| true)
}

/// As [`rehearse`], with fewer runs if `goes_on` turns false before all are done: a clock or a
/// person that the caller looks at. Each thread does a few runs in any case.
///
/// # Panics
/// As [`rehearse`].
#[must_use]
pub fn rehearse_while(
    problem: &Problem,
    schedule: &VerifiedSchedule,
    uncertainty: &Uncertainty,
    settings: &Settings,
    goes_on: &(dyn Fn() -> bool + Sync),
) -> Outcome {
    let script = Script::new(problem, schedule, uncertainty, &settings.marks);
    let runs = settings.runs.max(1) as usize;
    let threads = settings.threads.clamp(1, runs);
    let share = runs.div_ceil(threads);
    let shares = (0..runs).step_by(share).map(|first| first..(first + share).min(runs));
    let parts: Vec<Tally> = std::thread::scope(|scope| {
        let start = |part| scope.spawn(|| some_runs(&script, settings, part, goes_on));
        let threads: Vec<_> = shares.map(start).collect();
        threads.into_iter().map(|thread| thread.join().expect("a run does not panic")).collect()
    });
    Outcome::new(&script, &parts)
}

/// Runs that each thread does in any case, where it is given so many.
const LEAST_RUNS: usize = 25;

/// The runs of one thread.
fn some_runs(
    script: &Script,
    settings: &Settings,
    runs: Range<usize>,
    goes_on: &(dyn Fn() -> bool + Sync),
) -> Tally {
    let mut run = Run::new(script, settings.turns);
    let mut tally = Tally { runs: 0, finishes: Vec::new(), missed: vec![0; script.marks.len()] };
    for number in runs {
        if tally.runs >= LEAST_RUNS && !goes_on() {
            break;
        }
        tally.runs += 1;
        run.carry_out(settings.seed, number as u64);
        tally.finishes.extend(run.finishes());
        run.count_missed(&mut tally.missed);
    }
    tally
}

/// What came of some runs.
struct Tally {
    runs: usize,
    /// By run, then by job: minutes.
    finishes: Vec<i64>,
    /// By mark: in how many runs it was missed.
    missed: Vec<u32>,
}
