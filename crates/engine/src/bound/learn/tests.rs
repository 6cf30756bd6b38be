//! Proofs against optima found by looking at every schedule.

use super::super::exhaustive::{optimum, tiny_problem};
use super::super::meter::Meter;
use super::super::prices::Resolution;
use super::super::relaxation::{Relaxation, Workspace};
use super::super::tasks::Shop;
use super::super::tests::{Patient, budget};
use super::prove;
use elbowroom_problem::{Objective, Problem};

/// A problem whose work is pinned outside the hours of its cell, and mounts its key there nevertheless.
const OUTSIDE_HOURS: u64 = 7_999;

/// What is proved at prices of zero, beginning from a schedule that costs `upper`.
fn proved(problem: &Problem, upper: f64) -> Option<f64> {
    let shop = Shop::new(problem, None);
    let relaxation = Relaxation::new(&shop, Resolution { slot: 1, bucket: 0, mounting: 2 });
    let values = vec![0.0; relaxation.grid.size];
    let mut work = Workspace::default();
    let budget = budget(100_000);
    let mut meter = Meter::new(&budget, &Patient);
    prove(&relaxation, &values, upper, &mut work, &mut meter, &mut |_| {})
}

/// From whatever known schedule the search begins, it ends, and what it proves is no more than the optimum;
/// mostly it is the optimum, as the model leaves out little.
#[test]
fn the_search_ends_at_the_optimum_or_below_it() {
    let (mut tried, mut met) = (0, 0);
    for seed in (1_000..1_200).chain([OUTSIDE_HOURS]) {
        let problem = tiny_problem(seed);
        let Some(best) = optimum(&problem).filter(|_| problem.objective != Objective::Makespan) else {
            continue;
        };
        for upper in [best, 1.01 * best + 0.5, 2.0 * best + 20.0] {
            let bound = proved(&problem, upper).expect("tiny problems are soon searched through");
            assert!(bound <= best * (1.0 + 1e-9), "{}: {bound} above {best}, from {upper}", problem.name);
            tried += 1;
            met += u32::from(bound >= best * (1.0 - 1e-6) - 1e-9);
        }
    }
    assert!(tried >= 200 && met * 100 >= 95 * tried, "the optimum was met {met} times of {tried}");
}
