use elbowroom_problem::{JobIdx, Schedule, ToolIdx};
use elbowroom_units::Minute;

/// How to search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Threads, at least 1. More threads give another answer, not only a faster one.
    pub threads: usize,
    /// Start of the pseudo-random numbers.
    pub seed: u64,
    /// Schedules that each thread may look at. With it the answer depends on the problem, the
    /// settings and nothing else, as long as the clock does not stop the solve before.
    pub iterations: Option<u64>,
}

/// A valid schedule and what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The schedule, with its objective and, where one is proved, its lower bound.
    pub schedule: Schedule,
    /// What the search did.
    pub figures: SearchFigures,
}

/// What a search did, for benchmarks and curiosity.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SearchFigures {
    /// Schedules looked at, by all threads.
    pub evaluations: u64,
    /// Objective of the first valid schedule.
    pub first_objective: Option<f64>,
    /// Seconds until the first valid schedule was there.
    pub first_seconds: f64,
    /// Seconds until the returned schedule was found.
    pub best_seconds: f64,
}

/// Why there is no schedule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Failure {
    /// It is proved that there is none.
    Impossible {
        /// The job that cannot be finished.
        job: JobIdx,
        /// The proof in plain words.
        why: String,
    },
    /// None was found in the time given; there may be one.
    NoneFound {
        /// A job that stood in the way, where one can be named.
        job: Option<JobIdx>,
        /// What was tried, in plain words.
        why: String,
    },
}

/// What a job that is taken out of a schedule and put back is to gain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The least objective of the whole schedule.
    Cheapest,
    /// The earliest finish of the job itself.
    Earliest,
}

/// A schedule with one job put back.
#[derive(Clone, Debug, PartialEq)]
pub struct Reinsertion {
    /// When the job is finished.
    pub finish: Minute,
    /// Objective of the whole schedule.
    pub objective: f64,
    /// Tools that the schedule buys, the committed ones not among them.
    pub purchases: Vec<ToolIdx>,
    /// The whole schedule; it is valid, and has no lower bound.
    pub schedule: Schedule,
}
