//! Incremental heads and tails against the longest paths found from nothing, and optima of the
//! literature.

use super::Tabu;
use super::graph::Graph;
use super::insertion::Insertions;
use super::memory::Memory;
use crate::compiled::{Time, compile};
use crate::dice::Dice;
use crate::plan::Plan;
use crate::search::cases::{NO_CHANGEOVER, Work, first_plan, problem};
use crate::search::island::OnMachines;
use crate::search::machines::Machines;
use elbowroom_problem::Problem;
use std::sync::Arc;

/// Cells and steps at random; every second problem has changeovers.
fn random_problem(seed: u64) -> Problem {
    let mut dice = Dice::new(seed, 1);
    let cells = 2 + dice.below(4) as usize;
    let changeover = if seed.is_multiple_of(2) {
        r#"{"default": 7, "same": 0, "pairs": [["k0", "k1", 3], ["k1", "k2", 11]]}"#
    } else {
        NO_CHANGEOVER
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

fn begun(plan: &Plan<'_>, dice: Dice) -> Tabu {
    let machines = Machines::of(plan.compiled()).expect("only cells bind");
    Tabu::begin(Arc::new(machines), plan, dice)
}

#[test]
fn a_sketch_has_the_makespan_of_its_graph() {
    for seed in 0..40 {
        let problem = random_problem(seed);
        let compiled = compile(&problem).expect("a schedule exists");
        let plan = first_plan(&problem, &compiled);
        let mut tabu = begun(&plan, Dice::new(seed, 3));
        let mut turns = 0;
        tabu.run(&mut turns, &mut |turns| (turns < 4_000).then_some(0.0));
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
    let problem = problem(6, NO_CHANGEOVER, 0, &jobs);
    let compiled = compile(&problem).expect("a schedule exists");
    let plan = first_plan(&problem, &compiled);
    let mut tabu = begun(&plan, Dice::new(1, 1));
    let mut turns = 0;
    tabu.run(&mut turns, &mut |turns| (turns < 400_000).then_some(0.0));
    assert_eq!(tabu.makespan(), 55);
}
