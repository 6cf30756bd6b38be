//! The problem as the relaxation needs it: per job the steps of its routes, per cell the working
//! time, the pinned blocks and the setup families.

mod build;
mod families;
mod offers;
mod shared;

use super::axis::WorkTime;
use super::changeover::Keys;
use build::Builder;
use elbowroom_problem::Problem;
pub(crate) use shared::{Hours, Needs};
use std::rc::Rc;

/// The whole problem, made ready.
#[derive(Clone, Debug)]
pub(crate) struct Shop {
    /// No work ends after this minute.
    pub(crate) horizon: i64,
    /// As in the problem.
    pub(crate) cells: Vec<CellData>,
    /// As in the problem.
    pub(crate) tasks: Vec<Task>,
    /// One for each operation, cell and family level where two operations can share a setup.
    pub(crate) links: Vec<Link>,
    /// Offers that nobody has ordered yet.
    pub(crate) offers: Vec<Offer>,
    /// The offer of each [`Choice::offers`] entry.
    pub(crate) offer_links: Vec<usize>,
    /// Prices of the offers that are taken whatever happens.
    pub(crate) sunk: f64,
    /// The setup keys of each cell.
    pub(crate) keys: Rc<Vec<Keys>>,
    /// The hours of each crew.
    pub(crate) hours: Rc<Vec<Hours>>,
}

/// One cell.
#[derive(Clone, Debug)]
pub(crate) struct CellData {
    pub(crate) time: WorkTime,
    /// Positions `[a, b)` of working time that pinned work holds, sorted.
    pub(crate) blocks: Vec<(i64, i64)>,
    /// Whether work is pinned to a moment of no length: it may mount its key in the middle of other work.
    pub(crate) has_momentary: bool,
    /// Money for a minute of changing over, zero where the objective is not money.
    pub(crate) setup_rate: f64,
    /// Setup families by level; levels without families to share are left out.
    pub(crate) levels: Vec<FamilyLevel>,
}

/// Families of setup keys at one level, those that several operations can share.
#[derive(Clone, Debug)]
pub(crate) struct FamilyLevel {
    /// Entering a family from another takes at least this.
    pub(crate) minutes: i64,
    /// What levels below charge of that.
    pub(crate) below: i64,
    /// Minutes that entering each family costs beyond the levels below and the least entries.
    pub(crate) extra: Vec<i64>,
    /// Setups that end with a run at position `w` lie within this many minutes before it.
    pub(crate) reach: i64,
    /// The family mounted at minute 0, if it is one of these.
    pub(crate) initial: Option<usize>,
    /// Families that pinned work mounts for nothing: family, first and last position.
    pub(crate) pinned: Vec<(usize, i64, i64)>,
}

/// Says that an operation running on a cell needs its family mounted.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub(crate) cell: usize,
    pub(crate) level: usize,
    pub(crate) family: usize,
}

/// A tool that can be bought.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offer {
    pub(crate) tool: usize,
    pub(crate) price: f64,
}

/// One job.
#[derive(Clone, Debug, Default)]
pub(crate) struct Task {
    pub(crate) due: i64,
    /// Objective per minute of lateness.
    pub(crate) late: f64,
    pub(crate) steps: Vec<Step>,
    /// The routes that can be finished at all.
    pub(crate) routes: Vec<RoutePlan>,
    /// No way of making the job costs less, lateness and prices left out.
    pub(crate) floor: f64,
    /// It ends no earlier in any schedule.
    pub(crate) earliest_end: i64,
}

/// One route of a job.
#[derive(Clone, Debug)]
pub(crate) struct RoutePlan {
    /// Position in the job's routes.
    pub(crate) index: usize,
    pub(crate) cost: f64,
    /// Positions in [`Task::steps`].
    pub(crate) steps: Vec<usize>,
    /// So many first steps are the very ones of the plan before.
    pub(crate) shared: usize,
}

/// One operation of one or several routes.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    pub(crate) choices: Vec<Choice>,
    pub(crate) lag: i64,
    /// Run start and end of pinned work.
    pub(crate) pinned: Option<(i64, i64)>,
    pub(crate) last: bool,
    /// From its run's start to the job's end it takes at least this, in minutes of the clock.
    pub(crate) tail: i64,
}

/// One option of an operation.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    /// Position in the operation's options.
    pub(crate) index: usize,
    /// `None` outside.
    pub(crate) cell: Option<usize>,
    /// Number of its setup key among those of the cell.
    pub(crate) key: usize,
    pub(crate) run: i64,
    /// Least setup minutes, whatever comes before.
    pub(crate) setup: i64,
    /// The run starts no earlier: a position on the cell, a minute outside.
    pub(crate) first: i64,
    /// The run starts no later, in the same measure; before `first` if the choice is ruled out.
    pub(crate) last: i64,
    /// Route costs left out.
    pub(crate) money: f64,
    /// Positions in [`Shop::links`].
    pub(crate) links: Vec<usize>,
    /// Positions in [`Shop::offer_links`].
    pub(crate) offers: Vec<usize>,
    /// What it shares with other cells.
    pub(crate) needs: Rc<Needs>,
}

impl Choice {
    /// Whether any start is left.
    pub(crate) fn is_open(&self) -> bool {
        self.first <= self.last
    }
}

impl CellData {
    /// The least position at or after `position` at which a run of `run` minutes with `setup`
    /// minutes just before it does not meet pinned work; it may lie beyond the working time.
    pub(crate) fn clear(&self, position: i64, setup: i64, run: i64) -> i64 {
        let mut at = position.max(setup);
        for (a, b) in &self.blocks {
            if at - setup < *b && at + run > *a {
                at = b + setup;
            }
        }
        at
    }
}

impl Shop {
    /// Makes `problem` ready. With a `deadline`, all work has to end by then and nothing costs
    /// anything: what remains is whether it can be done.
    pub(crate) fn new(problem: &Problem, deadline: Option<i64>) -> Self {
        Builder::new(problem, deadline).build()
    }

    /// How much time lies at least between runs of the keys of a cell, as [`Keys::apart`]; pinned work that
    /// may stand between two runs brings its own key for nothing.
    pub(crate) fn apart(&self, cell: usize) -> Option<Vec<i64>> {
        let steps = || self.tasks.iter().flat_map(|task| &task.steps);
        let here = |step: &&Step| step.choices.first().is_some_and(|choice| choice.cell == Some(cell));
        let choices = steps().filter(|step| step.pinned.is_none()).flat_map(|step| &step.choices);
        let shortest = choices.filter(|choice| choice.cell == Some(cell)).map(|choice| choice.run).min();
        let time = &self.cells[cell].time;
        let free = steps().filter(|step| step.pinned.is_some()).filter(here).filter(|step| {
            let begun = step.pinned.map_or(0, |(start, _)| time.before(start));
            begun >= shortest.unwrap_or(0) || self.cells[cell].has_momentary
        });
        let free: Vec<usize> = free.filter_map(|step| Some(step.choices.first()?.key)).collect();
        self.keys[cell].apart(&free)
    }
}
