//! Our verifier against the independent referee, on valid schedules and on spoiled ones.

use elbowroom_contract::{read_problem, read_schedule, write_problem, write_schedule};
use elbowroom_problem::{Problem, Schedule};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::referee::{self, Opinion};
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use elbowroom_tests::spoil::{Spoiled, spoil};
use elbowroom_verify::{Figures, Rule, verify};
use std::collections::BTreeSet;

/// A case for both judges.
struct Case {
    label: String,
    problem: Problem,
    schedule: Schedule,
    /// Whether the schedule is as it was built.
    unspoiled: bool,
}

/// The schedule as it was built, and spoiled `times` over.
fn cases(problem: Problem, seed: u64, times: usize, found: &mut Vec<Case>) {
    let mut chance = Chance::new(seed ^ 0x5eed);
    let Some(schedule) = build(&problem, &mut chance) else { return };
    for _ in 0..times {
        let Spoiled { problem, schedule, change } = spoil(&problem, &schedule, &mut chance);
        let label = format!("seed {seed}: {change}");
        found.push(Case { label, problem, schedule, unspoiled: false });
    }
    found.push(Case { label: format!("seed {seed}: as built"), problem, schedule, unspoiled: true });
}

/// The rules broken, named as the referee names them: it finds a setup that is too short while
/// it looks at rule 2, we with rule 4.
fn our_rules(broken: impl Iterator<Item = Rule>) -> BTreeSet<String> {
    let name = |rule: Rule| match rule {
        Rule::Changeover => "2".to_owned(),
        Rule::ObjectiveClaim => "objective".to_owned(),
        Rule::BoundClaim => "bound".to_owned(),
        other => other.code()[1..].to_owned(),
    };
    broken.map(name).collect()
}

/// Goes the whole way through our files, as a user would.
fn our_verdict(problem: &str, schedule: &str, case: &Case) -> Result<Figures, BTreeSet<String>> {
    let problem = read_problem(problem.as_bytes()).expect("our own files are right");
    assert_eq!(problem, case.problem, "{}", case.label);
    let schedule = read_schedule(schedule.as_bytes(), &problem).expect("our own files are right");
    match verify(&problem, schedule) {
        Ok(verified) => Ok(verified.figures().clone()),
        Err(rejected) => Err(our_rules(rejected.violations.iter().map(|violation| violation.rule))),
    }
}

fn compare(case: &Case, ours: &Result<Figures, BTreeSet<String>>, theirs: &Opinion) {
    let label = &case.label;
    match ours {
        Ok(figures) => {
            let (objective, late, setup) =
                theirs.figures.unwrap_or_else(|| panic!("{label}: we accept, {theirs:?}"));
            let slack = 1e-9 * objective.abs().max(1.0);
            assert!((figures.objective - objective).abs() <= slack, "{label}: {figures:?}, {theirs:?}");
            assert_eq!(figures.late_jobs as u64, late, "{label}");
            assert_eq!(figures.setup_minutes.count(), setup, "{label}");
        }
        Err(rules) => {
            assert_eq!(theirs.stage, "rules", "{label}: we reject for {rules:?}, {theirs:?}");
            let theirs_broken = theirs.rules();
            if theirs_broken.iter().any(|rule| rule == "1" || rule == "9") {
                // The referee looks no further then; we judge what is there.
                assert!(theirs_broken.is_subset(rules), "{label}: {rules:?}, {theirs:?}");
            } else {
                assert_eq!(*rules, theirs_broken, "{label}: {theirs:?}");
            }
        }
    }
}

/// Asks both judges about every case; returns how many were valid and which rules were broken.
fn judge_all(cases: &[Case]) -> (usize, BTreeSet<String>) {
    let files: Vec<(String, String)> = cases
        .iter()
        .map(|case| (write_problem(&case.problem), write_schedule(&case.problem, &case.schedule)))
        .collect();
    let opinions = referee::judge(&files);
    let mut valid = 0;
    let mut broken = BTreeSet::new();
    for ((case, (problem, schedule)), opinion) in cases.iter().zip(&files).zip(&opinions) {
        let ours = our_verdict(problem, schedule, case);
        compare(case, &ours, opinion);
        assert!(!case.unspoiled || opinion.is_valid(), "{}: the builder errs: {opinion:?}", case.label);
        valid += usize::from(ours.is_ok());
        broken.extend(ours.err().unwrap_or_default());
    }
    (valid, broken)
}

#[test]
fn on_small_random_shops() {
    let mut found = Vec::new();
    for seed in 0..300 {
        cases(small_shop(seed), seed, 5, &mut found);
    }
    let (valid, broken) = judge_all(&found);
    let rejected = found.len() - valid;
    println!("{} cases: {valid} valid, {rejected} rejected, rules broken: {broken:?}", found.len());
    assert!(found.len() >= 600 && valid >= 200 && rejected >= 200, "{valid} valid, {rejected} rejected");
    let all = ["1", "2", "3", "5", "6", "7", "8", "9", "objective", "bound"];
    assert_eq!(broken, all.map(str::to_owned).into(), "every rule was broken at least once");
}

#[test]
fn on_invented_tube_bending_shops() {
    let mut found = Vec::new();
    for seed in 1..=8 {
        let jobs = (3 + seed % 5).to_string();
        let seed_text = seed.to_string();
        let mut arguments = vec!["--jobs", jobs.as_str(), "--weeks", "1", "--seed", seed_text.as_str()];
        if seed % 2 == 0 {
            arguments.extend(["--missing", "0.4", "--lead", "1", "1", "--bound", "0.3"]);
        }
        let text = referee::make_shop(&arguments);
        let problem = read_problem(text.as_bytes()).expect("the generator keeps the contract");
        cases(problem, seed, 6, &mut found);
    }
    let (valid, _) = judge_all(&found);
    println!("{} cases: {valid} valid", found.len());
    assert!(found.len() >= 40 && valid >= 8, "{valid} valid of {}", found.len());
}
