//! The benchmark program. It times nothing to pass or fail: it measures, in one run on one
//! machine, and prints a page.
//!
//! ```sh
//! cargo run --release -p elbowroom-tests --bin bench -- program     # reading, planning, memory
//! cargo run --release -p elbowroom-tests --bin bench -- book        # fit of a part, compile of 5,000 orders
//! cargo run --release -p elbowroom-tests --bin bench -- sizes       # first schedule against number of jobs
//! cargo run --release -p elbowroom-tests --bin bench -- rehearsal   # a plan carried out 2,000 times
//! cargo run --release -p elbowroom-tests --bin bench -- promise     # answers to inquiries, the tooling question
//! cargo run --release -p elbowroom-tests --bin bench -- shops 10    # cost and bound in so many seconds
//! cargo run --release -p elbowroom-tests --bin bench -- peer 10     # the same, and a general solver beside it
//! cargo run --release -p elbowroom-tests --bin bench -- published FOLDER 10   # published instances
//! ```
//!
//! `peer` needs Python with the `ortools` package; `published` a folder of instances with a
//! `best_known.csv` (columns set, instance, objective, lower_bound, upper_bound).
//! Machines are noisy: look at ratios.

mod book;
mod measure;
mod page;
mod program;
mod promise;
mod published;
mod rehearsal;
mod shops;
mod sizes;

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let seconds = |text: &str| text.parse::<f64>().ok().filter(|value| *value > 0.0);
    page::heading();
    match words.as_slice() {
        ["program"] => program::run(),
        ["book"] => book::run(),
        ["sizes"] => sizes::run(),
        ["rehearsal"] => rehearsal::run(),
        ["promise"] => promise::run(),
        ["shops", time] if seconds(time).is_some() => shops::run(seconds(time).unwrap_or(10.0), false),
        ["peer", time] if seconds(time).is_some() => shops::run(seconds(time).unwrap_or(10.0), true),
        ["published", folder, time] if seconds(time).is_some() => {
            published::run(folder.as_ref(), seconds(time).unwrap_or(10.0));
        }
        _ => {
            eprintln!(
                "usage: bench program | book | sizes | rehearsal | promise | shops SECONDS | peer SECONDS | published FOLDER SECONDS"
            );
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}
