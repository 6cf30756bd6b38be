//! Bounds against optima found in another way.

use super::exhaustive::{optimum, tiny_problem};
use super::{BoundBudget, ProvenBound, lower_bound};
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
    let compiled = compile(problem).expect("it has a schedule");
    let standing = Standing::new(&compiled);
    standing.found(upper);
    let bound = lower_bound(problem, &standing, &budget(evaluations), &Patient).value();
    assert!(bound <= best, "{}: bound {bound} above the optimum {best}", problem.name);
    bound >= best * (1.0 - 1e-6) - 1e-9
}

/// The least cost and the greatest bound stand, whatever came last; met, all but rounding, they are closed.
#[test]
fn the_least_cost_and_the_greatest_bound_stand() {
    let problem = tiny_problem(1);
    let compiled = compile(&problem).expect("it has a schedule");
    let standing = Standing::new(&compiled);
    assert_eq!((standing.best(), standing.bound(), standing.is_closed()), (f64::INFINITY, None, false));
    [120.0, 100.0, 110.0].into_iter().for_each(|cost| standing.found(cost));
    for bound in [70.0, 90.0, 80.0] {
        standing.proved(ProvenBound::rounded_down(bound));
    }
    assert_eq!(standing.best(), 100.0);
    assert!(standing.bound().is_some_and(|bound| (89.9..=90.0).contains(&bound)));
    assert!(!standing.is_closed());
    standing.proved(ProvenBound::rounded_down(100.0));
    assert!(standing.is_closed());
}

/// Work pinned to a moment of no length is in nobody's way: the optimum, which the verifier judges, may hold
/// other work across it.
#[test]
fn work_pinned_to_a_moment_rules_nothing_out() {
    let mut solved = 0;
    for seed in 0..400 {
        let problem = tiny_problem(seed);
        if problem.pinned.is_empty() || problem.objective == Objective::Makespan {
            continue;
        }
        let mut parts = (*problem).clone();
        for pin in &mut parts.pinned {
            (pin.run_start, pin.end) = (pin.setup_start, pin.setup_start);
        }
        let problem = Problem::new(parts).expect("a moment is allowed");
        let Some(best) = optimum(&problem) else { continue };
        solved += 1;
        meets(&problem, best, best, 1_500);
        meets(&problem, best, 1.5 * best + 5.0, 1_500);
    }
    assert!(solved >= 20, "{solved} problems had a schedule");
}
