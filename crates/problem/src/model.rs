use crate::check::{self, Fault};
use crate::index::{CellIdx, CrewIdx, JobIdx, OptionIdx, ToolIdx};
use crate::pairs::Pairs;
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use std::ops::Deref;

/// What a schedule is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Objective {
    /// Money: lateness, routes, options, running, changing over, purchases.
    Cost,
    /// The latest end, in minutes; money is ignored.
    Makespan,
    /// Sum over jobs of the integer weight [`Job::late_cost_per_day`] times the lateness in minutes.
    Tardiness,
}

/// A half-open interval `[start, end)` of minutes; not empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// First minute inside.
    pub start: Minute,
    /// First minute after.
    pub end: Minute,
}

/// The parts of a problem, before anyone has checked that they fit together.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// Free text.
    pub name: String,
    /// What a schedule is judged by.
    pub objective: Objective,
    /// No operation may end after it.
    pub horizon: Minute,
    /// Where operations run.
    pub cells: Vec<Cell>,
    /// What operations hold while they occupy a cell.
    pub tools: Vec<Tool>,
    /// People with limited heads, needed during setups or runs.
    pub crews: Vec<Crew>,
    /// What has to be made.
    pub jobs: Vec<Job>,
    /// Work that stands exactly where it is.
    pub pinned: Vec<Pinned>,
    /// Tools with an offer that are ordered already: free, and usable from their lead.
    pub committed_purchases: Vec<ToolIdx>,
}

/// A machine or work place that does one operation at a time.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Name, unique among cells.
    pub id: String,
    /// Working time: sorted, disjoint, not touching. Work stands still outside it.
    pub windows: Vec<Window>,
    /// Money for a working minute of running.
    pub run_rate: RatePerMinute,
    /// Money for a working minute of changing over.
    pub setup_rate: RatePerMinute,
    /// The setup key mounted at minute 0.
    pub initial_setup: Option<String>,
    /// How long changing over takes; `None`: never any time, and no remounting either.
    pub changeover: Option<Changeover>,
}

/// Working minutes from one setup key to the next on a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changeover {
    /// Where no pair says otherwise, from nothing mounted, and at least this after a tool that
    /// stood mounted was taken away (remounting).
    pub default: Minutes,
    /// Where the two keys are equal.
    pub same: Minutes,
    /// `(from, to, minutes)`, directed; the first match counts; equal keys never look here.
    pub pairs: Pairs,
}

/// A thing that operations hold, in one or several equal pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Name, unique among tools.
    pub id: String,
    /// How many equal pieces there are, or would come with one purchase; at least 1.
    pub count: u32,
    /// Since when, or at which price.
    pub availability: Availability,
}

/// How a tool can be had.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Availability {
    /// Owned or on order: usable from this minute.
    From(Minute),
    /// Not owned: one purchase costs `price` and makes it usable from minute `lead`.
    Offer {
        /// Money for the purchase.
        price: Money,
        /// First usable minute.
        lead: Minute,
    },
}

/// People who share work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crew {
    /// Name, unique among crews.
    pub id: String,
    /// Heads by time: sorted, disjoint (touching is fine); nobody outside.
    pub capacity: Vec<HeadCount>,
}

/// So many heads during a half-open interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeadCount {
    /// When.
    pub window: Window,
    /// How many.
    pub heads: u32,
}

/// Something to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Name, unique among jobs.
    pub id: String,
    /// No operation runs before it; not negative.
    pub release: Minute,
    /// Lateness counts from here; may be negative (overdue at minute 0).
    pub due: Minute,
    /// Money for 1,440 minutes of lateness; for [`Objective::Tardiness`] an integer weight of one.
    pub late_cost_per_day: Money,
    /// Ways of making it; exactly one is chosen.
    pub routes: Vec<Route>,
}

/// One way of making a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Name, unique in its job.
    pub id: String,
    /// Fixed money for choosing it.
    pub cost: Money,
    /// In their order, each runs only after the one before has ended and its lag has passed.
    pub operations: Vec<Operation>,
}

/// One step of a route.
#[derive(Clone, Debug, PartialEq)]
pub struct Operation {
    /// Name, unique in its route.
    pub id: String,
    /// Wall-clock minutes from its end to the earliest run of the next operation.
    pub lag_after: Minutes,
    /// Ways of doing it; exactly one is chosen.
    pub options: Vec<Work>,
}

/// One option of an operation.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Where and with what.
    pub place: Place,
    /// Working minutes on a cell (at least 1); wall-clock minutes outside (at least 0).
    pub run: Minutes,
    /// Fixed money for choosing it.
    pub cost: Money,
}

/// Where an option is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// Outside, or where there is no limit: no setup, no tools, no crew.
    Outside,
    /// On a cell.
    Cell(CellWork),
}

/// What an option needs on its cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellWork {
    /// The cell.
    pub cell: CellIdx,
    /// What has to be mounted; not empty.
    pub setup_key: String,
    /// One piece of each is held from the setup's start to the run's end; no tool twice.
    pub tools: Vec<ToolIdx>,
    /// One head is needed in every working minute of the setup.
    pub setup_crew: Option<CrewIdx>,
    /// One head is needed in every working minute of the run.
    pub run_crew: Option<CrewIdx>,
}

/// Work under way or frozen: exactly this option at exactly these times.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pinned {
    /// Which option of which job; it fixes the job's route.
    pub option: OptionIdx,
    /// When the setup begins.
    pub setup_start: Minute,
    /// When the run begins.
    pub run_start: Minute,
    /// When the cell is free again.
    pub end: Minute,
}

/// A problem whose references, intervals and numbers have been checked.
///
/// It is read through its [`Parts`].
#[derive(Clone, Debug, PartialEq)]
pub struct Problem(Parts);

impl Problem {
    /// Checks the parts.
    ///
    /// # Errors
    /// Every fault found, each with its place.
    pub fn new(parts: Parts) -> Result<Self, Vec<Fault>> {
        let faults = check::faults(&parts);
        if faults.is_empty() { Ok(Self(parts)) } else { Err(faults) }
    }

    /// The parts, to be changed and checked again.
    #[must_use]
    pub fn into_parts(self) -> Parts {
        self.0
    }

    /// The job at an index of this problem.
    #[must_use]
    pub fn job(&self, job: JobIdx) -> &Job {
        &self.0.jobs[job.get()]
    }

    /// The cell at an index of this problem.
    #[must_use]
    pub fn cell(&self, cell: CellIdx) -> &Cell {
        &self.0.cells[cell.get()]
    }

    /// The tool at an index of this problem.
    #[must_use]
    pub fn tool(&self, tool: ToolIdx) -> &Tool {
        &self.0.tools[tool.get()]
    }

    /// The crew at an index of this problem.
    #[must_use]
    pub fn crew(&self, crew: CrewIdx) -> &Crew {
        &self.0.crews[crew.get()]
    }

    /// The option at an index of this problem.
    #[must_use]
    pub fn option(&self, at: OptionIdx) -> &Work {
        &self.operation(at).options[at.option]
    }

    /// The operation that an option of this problem belongs to.
    #[must_use]
    pub fn operation(&self, at: OptionIdx) -> &Operation {
        &self.job(at.job).routes[at.route].operations[at.operation]
    }
}

impl Deref for Problem {
    type Target = Parts;
    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl Work {
    /// The work on a cell, if it is done on one.
    #[must_use]
    pub fn on_cell(&self) -> Option<&CellWork> {
        match &self.place {
            Place::Cell(work) => Some(work),
            Place::Outside => None,
        }
    }
}
