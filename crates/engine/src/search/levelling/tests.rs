//! Loads against those added up anew, and makespans against all there are.

use super::Levelling;
use super::loads::Loads;
use crate::compiled::{Compiled, Time, compile};
use crate::dice::Dice;
use crate::plan::Plan;
use crate::search::cases::{NO_CHANGEOVER, Work, first_plan, problem};
use crate::search::island::OnMachines;
use crate::search::machines::Machines;
use elbowroom_problem::Problem;
use std::sync::Arc;

const CHANGEOVER: &str = r#"{"default": 9, "same": 1, "pairs": [["k0", "k1", 3], ["k1", "k2", 14], ["k2", "k1", 0],
    ["k2", "k3", 5], ["k3", "k2", 2]]}"#;

/// Jobs of one step with a way on some of the cells; every second problem has changeovers.
fn random_jobs(seed: u64, most_jobs: u32) -> (usize, Vec<Vec<Vec<Work>>>) {
    let mut dice = Dice::new(seed, 1);
    let cells = 1 + dice.below(3);
    let jobs = (0..3 + dice.below(most_jobs - 2)).map(|_| {
        let sure = dice.below(cells);
        let ways = (0..cells).filter_map(|cell| {
            let is_there = cell == sure || dice.chance(0.7);
            is_there.then(|| (cell as usize, 1 + dice.below(20), dice.below(4)))
        });
        vec![ways.collect()]
    });
    (cells as usize, jobs.collect())
}

fn random_problem(seed: u64, most_jobs: u32) -> Problem {
    let (cells, jobs) = random_jobs(seed, most_jobs);
    problem(cells, changeover(seed), 0, &jobs)
}

fn changeover(seed: u64) -> &'static str {
    if seed.is_multiple_of(2) { CHANGEOVER } else { NO_CHANGEOVER }
}

fn machines(c: &Compiled) -> Arc<Machines> {
    Arc::new(Machines::of(c).expect("only cells bind"))
}

fn begun(plan: &Plan<'_>, seed: u64) -> Option<Levelling> {
    Levelling::begin(machines(plan.compiled()), plan, Dice::new(seed, 2))
}

#[test]
fn loads_follow_every_change_and_go_back() {
    for seed in 0..60 {
        let problem = random_problem(seed, 12);
        let compiled = compile(&problem).expect("a schedule exists");
        let mut loads =
            Loads::of(machines(&compiled), &first_plan(&problem, &compiled)).expect("of this kind");
        let mut dice = Dice::new(seed, 3);
        for step in 0..300 {
            let was = loads.clone();
            let change =
                if step % 3 == 0 { loads.exchange(&mut dice) } else { loads.put_elsewhere(&mut dice) };
            assert!(loads.agree(), "problem {seed}, step {step}");
            let Some(change) = change else {
                assert!(loads.is_like(&was));
                continue;
            };
            if dice.chance(0.5) {
                loads.take_back(change);
                assert!(loads.is_like(&was) && loads.agree(), "problem {seed}, step {step}");
            }
        }
    }
}

/// The least makespan of all assignments and sequences, by trying job after job on every place.
fn least_makespan(problem: &Problem, compiled: &Compiled) -> Time {
    let plan = first_plan(problem, compiled);
    let machines = machines(compiled);
    let mut least = Time::MAX;
    let mut sequences = vec![Vec::new(); machines.change.len()];
    try_all(&machines, 0, &mut sequences, &mut least);
    assert!(f64::from(least) <= plan.cost());
    least
}

fn try_all(machines: &Machines, job: usize, sequences: &mut Vec<Vec<u32>>, least: &mut Time) {
    let Some(operation) = machines.operations.get(job) else {
        let load = |(cell, sequence): (usize, &Vec<u32>)| {
            let mut key = machines.initial[cell];
            sequence.iter().fold(0, |load, &at| {
                let way = &machines.choices[at as usize];
                let from = std::mem::replace(&mut key, way.key);
                load + machines.change[cell].minutes(from, way.key) + way.run
            })
        };
        *least = (*least).min(sequences.iter().enumerate().map(load).max().unwrap_or(0));
        return;
    };
    for choice in operation.choices.clone() {
        let cell = machines.choices[choice as usize].cell as usize;
        for at in 0..=sequences[cell].len() {
            sequences[cell].insert(at, choice);
            try_all(machines, job + 1, sequences, least);
            sequences[cell].remove(at);
        }
    }
}

#[test]
fn the_least_makespan_of_all_is_found() {
    for seed in 0..40 {
        let problem = random_problem(seed, 6);
        let compiled = compile(&problem).expect("a schedule exists");
        let plan = first_plan(&problem, &compiled);
        let mut levelling = begun(&plan, seed).expect("of this kind");
        let mut turns = 0;
        levelling.run(&mut turns, &mut |turns| (turns < 40_000).then(|| turns as f64 / 40_000.0));
        assert_eq!(levelling.makespan(), least_makespan(&problem, &compiled), "problem {seed}");
        // A schedule of the contract takes as long.
        let sketch = levelling.sketch(&plan);
        assert_eq!((sketch.cost, sketch.excess), (f64::from(levelling.makespan()), 0), "problem {seed}");
    }
}

#[test]
fn other_problems_are_left_to_other_searches() {
    let is_taken = |waits: usize, jobs: &[Vec<Vec<Work>>]| {
        let problem = problem(2, CHANGEOVER, waits, jobs);
        let compiled = compile(&problem).expect("a schedule exists");
        begun(&first_plan(&problem, &compiled), 1).is_some()
    };
    let one = || vec![vec![(0, 5, 1), (1, 6, 1)]];
    assert!(is_taken(0, &[one(), one()]));
    assert!(!is_taken(1, &[one(), one()]), "the second job is released later");
    assert!(!is_taken(0, &[one(), vec![vec![(0, 5, 1)], vec![(1, 6, 1)]]]), "a job of two steps");
    assert!(!is_taken(0, &[one(), vec![vec![(0, 5, 1), (0, 6, 2)]]]), "two ways on one cell");
}
