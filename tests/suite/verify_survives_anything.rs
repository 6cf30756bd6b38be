//! Schedules that no reader would let through: the verifier lists violations and never panics.

use elbowroom_problem::{JobIdx, OptionIdx, Placement, Problem, Schedule, ToolIdx};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use elbowroom_units::Minute;
use elbowroom_verify::{Rule, recompute, verify};

/// A moment of any size.
fn any_minute(chance: &mut Chance) -> Minute {
    let near = chance.from_to(-50, 2500);
    Minute::new(chance.one_of(&[near, near, near, i64::MIN, i64::MAX, 1 << 45]))
}

fn any_placement(chance: &mut Chance) -> Placement {
    let mut index = |most| chance.below(most);
    let option =
        OptionIdx { job: JobIdx::new(index(8)), route: index(3), operation: index(4), option: index(3) };
    let [setup_start, run_start, end] = [(); 3].map(|()| any_minute(chance));
    Placement { option, setup_start, run_start, end }
}

#[test]
fn random_placements_are_rejected_with_a_reason() {
    for seed in 0..400 {
        let chance = &mut Chance::new(seed);
        let problem = small_shop(seed);
        let operations = (0..chance.below(12)).map(|_| any_placement(chance)).collect();
        let schedule = Schedule {
            objective: chance.one_of(&[0.0, f64::NAN, f64::INFINITY, -1e300]),
            lower_bound: chance.one_of(&[None, Some(f64::NAN), Some(f64::INFINITY), Some(3.0)]),
            purchases: (0..chance.below(4)).map(|_| ToolIdx::new(chance.below(6))).collect(),
            operations,
        };
        let figures = recompute(&problem, &schedule);
        assert_eq!(figures.setups.len(), schedule.operations.len());
        let rejected = verify(&problem, schedule.clone()).expect_err("it is nonsense");
        assert_eq!(rejected.to_string().lines().count(), rejected.violations.len());
        assert_eq!(format!("{:?}", rejected.schedule), format!("{schedule:?}"), "it is handed back");
    }
}

/// The first small shop that can be built.
fn valid() -> (Problem, Schedule) {
    let built = |seed| {
        let problem = small_shop(seed);
        build(&problem, &mut Chance::new(seed)).map(|schedule| (problem, schedule))
    };
    (0..40).find_map(built).expect("most small shops can be built")
}

#[test]
fn what_the_problem_does_not_have_is_named() {
    let (problem, mut schedule) = valid();
    let good = schedule.operations.len();
    let option = OptionIdx { job: JobIdx::new(99), route: 0, operation: 0, option: 0 };
    schedule.operations.push(Placement { option, ..schedule.operations[0] });
    schedule.purchases.push(ToolIdx::new(77));
    let rejected = verify(&problem, schedule).expect_err("there is no job 99");
    let found: Vec<_> = rejected.violations.iter().map(|v| (v.rule, v.what.as_str())).collect();
    let stranger = format!("operation number {good} of the schedule names no option of the problem");
    let purchase = "purchase of tool number 77, which the problem does not have";
    assert_eq!(found, [(Rule::Complete, stranger.as_str()), (Rule::Tools, purchase)]);
}

#[test]
fn a_claim_that_is_no_number_is_a_violation() {
    let (problem, built) = valid();
    let claims = Schedule { objective: f64::NAN, lower_bound: Some(f64::NAN), ..built };
    let rejected = verify(&problem, claims).expect_err("neither claim is a number");
    let rules: Vec<Rule> = rejected.violations.iter().map(|violation| violation.rule).collect();
    assert_eq!(rules, [Rule::ObjectiveClaim, Rule::BoundClaim]);
}
