//! Problems in which only cells and the order of jobs bind.

use crate::compiled::{Changeovers, Compiled, LATEST, NONE, Op, Time};
use elbowroom_problem::Objective;
use std::ops::Range;

/// A way of doing an operation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    pub(super) cell: u32,
    pub(super) key: u32,
    pub(super) run: Time,
    /// Its number in the compiled problem.
    pub(super) option: u32,
}

/// An operation.
#[derive(Clone, Debug)]
pub(super) struct Operation {
    /// Release of the job, or lag after the operation before it.
    pub(super) before: Time,
    pub(super) is_first: bool,
    pub(super) is_last: bool,
    /// Its ways, in [`Machines::choices`].
    pub(super) choices: Range<u32>,
}

/// A problem in which only cells and the order of jobs bind. Operations have the slots' numbers.
#[derive(Clone, Debug)]
pub(super) struct Machines {
    pub(super) operations: Vec<Operation>,
    pub(super) choices: Vec<Choice>,
    pub(super) change: Vec<Changeovers>,
    /// What is mounted on each cell at the beginning.
    pub(super) initial: Vec<u32>,
    /// Whether any cell has changeovers.
    pub(super) has_setups: bool,
}

/// All there is to do, one after the other and each in its longest way: no sum of minutes exceeds it.
fn all_one_after_the_other(c: &Compiled) -> u64 {
    let longest = |op: &Op| op.options.clone().map(|at| c.options[at as usize].run).max().unwrap_or(0);
    let changeover = c.cells.iter().map(|cell| cell.change.longest()).max().unwrap_or(0);
    let work = c.ops.iter().map(|op| u64::from(longest(op)) + u64::from(op.lag) + u64::from(changeover));
    work.sum::<u64>() + c.jobs.iter().map(|job| u64::from(job.release)).sum::<u64>()
}

impl Machines {
    /// The problem, if it is of this kind.
    pub(super) fn of(c: &Compiled) -> Option<Self> {
        let alike = c.objective == Objective::Makespan
            && c.slots() > 0
            && c.jobs.iter().all(|job| job.routes.len() == 1)
            && c.ops.iter().all(|op| op.pinned.is_none())
            && c.options.iter().all(|choice| {
                choice.cell != NONE
                    && choice.run > 0
                    && choice.tools.is_empty()
                    && choice.usable == 0
                    && choice.setup_crew == NONE
                    && choice.run_crew == NONE
                    && c.calendar(choice.cell).is_always_open()
            });
        (alike && all_one_after_the_other(c) <= u64::from(LATEST)).then(|| Self::strip(c))
    }

    fn strip(c: &Compiled) -> Self {
        let mut operations = Vec::with_capacity(c.slots());
        let mut choices = Vec::with_capacity(c.options.len());
        for job in &c.jobs {
            let ops = &c.routes[job.routes.start as usize].ops;
            let mut before = job.release;
            for at in ops.clone() {
                let op = &c.ops[at as usize];
                let first = choices.len() as u32;
                choices.extend(op.options.clone().map(|option| {
                    let choice = &c.options[option as usize];
                    Choice { cell: choice.cell, key: choice.key, run: choice.run, option }
                }));
                operations.push(Operation {
                    before,
                    is_first: at == ops.start,
                    is_last: at + 1 == ops.end,
                    choices: first..choices.len() as u32,
                });
                before = op.lag;
            }
        }
        Self {
            operations,
            choices,
            has_setups: c.cells.iter().any(|cell| cell.change.exist),
            change: c.cells.iter().map(|cell| cell.change.clone()).collect(),
            initial: c.cells.iter().map(|cell| cell.initial).collect(),
        }
    }
}
