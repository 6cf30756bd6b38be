//! Incremental heads and tails against the longest paths found from nothing, and optima of the
//! literature.

use super::graph::Graph;
use super::insertion::Insertions;
use super::machines::Machines;
use super::memory::Memory;
use super::{Plan, Tabu};
use crate::compiled::{Compiled, Time, compile};
use crate::dice::Dice;
use crate::{Settings, Watch, start};
use elbowroom_contract::read_problem;
use elbowroom_problem::Problem;
use std::sync::Arc;
use std::time::Duration;

/// Never in a hurry.
struct Patient;

impl Watch for Patient {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }
    fn limit(&self) -> Duration {
        Duration::from_secs(3600)
    }
    fn cancelled(&self) -> bool {
        false
    }
}

/// An option: cell, minutes, setup key.
type Work = (usize, u32, u32);

/// A problem of cells that are always open: for each job its steps, for each step its options.
/// With `waits` some jobs are released later and some steps have a lag.
fn problem(cells: usize, changeover: &str, waits: usize, jobs: &[Vec<Vec<Work>>]) -> Problem {
    let cells: Vec<String> = (0..cells)
        .map(|m| {
            format!(r#"{{"id": "m{m}", "windows": [[0, 9999]], "initial_setup": "k0", "changeover": {changeover}}}"#)
        })
        .collect();
    let option = |(cell, run, key): &Work| {
        format!(r#"{{"cell": "m{cell}", "run": {run}, "setup_key": "k{key}", "cost": 0}}"#)
    };
    let step = |(k, options): (usize, &Vec<Work>)| {
        let options: Vec<String> = options.iter().map(option).collect();
        format!(r#"{{"id": "o{k}", "options": [{}], "lag_after": {}}}"#, options.join(","), waits * (k % 2))
    };
    let jobs: Vec<String> = jobs
        .iter()
        .enumerate()
        .map(|(j, steps)| {
            let steps: Vec<String> = steps.iter().enumerate().map(step).collect();
            let operations = steps.join(",");
            format!(
                r#"{{"id": "j{j}", "release": {}, "due": 0, "late_cost_per_day": 0,
                    "routes": [{{"id": "r", "cost": 0, "operations": [{operations}]}}]}}"#,
                waits * (j % 3)
            )
        })
        .collect();
    let text = format!(
        r#"{{"format": "elbowroom-problem/1", "name": "t", "objective": "makespan", "horizon": 9999,
            "cells": [{}], "jobs": [{}]}}"#,
        cells.join(","),
        jobs.join(",")
    );
    read_problem(text.as_bytes()).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// Cells and steps at random; every second problem has changeovers.
fn random_problem(seed: u64) -> Problem {
    let mut dice = Dice::new(seed, 1);
    let cells = 2 + dice.below(4) as usize;
    let changeover = if seed.is_multiple_of(2) {
        r#"{"default": 7, "same": 0, "pairs": [["k0", "k1", 3], ["k1", "k2", 11]]}"#
    } else {
        r#"{"default": 0, "same": 0, "pairs": []}"#
    };
    let jobs: Vec<Vec<Vec<Work>>> = (0..2 + dice.below(7))
        .map(|_| {
            (0..1 + dice.below(6))
                .map(|_| {
                    let count = 1 + dice.below(2);
                    (0..count)
                        .map(|_| (dice.below(cells as u32) as usize, 1 + dice.below(20), dice.below(3)))
                        .collect()
                })
                .collect()
        })
        .collect();
    problem(cells, changeover, 1, &jobs)
}

fn first_plan<'a>(problem: &Problem, c: &'a Compiled) -> Plan<'a> {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(100) };
    start::plans(problem, c, &settings, &Patient).remove(0)
}

/// Head and tail of every operation by relaxing all arcs until nothing changes.
fn longest_paths(graph: &Graph) -> Vec<(Time, Time)> {
    let mut out = vec![(0, 0); graph.nodes.len()];
    loop {
        let was = out.clone();
        for x in 0..graph.nodes.len() {
            let operation = &graph.machines.operations[x];
            let node = &graph.nodes[x];
            let mut head = operation.before;
            if !operation.is_first {
                head += out[x - 1].0 + graph.nodes[x - 1].run;
            }
            let sequence = &graph.sequences[node.cell as usize];
            let place = sequence.iter().position(|&y| y as usize == x).expect("it stands on its cell");
            let change = |from: u32, to: u32| graph.machines.change[node.cell as usize].minutes(from, to);
            head = head.max(match place {
                0 => change(graph.machines.initial[node.cell as usize], node.key),
                place => {
                    let y = sequence[place - 1] as usize;
                    out[y].0 + graph.nodes[y].run + change(graph.nodes[y].key, node.key)
                }
            });
            let mut tail = 0;
            if !operation.is_last {
                tail = graph.machines.operations[x + 1].before + graph.nodes[x + 1].run + out[x + 1].1;
            }
            if let Some(&y) = sequence.get(place + 1) {
                let next = &graph.nodes[y as usize];
                tail = tail.max(change(node.key, next.key) + next.run + out[y as usize].1);
            }
            out[x] = (head, tail);
        }
        if was == out {
            return out;
        }
    }
}

#[test]
fn heads_and_tails_are_longest_paths_after_every_insertion() {
    for seed in 0..120 {
        let problem = random_problem(seed);
        let compiled = compile(&problem).expect("a schedule exists");
        let machines = Machines::of(&compiled).expect("only cells bind");
        let mut graph = Graph::of(Arc::new(machines), &first_plan(&problem, &compiled));
        let mut memory = Memory::new(&graph);
        let mut insertions = Insertions::default();
        let mut dice = Dice::new(seed, 2);
        for step in 0..60 {
            memory.tick();
            let found = if step % 3 == 0 {
                insertions.any(&graph, &memory, &mut dice)
            } else {
                insertions.best(&graph, &memory, 0, &mut dice)
            };
            let Some(insertion) = found else { break };
            memory.note(&graph, insertion, &mut dice);
            graph.insert(insertion);
            let paths = longest_paths(&graph);
            for (x, (node, path)) in graph.nodes.iter().zip(&paths).enumerate() {
                assert_eq!((node.head, node.tail), *path, "problem {seed}, step {step}, operation {x}");
            }
            let longest = graph.nodes.iter().zip(&paths).map(|(node, (head, tail))| head + node.run + tail);
            assert_eq!(Some(graph.makespan()), longest.max());
        }
    }
}

#[test]
fn a_sketch_has_the_makespan_of_its_graph() {
    for seed in 0..40 {
        let problem = random_problem(seed);
        let compiled = compile(&problem).expect("a schedule exists");
        let plan = first_plan(&problem, &compiled);
        let mut tabu = Tabu::begin(&plan, Dice::new(seed, 3)).expect("only cells bind");
        let mut turns = 0;
        tabu.run(&mut turns, |turns| (turns < 4_000).then_some(0.0));
        assert!(f64::from(tabu.makespan()) <= plan.cost());
        assert!((tabu.sketch(&plan).cost - f64::from(tabu.makespan())).abs() < 1e-9, "problem {seed}");
    }
}

/// Six jobs on six machines. Data and the optimum of 55: Fisher and Thompson, Industrial
/// Scheduling, 1963 (widely reprinted).
#[test]
fn the_six_by_six_problem_of_fisher_and_thompson() {
    const ROWS: [[(usize, u32); 6]; 6] = [
        [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
        [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
        [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
        [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
        [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
        [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
    ];
    let jobs: Vec<_> =
        ROWS.iter().map(|row| row.iter().map(|&(m, run)| vec![(m, run, 0)]).collect()).collect();
    let problem = problem(6, r#"{"default": 0, "same": 0, "pairs": []}"#, 0, &jobs);
    let compiled = compile(&problem).expect("a schedule exists");
    let plan = first_plan(&problem, &compiled);
    let mut tabu = Tabu::begin(&plan, Dice::new(1, 1)).expect("only cells bind");
    let mut turns = 0;
    tabu.run(&mut turns, |turns| (turns < 400_000).then_some(0.0));
    assert_eq!(tabu.makespan(), 55);
}
