//! Shops of growing size: seconds to the first valid schedule, memory, and how fast the search is.
//!
//! Each size is a process of its own, so that each has its own memory.

use crate::measure::own_peak_memory;
use elbowroom_contract::read_problem;
use elbowroom_engine::{Settings, solve};
use elbowroom_tests::referee::make_shop;
use elbowroom_tests::watches::WallClock;
use elbowroom_verify::verify;
use std::process::Command;
use std::time::Duration;

/// Jobs and weeks.
const SIZES: [(u32, u32); 9] =
    [(15, 2), (40, 3), (80, 4), (150, 5), (300, 6), (600, 8), (1500, 12), (3000, 20), (5000, 30)];
const THREADS: usize = 2;

/// Prints the page, each row as it comes.
pub fn run(seconds: f64) {
    println!(
        "{seconds} s each, {THREADS} threads, seed 1; `make_shop.py --jobs JOBS --weeks WEEKS --seed 900`.\n"
    );
    println!(
        "| jobs | weeks | operations | first valid schedule, s | its cost | cost at the end | \
         evaluations a second and thread | peak memory, MB |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    for (jobs, weeks) in SIZES {
        let me = std::env::current_exe().expect("a running program has a path");
        let words = ["--bare", "one-size", &jobs.to_string(), &weeks.to_string(), &seconds.to_string()];
        let output = Command::new(me).args(words).output().expect("this program can be started again");
        if output.status.success() {
            print!("{}", String::from_utf8_lossy(&output.stdout));
        } else {
            println!("| {jobs} | {weeks} | failed: {} |", String::from_utf8_lossy(&output.stderr).trim());
        }
    }
}

/// Prints the row of one size.
pub fn one(jobs: &str, weeks: &str, seconds: f64) {
    let text = make_shop(&["--jobs", jobs, "--weeks", weeks, "--seed", "900"]);
    let problem = read_problem(text.as_bytes()).expect("the generator makes valid problems");
    let clock = WallClock::new(Duration::from_secs_f64(seconds));
    let settings = Settings { threads: THREADS, seed: 1, iterations: None };
    let answer = solve(&problem, &settings, &clock).expect("a schedule exists");
    let figures = answer.figures;
    let verified = verify(&problem, answer.schedule).expect("the schedule is valid");
    let first = figures.first_objective.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}"));
    println!(
        "| {jobs} | {weeks} | {} | {:.2} | {first} | {:.2} | {:.0} | {:.0} |",
        verified.schedule().operations.len(),
        figures.first_seconds,
        verified.figures().objective,
        figures.evaluations as f64 / THREADS as f64 / seconds,
        own_peak_memory() as f64 / 1e6,
    );
}
