//! Bounds against optima found in another way.

use super::exhaustive::{optimum, tiny_problem};
use super::{BoundBudget, lower_bound};
use crate::compiled::compile;
use crate::watch::Watch;
use std::time::Duration;

/// Never in a hurry.
struct Patient;

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

fn budget(evaluations: u32) -> BoundBudget {
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
            let bound = lower_bound(&problem, upper, &budget(40), &Patient).value();
            assert!(bound <= best, "{}: bound {bound} above the optimum {best}", problem.name);
            met += u32::from(bound >= best * (1.0 - 1e-6) - 1e-9);
        }
        solved += 1;
    }
    assert!(solved >= 200, "only {solved} problems had a schedule");
    // A bound of zero would pass the test above.
    assert!(met >= solved / 2, "the bound met the optimum {met} times in {solved} problems");
}
