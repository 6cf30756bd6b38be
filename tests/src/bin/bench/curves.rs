//! Cost against seconds: one run for each reference shop, looked at on the way.

use crate::shops::SHOPS;
use elbowroom_contract::read_problem;
use elbowroom_engine::{Progress, Settings, solve};
use elbowroom_tests::referee::make_shop;
use elbowroom_tests::watches::WallClock;
use elbowroom_verify::verify;
use std::time::Duration;

/// When to look; the last is the time of the whole run.
const SECONDS: [u64; 6] = [1, 2, 5, 10, 30, 60];

/// Prints the page, each row as it comes.
pub fn run() {
    let whole = SECONDS[SECONDS.len() - 1];
    println!(
        "Best cost after so many seconds of one solve of {whole} s, by its progress events; 2 threads, seed 1.\n"
    );
    let heads: String = SECONDS.iter().map(|second| format!(" {second} s |")).collect();
    println!("| shop | first schedule, s | its cost |{heads} bound |");
    println!("|---|---|---|{}---|", "---|".repeat(SECONDS.len()));
    for (name, call, _) in SHOPS {
        let words: Vec<&str> = call.split(' ').collect();
        let problem = read_problem(make_shop(&words).as_bytes()).expect("the generator makes valid problems");
        let clock = WallClock::new(Duration::from_secs(whole));
        let answer = solve(&problem, &Settings { threads: 2, seed: 1, iterations: None }, &clock);
        let answer = answer.expect("a schedule exists");
        let figures = answer.figures;
        let verified = verify(&problem, answer.schedule).expect("the schedule is valid");
        let events = clock.seen();
        let on_the_way: String = SECONDS[..SECONDS.len() - 1]
            .iter()
            .map(|&second| format!(" {} |", amount(best_by(&events, Duration::from_secs(second)))))
            .collect();
        println!(
            "| {name} | {:.2} | {} |{on_the_way} {:.2} | {} |",
            figures.first_seconds,
            amount(figures.first_objective),
            verified.figures().objective,
            amount(verified.schedule().lower_bound),
        );
    }
}

fn best_by(events: &[Progress], time: Duration) -> Option<f64> {
    events.iter().filter(|event| event.elapsed <= time).map(|event| event.best).reduce(f64::min)
}

fn amount(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |value| format!("{value:.2}"))
}
