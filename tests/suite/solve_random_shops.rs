//! Every schedule that the engine gives is accepted by our verifier and by the independent
//! referee; where it gives none, the job that it names can be shown to be impossible.

use elbowroom_contract::{read_problem, write_problem, write_schedule};
use elbowroom_engine::{Failure, Settings, solve};
use elbowroom_problem::Problem;
use elbowroom_tests::chance::Chance;
use elbowroom_tests::referee::{judge, make_shop};
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use elbowroom_tests::watches::Unhurried;
use elbowroom_verify::verify;

/// What became of one problem: the pair of files for the referee, or the name of the impossible job.
enum Outcome {
    Solved(String, String),
    Impossible,
    /// Nothing was found and nothing proved; the job is named.
    NoneFound,
}

/// Search steps after which nothing found should mean that there is nothing.
const PATIENT: u64 = 60_000;

fn solved(label: &str, problem: &Problem, steps: u64) -> Outcome {
    let settings = Settings { threads: 2, seed: 7, iterations: Some(steps) };
    match solve(problem, &settings, &Unhurried) {
        Ok(answer) => {
            let claimed = answer.schedule.objective;
            let schedule =
                verify(problem, answer.schedule).unwrap_or_else(|rejected| panic!("{label}: {rejected}"));
            if let Some(bound) = schedule.schedule().lower_bound {
                assert!(bound <= claimed * (1.0 + 1e-9) + 1e-6, "{label}: bound {bound} above {claimed}");
            }
            Outcome::Solved(write_problem(problem), write_schedule(problem, schedule.schedule()))
        }
        Err(Failure::Impossible { job, why }) => {
            assert!(!why.is_empty(), "{label}: job `{}` is impossible without a reason", problem.job(job).id);
            Outcome::Impossible
        }
        Err(Failure::NoneFound { .. }) if steps < PATIENT => solved(label, problem, PATIENT),
        Err(Failure::NoneFound { job, why }) => {
            assert!(job.is_some(), "{label}: no job is named: {why}");
            assert!(!somebody_finds_one(problem), "{label}: there is a schedule, but: {why}");
            Outcome::NoneFound
        }
    }
}

/// Whether another builder, which shares nothing with the engine, finds a schedule by chance.
fn somebody_finds_one(problem: &Problem) -> bool {
    (0..500).any(|seed| build(problem, &mut Chance::new(seed)).is_some())
}

/// Judges all schedules in one run of the referee; returns how many problems had no schedule.
fn all_valid(problems: Vec<(String, Problem)>, steps: u64) -> usize {
    let mut labels = Vec::new();
    let mut pairs = Vec::new();
    let mut impossible = 0;
    for (label, problem) in problems {
        match solved(&label, &problem, steps) {
            Outcome::Solved(p, s) => {
                labels.push(label);
                pairs.push((p, s));
            }
            Outcome::Impossible | Outcome::NoneFound => impossible += 1,
        }
    }
    for (label, opinion) in labels.iter().zip(judge(&pairs)) {
        assert!(opinion.is_valid(), "{label}: {opinion:?}");
    }
    impossible
}

fn generated(arguments: &str) -> (String, Problem) {
    let words: Vec<&str> = arguments.split(' ').collect();
    let text = make_shop(&words);
    let problem = read_problem(text.as_bytes()).unwrap_or_else(|faults| panic!("{arguments}: {faults:?}"));
    (arguments.to_owned(), problem)
}

#[test]
fn two_hundred_generated_shops() {
    let problems = (0..200)
        .map(|seed| {
            let jobs = 3 + seed % 14;
            let weeks = 1 + seed % 3;
            let purchases =
                if seed % 3 == 0 { " --missing 0.5 --lead 1 2 --price 0.2 --bound 0.3" } else { "" };
            generated(&format!("--jobs {jobs} --weeks {weeks} --seed {}{purchases}", 9000 + seed))
        })
        .collect();
    all_valid(problems, 1500);
}

#[test]
fn two_hundred_small_shops_with_every_trap() {
    let problems = (0..200).map(|seed| (format!("small shop {seed}"), small_shop(seed))).collect();
    let impossible = all_valid(problems, 1500);
    assert!(impossible < 100, "{impossible} of 200 small shops are impossible: the generator is too harsh");
}

#[test]
fn reference_shops_of_all_sizes() {
    let calls = [
        "--jobs 15 --weeks 2 --seed 101",
        "--jobs 40 --weeks 3 --seed 102",
        "--jobs 80 --weeks 4 --seed 103",
        "--jobs 150 --weeks 5 --seed 104",
        "--jobs 300 --weeks 6 --seed 105",
        "--jobs 600 --weeks 8 --seed 106",
        "--jobs 20 --weeks 4 --seed 201 --missing 0.45 --lead 1 2 --price 0.25 --load 0.85",
        "--jobs 60 --weeks 5 --seed 202 --missing 0.4 --lead 1 3 --price 0.15 --bound 0.25 --load 0.85 --slack 12",
        "--jobs 200 --weeks 6 --seed 203 --missing 0.35 --lead 1 4 --price 0.2 --bound 0.15 --load 0.85 --slack 12",
    ];
    let impossible = all_valid(calls.into_iter().map(generated).collect(), 3000);
    assert_eq!(impossible, 0);
}

#[test]
fn same_seed_threads_and_steps_give_the_same_schedule() {
    let (_, problem) = generated("--jobs 25 --weeks 2 --seed 77");
    let settings = Settings { threads: 2, seed: 11, iterations: Some(4000) };
    let first = solve(&problem, &settings, &Unhurried).expect("a schedule exists");
    let again = solve(&problem, &settings, &Unhurried).expect("a schedule exists");
    assert_eq!(first.schedule, again.schedule);
}
