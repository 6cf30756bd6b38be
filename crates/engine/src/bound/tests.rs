//! Bounds against optima found in another way.

use super::exhaustive::{optimum, tiny_problem};
use super::{BoundBudget, lower_bound};
use crate::compiled::compile;
use crate::standing::Standing;
use crate::watch::Watch;
use elbowroom_problem::{Objective, Problem};
use std::time::Duration;

/// Never in a hurry.
pub(super) struct Patient;

impl Watch for Patient {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }
    fn limit(&self) -> Duration {
        Duration::MAX
    }
    fn cancelled(&self) -> bool {
        false
    }
}

pub(super) fn budget(evaluations: u32) -> BoundBudget {
    BoundBudget { until: Duration::MAX, evaluations: Some(evaluations) }
}

/// No bound beats the optimum, on tiny problems with pins, offers, several pieces, crews, outside
/// steps, gaps in the working time and all three objectives; and a job called impossible is.
#[test]
fn no_bound_is_above_the_optimum_of_an_exhaustive_search() {
    let (mut solved, mut met) = (0, 0);
    for seed in 0..280 {
        let problem = tiny_problem(seed);
        let best = optimum(&problem);
        let Some(best) = best else { continue };
        assert!(compile(&problem).is_ok(), "{}: a job is called impossible", problem.name);
        for upper in [best, f64::INFINITY] {
            met += u32::from(meets(&problem, best, upper, 40));
        }
        solved += 1;
    }
    assert!(solved >= 200, "only {solved} problems had a schedule");
    // A bound of zero would pass the test above.
    assert!(met >= solved / 2, "the bound met the optimum {met} times in {solved} problems");
}

/// As above with cases of the tree, below the optimum and below a worse schedule's cost: ruling
/// out what is not cheaper than that must not rule out the optimum.
#[test]
fn no_case_rules_out_the_optimum() {
    let mut met = [0; 2];
    for seed in 0..160 {
        let problem = tiny_problem(seed);
        let Some(best) = optimum(&problem).filter(|_| problem.objective != Objective::Makespan) else {
            continue;
        };
        for (met, upper) in met.iter_mut().zip([best, 1.02 * best + 0.01]) {
            *met += u32::from(meets(&problem, best, upper, 1_500));
        }
    }
    assert!(met.iter().all(|met| *met >= 30), "the bound met the optimum too seldom: {met:?}");
}

/// Whether the bound is the optimum; it must not be above.
fn meets(problem: &Problem, best: f64, upper: f64, evaluations: u32) -> bool {
    let standing = Standing::new();
    standing.found(upper);
    let bound = lower_bound(problem, &standing, &budget(evaluations), &Patient).value();
    assert!(bound <= best, "{}: bound {bound} above the optimum {best}", problem.name);
    bound >= best * (1.0 - 1e-6) - 1e-9
}
