//! A plan under search: one list of operations, and the times that follow from it.
//!
//! The list holds every operation of every chosen route (pinned work stands outside it), each
//! after its predecessor in its job. Times are a function of the list and of the chosen options:
//! operation by operation, each is placed as early as the contract allows
//!
//! * behind the operation before it on its cell, and before or behind the pinned work there;
//! * behind the operations before it on its tools;
//! * where its crews have heads left over by the operations before it in the list;
//! * with its run behind its predecessor's end and lag; its setup may be done ahead.
//!
//! So cells and tools take work strictly in list order, while crews fill gaps. A change to the
//! list ([`edit`]) marks what depends on it, and [`redo`] places again, in list order, what is
//! marked, marking what depends on every operation whose times changed. Everything is logged until
//! the caller keeps the change or takes it back.

mod bits;
mod book;
mod build;
mod crews;
mod edit;
mod export;
mod links;
mod overtake;
mod place;
mod redo;
mod room;
mod seek;
mod sort;
mod tails;
mod tools;

use crate::compiled::{Compiled, NONE, Time};
use bits::Bits;
use book::{Book, Use};
use edit::Edit;
use elbowroom_problem::Objective;
pub(crate) use export::{Choice, name};
pub(crate) use redo::Limit;

/// The operation is the first of its job.
const FIRST: u32 = 1;
/// The operation is the last of its job's route.
const LAST: u32 = 2;
/// It has no times yet, and adds nothing to the objective.
const FRESH: u32 = 4;
/// It is pinned.
const PINNED: u32 = 8;
/// It holds tools.
const TOOLS: u32 = 16;
/// It needs a crew.
const CREWS: u32 = 32;
/// It holds a tool of several pieces, or one that pinned work holds too.
const IRREGULAR: u32 = 64;

/// When an operation happens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Times {
    pub(crate) start: Time,
    pub(crate) run_start: Time,
    pub(crate) end: Time,
    /// Working minutes of setup.
    pub(crate) setup: Time,
}

/// An operation of a chosen route with its option and times: one cache line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slot {
    pub(crate) option: u32,
    pub(crate) cell: u32,
    pub(crate) key: u32,
    /// Place in the list; 0 outside it.
    pub(crate) pos: u32,
    cell_prev: u32,
    cell_next: u32,
    pub(crate) times: Times,
    /// Release of the job, or lag after the operation before.
    before: Time,
    run: Time,
    usable: Time,
    calendar: u32,
    deadline: Time,
    flags: u32,
}

const EMPTY: Slot = Slot {
    option: NONE,
    cell: NONE,
    key: 0,
    pos: 0,
    cell_prev: NONE,
    cell_next: NONE,
    times: Times { start: 0, run_start: 0, end: 0, setup: 0 },
    before: 0,
    run: 0,
    usable: 0,
    calendar: 0,
    deadline: 0,
    flags: FRESH,
};

/// Neighbours in the chain of a tool's users. Links are numbered `slot * most_tools + place`.
#[derive(Clone, Copy, Debug)]
struct Link {
    prev: u32,
    next: u32,
}

/// A plan; see the module's documentation.
#[derive(Clone)]
pub(crate) struct Plan<'a> {
    c: &'a Compiled,
    /// Slots in order, with holes; position 0 is never used.
    list: Vec<u32>,
    slots: Vec<Slot>,
    uses: Vec<[Use; 2]>,
    links: Vec<Link>,
    /// Last user of each tool in the list.
    tool_last: Vec<u32>,
    /// Last operation of each cell in the list.
    cell_last: Vec<u32>,
    books: Vec<Book>,
    /// Users of each tool in the list.
    tool_users: Vec<u32>,
    /// Route of each job, in [`Compiled::routes`].
    route: Vec<u32>,
    cost: f64,
    excess: u64,
    makespan: Time,
    /// What must follow each operation, where the makespan counts; see [`tails`].
    tails: Vec<Time>,
    /// Operations in the list.
    length: usize,
    // What follows serves one change at a time.
    pending: Vec<u32>,
    dirty: Bits,
    edits: Vec<Edit>,
    saved_links: Vec<Link>,
    times_log: Vec<(u32, Times, [Use; 2])>,
    before_change: (f64, u64, Time),
    scratch: Vec<(Time, Time)>,
}

impl<'a> Plan<'a> {
    /// What the plan is about.
    pub(crate) fn compiled(&self) -> &'a Compiled {
        self.c
    }

    /// The objective, plus the penalty for work that is too late to be valid.
    #[inline]
    pub(crate) fn cost(&self) -> f64 {
        match self.c.objective {
            Objective::Makespan => self.cost + f64::from(self.makespan),
            Objective::Cost | Objective::Tardiness => self.cost,
        }
    }

    /// The objective before the change under way.
    #[inline]
    pub(crate) fn cost_before(&self) -> f64 {
        match self.c.objective {
            Objective::Makespan => self.before_change.0 + f64::from(self.before_change.2),
            Objective::Cost | Objective::Tardiness => self.before_change.0,
        }
    }

    /// Minutes by which work is too late for the horizon or for pinned work; a plan without any is
    /// valid.
    #[inline]
    pub(crate) fn excess(&self) -> u64 {
        self.excess
    }

    #[inline]
    pub(crate) fn slot(&self, slot: u32) -> &Slot {
        &self.slots[slot as usize]
    }

    #[inline]
    pub(crate) fn route(&self, job: u32) -> u32 {
        self.route[job as usize]
    }

    /// The slots of a job's chosen route.
    #[inline]
    pub(crate) fn slots_of(&self, job: u32) -> std::ops::Range<u32> {
        let first = self.c.jobs[job as usize].first_slot;
        let ops = &self.c.routes[self.route[job as usize] as usize].ops;
        first..first + (ops.end - ops.start)
    }

    #[inline]
    pub(crate) fn job_of(&self, slot: u32) -> u32 {
        self.c.slot_job[slot as usize]
    }

    /// What all operations add to the objective besides the fixed costs of routes, options and purchases:
    /// changeovers, lateness, overrun. Never negative.
    pub(crate) fn variable_cost(&self) -> f64 {
        let slots = (0..self.c.jobs.len() as u32).flat_map(|job| self.slots_of(job));
        slots.filter(|&x| self.slots[x as usize].option != NONE).map(|x| self.contribution(x)).sum()
    }

    /// The same of one operation.
    pub(crate) fn variable_cost_of(&self, x: u32) -> f64 {
        self.contribution(x)
    }

    /// When a job ends.
    #[inline]
    pub(crate) fn job_end(&self, job: u32) -> Time {
        self.slots[self.slots_of(job).end as usize - 1].times.end
    }

    /// The list's slots in order, the holes left out.
    pub(crate) fn in_order(&self) -> impl DoubleEndedIterator<Item = u32> + '_ {
        self.list.iter().copied().filter(|&slot| slot != NONE)
    }

    /// One more than the largest position in use or free.
    pub(crate) fn positions(&self) -> u32 {
        self.list.len() as u32
    }

    /// The slot at a position, or [`NONE`] for a hole.
    #[inline]
    pub(crate) fn at(&self, pos: u32) -> u32 {
        self.list[pos as usize]
    }

    /// The operation before one in its job.
    #[inline]
    pub(crate) fn pred(&self, x: u32) -> Option<u32> {
        (!self.slots[x as usize].is(FIRST)).then(|| x - 1)
    }

    /// The operation after one in its job, if it is in the list.
    #[inline]
    pub(crate) fn next(&self, x: u32) -> Option<u32> {
        self.follower_in_job(x)
    }

    /// The last operation of a cell in the list, or [`NONE`].
    #[inline]
    pub(crate) fn last_on(&self, cell: u32) -> u32 {
        self.cell_last[cell as usize]
    }

    /// A job that ends last, the first one from job `from` on, going round.
    pub(crate) fn last_job(&self, from: u32) -> Option<u32> {
        let jobs = self.c.jobs.len() as u32;
        (from..jobs).chain(0..from).find(|&job| self.job_end(job) == self.makespan)
    }

    /// Number of operations in the list.
    pub(crate) fn length(&self) -> usize {
        self.length
    }

    /// Jobs that end after their due date.
    pub(crate) fn late_jobs(&self) -> usize {
        (0..self.c.jobs.len()).filter(|&j| i64::from(self.job_end(j as u32)) > self.c.jobs[j].due).count()
    }

    /// How many operations in the list use a tool.
    pub(crate) fn users(&self, tool: u32) -> u32 {
        self.tool_users[tool as usize]
    }

    #[inline]
    fn link(&self, slot: u32, place: usize) -> usize {
        slot as usize * self.c.most_tools + place
    }

    /// The slot that a link belongs to.
    #[inline]
    fn owner(&self, link: u32) -> u32 {
        link / self.c.most_tools as u32
    }
}

impl Slot {
    #[inline]
    fn is(&self, flag: u32) -> bool {
        self.flags & flag != 0
    }

    pub(crate) fn pinned(&self) -> bool {
        self.is(PINNED)
    }

    /// Working minutes of its run.
    pub(crate) fn run(&self) -> Time {
        self.run
    }

    /// Release of the job, or lag after the operation before.
    pub(crate) fn before(&self) -> Time {
        self.before
    }

    /// Before it on its cell, in the list.
    pub(crate) fn cell_prev(&self) -> u32 {
        self.cell_prev
    }

    pub(crate) fn cell_next(&self) -> u32 {
        self.cell_next
    }
}
