//! What can go otherwise than planned.

use elbowroom_problem::{JobIdx, Problem, Schedule};
use elbowroom_units::Minutes;

/// The shape of a spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Products of many small influences: usual for work by hand and machine.
    Lognormal,
    /// With a coefficient of variation of 1 the exponential distribution, which queueing formulas
    /// are made for.
    Gamma,
}

/// A factor on a planned time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Its distribution.
    pub shape: Shape,
    /// Its mean: 1 where planned times are right on average. Positive.
    pub mean: f64,
    /// Its standard deviation over its mean; 0 or more, 0 for no spread.
    pub cv: f64,
}

impl Spread {
    /// As planned.
    pub const NONE: Self = Self { shape: Shape::Lognormal, mean: 1.0, cv: 0.0 };

    /// Right on average, lognormal, with a coefficient of variation.
    #[must_use]
    pub const fn lognormal(cv: f64) -> Self {
        Self { cv, ..Self::NONE }
    }
}

/// What a cell does while the lot whose turn it is cannot begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turns {
    /// It waits, however long: the published order is kept to the letter.
    Kept,
    /// When it has stood idle for so much of its working time after the lot's published start, it
    /// takes the next lot in the published order that is ready; and it is not changed over for a lot
    /// whose part is known to be late.
    LostAfter(Minutes),
}

/// Something that comes later than announced, now and then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delay {
    /// How probable it is to be late; 0 to 1.
    pub probability: f64,
    /// How late it is on average when it is late; exponential.
    pub mean: Minutes,
}

impl Delay {
    /// Always there when announced.
    pub const NEVER: Self = Self { probability: 0.0, mean: Minutes::ZERO };
}

/// Breakdowns of a cell while it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breakdown {
    /// Mean working time between failures; exponential, counted while running. More than 0.
    pub between: Minutes,
    /// Mean repair, in working time of the cell; lognormal.
    pub repair: Minutes,
    /// Coefficient of variation of a repair.
    pub repair_cv: f64,
}

/// Spoilt pieces that have to be made again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scrap {
    /// Pieces that the planned run makes.
    pub pieces: u32,
    /// So many of them can be spoilt without harm.
    pub spare: u32,
    /// How probable it is for a piece to be spoilt; 0 to less than 1.
    pub share: f64,
}

/// What is uncertain about one operation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkChance {
    /// Factor on the changeover.
    pub setup: Spread,
    /// Factor on the run, or on the time outside.
    pub run: Spread,
    /// Spoilt pieces; `None`: none, or not counted in pieces.
    pub scrap: Option<Scrap>,
}

impl WorkChance {
    /// As planned.
    pub const NONE: Self = Self { setup: Spread::NONE, run: Spread::NONE, scrap: None };
}

/// Everything that is uncertain about one schedule of a problem.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// By operation, in the order of the schedule's list.
    pub work: Vec<WorkChance>,
    /// By job: how late its material comes after its release.
    pub releases: Vec<Delay>,
    /// By job: the job that it goes on from, which the problem only knows as its release. What
    /// ends later or earlier there moves the release. No job may go on from itself by way of others.
    pub follows: Vec<Option<JobIdx>>,
    /// By tool: how late it is usable after it was to be.
    pub tools: Vec<Delay>,
    /// By cell; `None`: it never breaks down.
    pub cells: Vec<Option<Breakdown>>,
}

impl Uncertainty {
    /// Everything as planned: the ground on which to enter what is uncertain.
    #[must_use]
    pub fn none(problem: &Problem, schedule: &Schedule) -> Self {
        Self {
            work: vec![WorkChance::NONE; schedule.operations.len()],
            releases: vec![Delay::NEVER; problem.jobs.len()],
            follows: vec![None; problem.jobs.len()],
            tools: vec![Delay::NEVER; problem.tools.len()],
            cells: vec![None; problem.cells.len()],
        }
    }
}
