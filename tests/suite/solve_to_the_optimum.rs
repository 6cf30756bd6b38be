//! The engine against optima that a general constraint solver has proved (`tests/cases/optima.csv`
//! says which and how): no bound is above the optimum, no schedule below it, and nearly every
//! schedule costs just as much.

use elbowroom_engine::{Settings, solve};
use elbowroom_tests::optima::{ROUNDING, problem, proved};
use elbowroom_tests::watches::Unhurried;
use elbowroom_verify::verify;

/// Search steps for each thread.
const STEPS: u64 = 6_000;
/// Of a hundred shops, so many at least are solved to the optimum.
const FOUND: usize = 95;
/// Of a hundred shops, the bound proves at least so many to be at the optimum.
const MET: usize = 35;

#[test]
fn bound_optimum_and_objective_stand_in_this_order() {
    let (mut found, mut met, mut missed) = (0, 0, Vec::new());
    let shops = proved();
    assert!(shops.len() >= 200, "{} shops are too few", shops.len());
    for row in &shops {
        let (shop, optimum) = (&row.shop, row.optimum);
        let problem = problem(shop);
        let settings = Settings { threads: 2, seed: 5, iterations: Some(STEPS) };
        let answer = solve(&problem, &settings, &Unhurried)
            .unwrap_or_else(|failure| panic!("{shop}: a schedule exists: {failure:?}"));
        let verified = verify(&problem, answer.schedule).unwrap_or_else(|why| panic!("{shop}: {why}"));
        let (objective, bound) = (verified.figures().objective, verified.schedule().lower_bound);
        let bound = bound.unwrap_or_else(|| panic!("{shop}: there is no bound"));
        // The optimum is the cost of a valid schedule, which no bound may exceed at all.
        assert!(bound <= optimum * (1.0 + 1e-9), "{shop}: the bound {bound} is above the optimum {optimum}");
        assert!(
            objective >= optimum - ROUNDING,
            "{shop}: {objective} beats {optimum}, which is called the optimum: see tests/cases/optima.csv"
        );
        if objective <= optimum + ROUNDING {
            found += 1;
        } else {
            missed.push(format!("{shop}: {objective} instead of {optimum}"));
        }
        met += usize::from(bound >= optimum - ROUNDING);
    }
    let all = shops.len();
    println!("{found} of {all} at the optimum, {met} proved to be\n{}", missed.join("\n"));
    assert!(found * 100 >= FOUND * all, "only {found} of {all} at the optimum: {missed:#?}");
    assert!(met * 100 >= MET * all, "only {met} of {all} proved to be optimal");
}
