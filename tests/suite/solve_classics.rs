//! Small problems of the literature, whose best value is known, through `elbowroom solve`.
//!
//! Row numbers (F-01 ...) are those of the project's list of check values. All optima were found
//! by complete enumeration, most also with an exact solver; the rules behind them are quoted from
//! memory of the publication named at each case. Job shop data: Fisher and Thompson 1963.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::run;
use serde_json::{Value, json};

/// A problem without shifts: cells that are always open, no money.
struct Classic {
    objective: &'static str,
    cells: Vec<Value>,
    jobs: Vec<Value>,
    tools: Vec<Value>,
}

const HORIZON: i64 = 5_000;

impl Classic {
    fn new(objective: &'static str, cells: &[&str]) -> Self {
        let cells = cells.iter().map(|id| json!({ "id": id, "windows": [[0, HORIZON]] })).collect();
        Self { objective, cells, jobs: Vec::new(), tools: Vec::new() }
    }

    /// Gives the first cell a changeover table; the cell begins with `start` mounted.
    fn changeover(mut self, default: i64, pairs: &[(&str, &str, i64)]) -> Self {
        self.cells[0]["initial_setup"] = json!("start");
        self.cells[0]["changeover"] = json!({ "default": default, "same": 0, "pairs": pairs });
        self
    }

    /// Adds a job with one or several routes, each a list of operations, each a list of options.
    fn job(mut self, due: i64, weight: i64, routes: Vec<Vec<Vec<Value>>>) -> Self {
        self = self.released(0, due, weight, routes);
        self
    }

    fn released(mut self, release: i64, due: i64, weight: i64, routes: Vec<Vec<Vec<Value>>>) -> Self {
        let routes: Vec<Value> = routes
            .into_iter()
            .enumerate()
            .map(|(r, operations)| {
                let operations: Vec<Value> = operations
                    .into_iter()
                    .enumerate()
                    .map(|(o, options)| json!({ "id": format!("o{o}"), "options": options }))
                    .collect();
                json!({ "id": format!("r{r}"), "operations": operations })
            })
            .collect();
        self.jobs.push(json!({
            "id": format!("j{}", self.jobs.len() + 1), "release": release, "due": due,
            "late_cost_per_day": weight, "routes": routes,
        }));
        self
    }

    /// One job for each time, on cell `m`, due at 0 or as given, weight 1 or as given.
    fn one_machine(times: &[i64], due: &[i64], weights: &[i64]) -> Self {
        let mut classic = Self::new("tardiness", &["m"]);
        for (i, time) in times.iter().enumerate() {
            let due = due.get(i).copied().unwrap_or(0);
            let weight = weights.get(i).copied().unwrap_or(1);
            classic = classic.job(due, weight, vec![vec![vec![on("m", *time)]]]);
        }
        classic
    }

    fn flow_shop(first: &[i64], second: &[i64]) -> Self {
        let mut classic = Self::new("makespan", &["a", "b"]);
        for (a, b) in first.iter().zip(second) {
            classic = classic.job(0, 0, vec![vec![vec![on("a", *a)], vec![on("b", *b)]]]);
        }
        classic
    }

    fn open_shop(first: &[i64], second: &[i64]) -> Self {
        let mut classic = Self::new("makespan", &["a", "b"]);
        for (a, b) in first.iter().zip(second) {
            let (a, b) = (vec![on("a", *a)], vec![on("b", *b)]);
            classic = classic.job(0, 0, vec![vec![a.clone(), b.clone()], vec![b, a]]);
        }
        classic
    }

    fn equal_machines(count: usize, times: &[i64]) -> Self {
        let names: Vec<String> = (1..=count).map(|m| format!("m{m}")).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let mut classic = Self::new("makespan", &names);
        for time in times {
            classic = classic.job(0, 0, vec![vec![names.iter().map(|m| on(m, *time)).collect()]]);
        }
        classic
    }

    /// Solves it through the program and checks the value, the claims and the verdict.
    fn expect(self, row: &str, optimum: f64) {
        let folder = tempfile::tempdir().unwrap();
        let (problem, schedule) = (folder.path().join("p.json"), folder.path().join("s.json"));
        let value = json!({
            "format": "elbowroom-problem/1", "name": row, "objective": self.objective, "horizon": HORIZON,
            "cells": self.cells, "tools": self.tools, "jobs": self.jobs,
        });
        std::fs::write(&problem, value.to_string()).unwrap();
        let (p, s) = (problem.to_str().unwrap(), schedule.to_str().unwrap());
        let ran =
            run(&["solve", p, "--seconds", "20", "--steps", "60000", "--threads", "2", "--out", s, "--json"]);
        assert_eq!(ran.code, 0, "{row}: {}", ran.stderr);
        let answer = ran.json();
        let objective = answer["objective"].as_f64().unwrap();
        assert!((objective - optimum).abs() < 1e-6, "{row}: found {objective}, the optimum is {optimum}");
        if let Some(bound) = answer["lower_bound"].as_f64() {
            assert!(bound <= optimum + 1e-6, "{row}: the bound {bound} is above the optimum {optimum}");
        }
        assert_eq!(run(&["verify", p, s]).code, 0, "{row}");
    }
}

fn on(cell: &str, run: i64) -> Value {
    json!({ "cell": cell, "run": run, "setup_key": "any" })
}

fn keyed(cell: &str, run: i64, key: &str) -> Value {
    json!({ "cell": cell, "run": run, "setup_key": key })
}

#[test]
fn total_and_weighted_completion_time() {
    // F-01, F-02: Smith 1956, from memory.
    Classic::one_machine(&[6, 2, 8, 4, 3], &[], &[]).expect("F-01", 54.0);
    Classic::one_machine(&[3, 7, 5, 2, 4], &[], &[2, 7, 1, 4, 6]).expect("F-02", 188.0);
}

#[test]
fn weighted_tardiness_on_one_machine() {
    // F-09: textbook instance (Pinedo), from memory; F-10 to F-12: enumerated.
    Classic::one_machine(&[10, 10, 13, 4], &[4, 2, 1, 12], &[14, 12, 1, 12]).expect("F-09", 408.0);
    Classic::one_machine(&[5, 3, 8, 4, 6, 2], &[9, 5, 26, 12, 20, 10], &[2, 4, 1, 3, 2, 5])
        .expect("F-10", 8.0);
    let (times, due) = ([7, 5, 9, 4, 6, 8], [10, 9, 22, 15, 14, 30]);
    Classic::one_machine(&times, &due, &[3, 5, 2, 4, 6, 1]).expect("F-11", 63.0);
    Classic::one_machine(&times, &due, &[]).expect("F-12", 28.0);
}

#[test]
fn changeovers_that_depend_on_the_sequence() {
    // F-14: enumerated. Six runs of 1 minute are added, since a run takes at least 1: 95 + 6.
    let start = [50, 25, 25, 15, 15, 30];
    let rows = [
        [0, 55, 30, 35, 60, 50],
        [10, 0, 45, 25, 60, 10],
        [20, 15, 0, 35, 45, 25],
        [40, 50, 15, 0, 55, 25],
        [10, 25, 40, 30, 0, 20],
        [40, 20, 15, 20, 55, 0],
    ];
    let keys = ["k1", "k2", "k3", "k4", "k5", "k6"];
    let mut pairs: Vec<(&str, &str, i64)> = (0..6).map(|j| ("start", keys[j], start[j])).collect();
    pairs.extend(
        (0..6).flat_map(|i| (0..6).map(move |j| (i, j))).map(|(i, j)| (keys[i], keys[j], rows[i][j])),
    );
    let mut classic = Classic::new("makespan", &["m"]).changeover(60, &pairs);
    for key in keys {
        classic = classic.job(0, 0, vec![vec![vec![keyed("m", 1, key)]]]);
    }
    classic.expect("F-14", 101.0);
}

#[test]
fn die_families() {
    // F-15: enumerated.
    let pairs = [("start", "A", 30), ("start", "B", 45), ("A", "B", 45), ("B", "A", 30)];
    for (objective, optimum) in [("makespan", 175.0), ("tardiness", 55.0)] {
        let mut classic = Classic::new(objective, &["m"]).changeover(45, &pairs);
        for (family, time, due) in
            [("A", 20, 60), ("B", 25, 90), ("A", 15, 150), ("B", 10, 130), ("A", 30, 240)]
        {
            classic = classic.job(due, 1, vec![vec![vec![keyed("m", time, family)]]]);
        }
        classic.expect("F-15", optimum);
    }
}

#[test]
fn two_machine_flow_shops() {
    // F-20: a public exercise whose printed 26 is the end on machine 1; F-21 to F-24: Johnson 1954, from memory.
    Classic::flow_shop(&[10, 5, 7, 3, 1], &[2, 4, 5, 6, 7]).expect("F-20", 28.0);
    Classic::flow_shop(&[5, 3, 8, 7, 4], &[8, 9, 7, 2, 6]).expect("F-21", 35.0);
    Classic::flow_shop(&[3, 12, 5, 2, 9, 11], &[8, 10, 9, 6, 3, 1]).expect("F-22", 43.0);
    Classic::flow_shop(&[4, 4, 10, 6, 2], &[5, 1, 4, 10, 3]).expect("F-23", 27.0);
    Classic::flow_shop(&[10, 8, 14, 13, 10, 25, 6], &[11, 17, 10, 7, 8, 9, 15]).expect("F-24", 93.0);
}

#[test]
fn two_machine_open_shops_as_alternative_routes() {
    // F-25, F-26: Gonzalez and Sahni 1976, from memory; enumerated.
    Classic::open_shop(&[3, 5, 2], &[6, 2, 4]).expect("F-25", 12.0);
    Classic::open_shop(&[1, 9, 1], &[1, 9, 2]).expect("F-26", 18.0);
}

#[test]
fn equal_machines() {
    // F-31 to F-33: the tight cases of Graham 1969, where longest-first is 7, 11 and 15; F-34, F-35.
    Classic::equal_machines(2, &[3, 3, 2, 2, 2]).expect("F-31", 6.0);
    Classic::equal_machines(3, &[5, 5, 4, 4, 3, 3, 3]).expect("F-32", 9.0);
    Classic::equal_machines(4, &[7, 7, 6, 6, 5, 5, 4, 4, 4]).expect("F-33", 12.0);
    Classic::equal_machines(2, &[4, 5, 6, 7, 8]).expect("F-34", 15.0);
    Classic::equal_machines(3, &[1, 1, 1, 1, 1, 1, 3]).expect("F-35", 3.0);
}

#[test]
fn a_die_shared_by_two_benders() {
    // F-36: exact solver: the three jobs of the one die take 4 + 3 + 2.
    let mut classic = Classic::new("makespan", &["m1", "m2"]);
    classic.tools = vec![
        json!({ "id": "D", "count": 1, "available_from": 0 }),
        json!({ "id": "E", "count": 1, "available_from": 0 }),
    ];
    for (time, die) in [(4, "D"), (3, "D"), (2, "D"), (3, "E")] {
        let with_die = |cell: &str| json!({ "cell": cell, "run": time, "setup_key": die, "tools": [die] });
        classic = classic.job(0, 0, vec![vec![vec![with_die("m1"), with_die("m2")]]]);
    }
    classic.expect("F-36", 9.0);
}

/// Three bending cells and one washer; every job has two ways (F-37, F-38).
fn processes_then_washer(objective: &'static str) -> Classic {
    let ways = [
        [("R", 60), ("F", 90)],
        [("C", 30), ("R", 50)],
        [("R", 70), ("R", 70)],
        [("F", 80), ("R", 65)],
        [("C", 45), ("F", 60)],
        [("R", 40), ("C", 55)],
    ];
    let (due, weights) = ([120, 45, 150, 100, 80, 110], [3, 2, 5, 2, 4, 1]);
    let mut classic = Classic::new(objective, &["R", "C", "F", "W"]);
    for (j, options) in ways.iter().enumerate() {
        let mut routes: Vec<Vec<Vec<Value>>> =
            options.iter().map(|(cell, time)| vec![vec![on(cell, *time)], vec![on("W", 10)]]).collect();
        routes.truncate(if j == 2 { 1 } else { 2 });
        classic = classic.released(if j == 2 { 40 } else { 0 }, due[j], weights[j], routes);
    }
    classic
}

#[test]
fn alternative_processes_then_one_washer() {
    // F-37, F-38: enumerated over all ways and sequences; an exact solver agrees.
    processes_then_washer("makespan").expect("F-37", 150.0);
    processes_then_washer("tardiness").expect("F-38", 50.0);
}

#[test]
fn job_shop_ft06() {
    // F-40: Fisher and Thompson 1963; optimum 55 proved many times.
    let rows = [
        [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
        [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
        [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
        [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
        [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
        [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
    ];
    let names = ["m0", "m1", "m2", "m3", "m4", "m5"];
    let mut classic = Classic::new("makespan", &names);
    for row in rows {
        let operations = row.iter().map(|(machine, time)| vec![on(names[*machine], *time)]).collect();
        classic = classic.job(0, 0, vec![operations]);
    }
    classic.expect("F-40", 55.0);
}
