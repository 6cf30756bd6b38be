//! Proven lower bounds: values that no valid schedule can beat.
//!
//! Every bound here is the exact optimum of a relaxation of the contract. What is relaxed, and why
//! each step can only lower the value, is argued where it is done:
//!
//! * `axis`: working time, and the slots whose minutes the relaxation does not tell apart;
//! * `changeover`: what changing over surely costs;
//! * `tasks`: earliest ends, least setups, pinned work; which job cannot be finished at all;
//! * `way`: the cheapest way of one job at given prices;
//! * `mounting`: the cheapest sequence of setup families on a cell at given prices;
//! * `relaxation`: why prices prove a bound, and for which rows;
//! * `tree`: either a job ends by a minute or it does not, either a tool is bought or it is not, either
//!   one operation comes before another on their cell or behind it;
//! * `learn`: in small shops, trying and learning from dead ends until nothing cheaper is left to try;
//! * `reopen`: what the same finds of better schedules in somewhat larger shops; it proves nothing;
//! * `deadline`: makespan, by proving that all work cannot end by a given minute.
//!
//! Left out by all but `learn`, which is a relaxation each time: remounting, crews and shared pieces of a tool.
//! That work on a cell is not cut up by other work is seen by `tree::sequence` and `learn` only.
//!
//! Sums are floating-point numbers, so that a bound is lowered by [`MARGIN`] of itself before it
//! leaves: far more than the rounding errors of a million additions, far less than a cent matters.

pub(crate) mod ascent;
pub(crate) mod axis;
pub(crate) mod changeover;
pub(crate) mod climb;
mod deadline;
mod learn;
pub(crate) mod meter;
pub(crate) mod mounting;
pub(crate) mod prices;
pub(crate) mod relaxation;
mod reopen;
pub(crate) mod tasks;
mod tree;
pub(crate) mod way;

#[cfg(test)]
mod exhaustive;
#[cfg(test)]
mod tests;

use crate::standing::Standing;
use crate::watch::Watch;
use elbowroom_problem::{Objective, Problem};
use meter::Meter;
use std::time::Duration;
use tasks::Shop;

/// Share by which a bound is lowered for rounding errors.
const MARGIN: f64 = 1e-9;

/// A value that no valid schedule of its problem can beat. Only this module makes one.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(crate) struct ProvenBound(f64);

impl ProvenBound {
    /// A bound from a sum that holds but for rounding errors; never negative, as no cost is.
    fn rounded_down(value: f64) -> Self {
        let lowered = if value.is_finite() { value - MARGIN * value.abs() } else { value };
        Self(lowered.max(0.0))
    }

    /// The bound, in the problem's objective.
    pub(crate) fn value(self) -> f64 {
        self.0
    }
}

/// How long to improve a bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct BoundBudget {
    /// Stop once so much time has passed since the solve began.
    pub(crate) until: Duration,
    /// Stop after so many evaluations. With it the bound does not depend on the clock, as long as
    /// `until` does not stop it before.
    pub(crate) evaluations: Option<u32>,
}

/// Whether it is proved that not all work together can end by the horizon.
pub(crate) fn cannot_all_end(problem: &Problem, budget: &BoundBudget, watch: &dyn Watch) -> bool {
    deadline::beyond(problem, problem.horizon.get(), &mut Meter::new(budget, watch)) == Some(true)
}

/// A lower bound on the objective of `problem`, improved while `budget` lasts.
///
/// What is proved on the way is told to `standing`, and the best schedule that it knows of guides the
/// search for good prices and ends the improvement once the bound has met it. The bound is infinite
/// if it is proved that some job cannot be finished.
pub(crate) fn lower_bound(
    problem: &Problem,
    standing: &Standing<'_>,
    budget: &BoundBudget,
    watch: &dyn Watch,
) -> ProvenBound {
    let mut meter = Meter::new(budget, watch);
    let bound = if problem.objective == Objective::Makespan {
        deadline::least_makespan(problem, standing.best(), &mut meter) as f64
    } else {
        tree::branch(&Shop::new(problem, None), standing, &mut meter)
    };
    let bound = ProvenBound::rounded_down(bound);
    standing.proved(bound);
    bound
}
