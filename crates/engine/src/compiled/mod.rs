//! The problem as the search reads it: flat lists, numbers instead of names, 32-bit minutes.
//!
//! Every operation of a job's routes is an [`Op`]; a job owns as many *slots* as its longest route
//! has operations, and the operation that a slot stands for follows from the job's chosen route.
//! Routes that pinned work excludes are left out, and so are options and routes that cannot be
//! finished inside the horizon even by a job that has the whole shop to itself
//! ([`alone`]); if that leaves a job nothing, the problem is impossible.

pub(crate) mod alone;
pub(crate) mod calendar;
pub(crate) mod changeover;
mod compile;
pub(crate) mod heads;
mod reason;

pub(crate) use calendar::{Calendar, LATEST, Time};
pub(crate) use changeover::Changeovers;
pub(crate) use compile::compile;
pub(crate) use heads::Heads;

use elbowroom_problem::Objective;
use std::ops::Range;

/// No such thing, in a field that otherwise holds a position.
pub(crate) const NONE: u32 = u32::MAX;

/// A problem, flat.
#[derive(Clone, Debug)]
pub(crate) struct Compiled {
    pub(crate) objective: Objective,
    pub(crate) horizon: Time,
    pub(crate) calendars: Vec<Calendar>,
    pub(crate) cells: Vec<Cell>,
    pub(crate) tools: Vec<Tool>,
    pub(crate) crews: Vec<Crew>,
    pub(crate) jobs: Vec<Job>,
    pub(crate) routes: Vec<Route>,
    pub(crate) ops: Vec<Op>,
    pub(crate) options: Vec<Choice>,
    /// Tools of all options; an option names its range.
    pub(crate) held: Vec<u32>,
    /// Job of each slot.
    pub(crate) slot_job: Vec<u32>,
    /// Most tools of any option, at least 1.
    pub(crate) most_tools: usize,
    /// Objective for each minute by which work is too late for the horizon or for pinned work.
    pub(crate) overrun_rate: f64,
}

/// A cell.
#[derive(Clone, Debug)]
pub(crate) struct Cell {
    pub(crate) calendar: u32,
    pub(crate) change: Changeovers,
    pub(crate) initial: u32,
    pub(crate) setup_rate: f64,
    /// Slots of the pinned work on it, in order of time.
    pub(crate) pins: Vec<u32>,
    /// When the last of them ends, 0 without any.
    pub(crate) pinned_until: Time,
}

/// A tool.
#[derive(Clone, Debug)]
pub(crate) struct Tool {
    pub(crate) count: u32,
    /// Objective of buying it; 0 where it is owned or committed.
    pub(crate) price: f64,
    /// Whether it must be bought to be used.
    pub(crate) to_buy: bool,
    /// Slots of the pinned work that holds it, in order of time.
    pub(crate) pins: Vec<u32>,
    pub(crate) pinned_until: Time,
}

/// A crew.
#[derive(Clone, Debug)]
pub(crate) struct Crew {
    pub(crate) heads: Heads,
    /// Two to this power is the width, in minutes, of the slices of its book.
    pub(crate) slice_shift: u32,
    pub(crate) slices: usize,
}

/// A job.
#[derive(Clone, Debug)]
pub(crate) struct Job {
    pub(crate) release: Time,
    pub(crate) due: i64,
    /// Objective for each minute of lateness.
    pub(crate) weight: f64,
    /// Its routes in [`Compiled::routes`]; at least one.
    pub(crate) routes: Range<u32>,
    pub(crate) first_slot: u32,
}

/// A route.
#[derive(Clone, Debug)]
pub(crate) struct Route {
    pub(crate) cost: f64,
    /// Its operations in [`Compiled::ops`]; at least one.
    pub(crate) ops: Range<u32>,
    /// Position in the problem's list.
    pub(crate) number: u32,
}

/// An operation of a route.
#[derive(Clone, Debug)]
pub(crate) struct Op {
    pub(crate) lag: Time,
    /// Its options in [`Compiled::options`]; at least one.
    pub(crate) options: Range<u32>,
    pub(crate) pinned: Option<Pin>,
    /// It must end by then: the horizon, or what pinned work after it asks for.
    pub(crate) deadline: Time,
}

/// Times of pinned work.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pin {
    pub(crate) start: Time,
    pub(crate) run_start: Time,
    pub(crate) end: Time,
}

/// An option.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    /// [`NONE`] outside.
    pub(crate) cell: u32,
    pub(crate) key: u32,
    pub(crate) run: Time,
    /// Option and running cost.
    pub(crate) cost: f64,
    /// Its tools in [`Compiled::held`].
    pub(crate) tools: Range<u32>,
    /// All its tools are usable from then on.
    pub(crate) usable: Time,
    /// [`NONE`] without one.
    pub(crate) setup_crew: u32,
    pub(crate) run_crew: u32,
    /// Position in the problem's list.
    pub(crate) number: u32,
}

impl Compiled {
    pub(crate) fn slots(&self) -> usize {
        self.slot_job.len()
    }

    /// The operation that the `k`-th slot of a job stands for on a route.
    #[inline]
    pub(crate) fn op(&self, route: u32, k: u32) -> &Op {
        &self.ops[(self.routes[route as usize].ops.start + k) as usize]
    }

    #[inline]
    pub(crate) fn calendar(&self, cell: u32) -> &Calendar {
        &self.calendars[self.cells[cell as usize].calendar as usize]
    }

    #[inline]
    pub(crate) fn tools_of(&self, option: u32) -> &[u32] {
        let range = &self.options[option as usize].tools;
        &self.held[range.start as usize..range.end as usize]
    }

    /// Whether two options are the same piece of work, perhaps on different routes.
    pub(crate) fn same_work(&self, a: u32, b: u32) -> bool {
        let (x, y) = (&self.options[a as usize], &self.options[b as usize]);
        (x.cell, x.key, x.run) == (y.cell, y.key, y.run) && self.tools_of(a) == self.tools_of(b)
    }

    /// What a job's end costs; for the makespan nothing here, it is a maximum and no sum.
    #[inline]
    pub(crate) fn lateness_cost(&self, job: u32, end: Time) -> f64 {
        let job = &self.jobs[job as usize];
        let late = (i64::from(end) - job.due).max(0);
        job.weight * late as f64
    }
}
