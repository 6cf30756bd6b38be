//! Whatever the engine answers is valid, repeatable and never worse than what it was given.

mod common;

use common::{Unhurried, shop};
use elbowroom_engine::{Aim, Failure, Settings, improve, probe, solve};
use elbowroom_problem::{JobIdx, Objective};
use elbowroom_verify::verify;
use proptest::prelude::*;

fn objective() -> impl Strategy<Value = Objective> {
    prop_oneof![Just(Objective::Cost), Just(Objective::Makespan), Just(Objective::Tardiness)]
}

fn settings(seed: u64) -> Settings {
    Settings { threads: 2, seed, iterations: Some(400) }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_answer_verifies(number in any::<u64>(), objective in objective()) {
        let problem = shop(number, objective);
        match solve(&problem, &settings(1), &Unhurried) {
            Ok(answer) => {
                let rejected = verify(&problem, answer.schedule).err();
                prop_assert!(rejected.is_none(), "{rejected:?}");
            }
            Err(Failure::Impossible { job, why }) => {
                prop_assert!(job.get() < problem.jobs.len() && !why.is_empty());
            }
            Err(Failure::NoneFound { .. }) => {}
        }
    }

    #[test]
    fn the_same_question_has_the_same_answer(number in any::<u64>()) {
        let problem = shop(number, Objective::Cost);
        let first = solve(&problem, &settings(5), &Unhurried).map(|a| a.schedule);
        let again = solve(&problem, &settings(5), &Unhurried).map(|a| a.schedule);
        prop_assert_eq!(first, again);
    }

    #[test]
    fn improving_never_harms(number in any::<u64>()) {
        let problem = shop(number, Objective::Cost);
        let few = Settings { threads: 1, seed: 1, iterations: Some(1) };
        if let Ok(start) = solve(&problem, &few, &Unhurried) {
            let better = improve(&problem, &start.schedule, &settings(2), &Unhurried).expect("there is the start");
            prop_assert!(better.schedule.objective <= start.schedule.objective + 1e-9);
            prop_assert!(verify(&problem, better.schedule).is_ok());
        }
    }

    #[test]
    fn a_job_put_back_verifies_and_keeps_its_promise(number in any::<u64>(), which in any::<prop::sample::Index>()) {
        let problem = shop(number, Objective::Cost);
        let Ok(answer) = solve(&problem, &settings(3), &Unhurried) else { return Ok(()) };
        let job = JobIdx::new(which.index(problem.jobs.len()));
        let put_back = |aim| probe(&problem, &answer.schedule, job, aim, &|_| true);
        let (cheapest, earliest) = (put_back(Aim::Cheapest), put_back(Aim::Earliest));
        for way in cheapest.iter().chain(&earliest) {
            let verified = verify(&problem, way.schedule.clone());
            prop_assert!(verified.is_ok(), "{:?}", verified.err());
            let ends = way.schedule.operations.iter().filter(|p| p.option.job == job).map(|p| p.end);
            prop_assert_eq!(ends.max(), Some(way.finish));
            prop_assert!((way.objective - way.schedule.objective).abs() < 1e-9);
        }
        if let (Some(cheapest), Some(earliest)) = (cheapest, earliest) {
            prop_assert!(earliest.finish <= cheapest.finish);
        }
    }
}
