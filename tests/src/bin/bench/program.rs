//! The demo shop: how long reading and planning take, and how much memory.

use crate::measure::{measure, median};
use elbowroom_tests::program::{program, repository};
use std::process::Command;

const DEMO: &str = "examples/ottergrund";
const RUNS: usize = 21;

fn elbowroom() -> Command {
    let mut command = Command::new(program());
    command.current_dir(repository());
    command
}

/// Prints the page.
pub fn run() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let checks = (0..RUNS).map(|_| measure(elbowroom().args(["check", DEMO])).wall).collect();
    println!("| what | figure |\n|---|---|");
    println!(
        "| `check` of the demo, whole process, median of {RUNS} | {:.1} ms |",
        median(checks).as_secs_f64() * 1e3
    );
    for seconds in ["2", "10"] {
        let out = folder.path().join(format!("out-{seconds}"));
        let measured = measure(
            elbowroom().args(["plan", DEMO, "--seconds", seconds, "--threads", "2", "--out"]).arg(out),
        );
        println!(
            "| `plan --seconds {seconds}` of the demo: wall time, peak memory | {:.2} s, {:.0} MB |",
            measured.wall.as_secs_f64(),
            measured.memory as f64 / 1e6
        );
    }
}
