//! The integer program: which route, options, purchases and rough times each job should have.
//!
//! Its columns are whole ways of making a job (route, options, slots), priced out by the relaxation
//! of `bound`; its rows are what jobs have to share: working time of the cells and heads of the
//! crews by time bucket, and purchases. HiGHS solves it through good_lp. Overload is allowed at a
//! price, so that an answer always exists: the program advises the schedule builder and proves
//! nothing.
//!
//! Floating-point numbers leave this module only as a choice among columns.

mod pool;
mod program;

use crate::bound::tasks::Shop;
use crate::watch::Watch;
use elbowroom_problem::{Problem, ToolIdx};
use elbowroom_units::Minute;
use std::time::Duration;

/// Share of the time that is spent on finding columns.
const POOL_SHARE: f64 = 0.4;

/// What the integer program advises.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Assignment {
    /// The route of each job.
    pub(crate) route: Vec<usize>,
    /// For each job and operation of its route, the option.
    pub(crate) option: Vec<Vec<usize>>,
    /// For each job and operation of its route, about when the run starts.
    pub(crate) start: Vec<Vec<Minute>>,
    /// Tools to buy, the committed ones not among them.
    pub(crate) purchases: Vec<ToolIdx>,
}

/// The assignment of least cost that is found within `share` of the solve's time.
///
/// Where the program is not solved in time, each job takes what is cheapest for it at the
/// relaxation's prices. `None` if some job cannot be made at all, if time ran out before there were
/// prices, or if the solve was cancelled.
pub(crate) fn assign(problem: &Problem, watch: &dyn Watch, share: Duration) -> Option<Assignment> {
    let begun = watch.elapsed();
    let until = (begun + share).min(watch.limit());
    let shop = Shop::new(problem, None);
    let pool = pool::Pool::fill(&shop, watch, begun + (until.saturating_sub(begun)).mul_f64(POOL_SHARE))?;
    let chosen = program::choose(problem, &shop, &pool, watch, until);
    if watch.cancelled() {
        return None;
    }
    Some(pool.assignment(&shop, chosen.as_ref().unwrap_or(&pool.cheapest)))
}
