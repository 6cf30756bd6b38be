//! Problems in which only cells and the order of jobs bind, for tests.

use crate::compiled::Compiled;
use crate::plan::Plan;
use crate::{Settings, Watch, start};
use elbowroom_contract::read_problem;
use elbowroom_problem::Problem;
use std::time::Duration;

pub(super) const NO_CHANGEOVER: &str = r#"{"default": 0, "same": 0, "pairs": []}"#;

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
pub(super) type Work = (usize, u32, u32);

/// A problem of cells that are always open: for each job its steps, for each step its options.
/// With `waits` some jobs are released later and some steps have a lag.
pub(super) fn problem(cells: usize, changeover: &str, waits: usize, jobs: &[Vec<Vec<Work>>]) -> Problem {
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

/// A first plan of the problem that was compiled.
pub(super) fn first_plan<'a>(problem: &Problem, c: &'a Compiled) -> Plan<'a> {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(100) };
    start::plans(problem, c, &settings, &Patient).remove(0)
}
