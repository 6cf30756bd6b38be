//! The benchmark program. It times nothing to pass or fail: it measures, in one run on one
//! machine, and prints a page.
//!
//! ```sh
//! cargo run --release --bin bench -- program     # reading, planning, memory
//! cargo run --release --bin bench -- book        # fit of a part, compile of 5,000 orders
//! cargo run --release --bin bench -- sizes 10    # first schedule, speed, memory against number of jobs
//! cargo run --release --bin bench -- rehearsal   # a plan carried out 2,000 times
//! cargo run --release --bin bench -- promise     # answers to inquiries, the tooling question
//! cargo run --release --bin bench -- report      # pages and lists of a 300-order book
//! cargo run --release --bin bench -- cutting     # bars for 2,000 blanks
//! cargo run --release --bin bench -- replan      # the first plan after a disruption
//! cargo run --release --bin bench -- import      # workbooks and CSV of 20,000 and 200,000 rows
//! cargo run --release --bin bench -- shops 10    # cost and bound in so many seconds
//! cargo run --release --bin bench -- peer 10     # the same, and a general solver beside it
//! cargo run --release --bin bench -- proofs 60   # small shops: optima found and proved
//! cargo run --release --bin bench -- curves      # cost against seconds, up to 60
//! cargo run --release --bin bench -- stops       # how soon it stops, how exactly it keeps its time
//! cargo run --release --bin bench -- published FOLDER 10   # published instances
//! cargo run --release --bin bench -- optima 20   # makes tests/cases/optima.csv anew
//! cargo run --release --bin bench -- purchases   # makes tests/cases/purchases.csv anew
//! ```
//!
//! `shops` and `peer` take `--seed N` for another seed than 1. `published` takes `--set NAME` (the
//! beginning of a set's name) and `--every K` (each K-th instance of a set). `--bare` leaves out what
//! a page says first; `heading` prints only that, `calls` how the shops are made. `peer`, `optima` and
//! `purchases` need Python with the `ortools` package;
//! `published` a folder of instances with a `best_known.csv` (columns set, instance, jobs, machines, operations,
//! objective, lower_bound, upper_bound, optimal). `sh reports/refresh-benchmarks.sh` makes the whole page.
//! Machines are noisy: look at ratios.

mod book;
mod curves;
mod cutting;
mod import;
mod measure;
mod optima;
mod program;
mod promise;
mod proofs;
mod published;
mod purchases;
mod rehearsal;
mod replan;
mod report;
mod shops;
mod sizes;
mod stops;
mod targets;

use std::process::ExitCode;
use std::str::FromStr;

const USAGE: &str = "usage: bench [--bare] program | book | sizes SECONDS | rehearsal | promise | stops | shops SECONDS [--seed N] | \
                     peer SECONDS [--seed N] | proofs SECONDS | curves | published FOLDER SECONDS [--set NAME] [--every K] | \
                     optima SECONDS | purchases | heading";

/// The command line: words, and what was set by name.
struct Arguments {
    words: Vec<String>,
}

impl Arguments {
    /// Takes out a switch.
    fn switch(&mut self, name: &str) -> bool {
        let before = self.words.len();
        self.words.retain(|word| word != name);
        self.words.len() < before
    }

    /// Takes out a name and the value after it.
    fn value<T: FromStr>(&mut self, name: &str) -> Option<T> {
        let at = self.words.iter().position(|word| word == name)?;
        let value = self.words.get(at + 1)?.parse().ok()?;
        self.words.drain(at..at + 2);
        Some(value)
    }
}

fn main() -> ExitCode {
    let mut arguments = Arguments { words: std::env::args().skip(1).collect() };
    let is_bare = arguments.switch("--bare");
    let seed = arguments.value("--seed").unwrap_or(1);
    let set = arguments.value("--set").unwrap_or_default();
    let every = arguments.value("--every").unwrap_or(1);
    let words: Vec<&str> = arguments.words.iter().map(String::as_str).collect();
    let seconds = words.last().and_then(|text| text.parse::<f64>().ok()).filter(|value| *value > 0.0);
    if !is_bare {
        elbowroom_tests::measured::heading();
    }
    match (words.as_slice(), seconds) {
        (["heading"], _) => {}
        (["calls"], _) => shops::calls(),
        (["program"], _) => program::run(),
        (["book"], _) => book::run(),
        (["rehearsal"], _) => rehearsal::run(),
        (["promise"], _) => promise::run(),
        (["replan"], _) => replan::run(),
        (["import"], _) => import::run(),
        (["report"], _) => report::run(),
        (["cutting"], _) => cutting::run(),
        (["curves"], _) => curves::run(),
        (["stops"], _) => stops::run(),
        (["sizes", _], Some(seconds)) => sizes::run(seconds),
        (["one-size", jobs, weeks, _], Some(seconds)) => sizes::one(jobs, weeks, seconds),
        (["shops", _], Some(seconds)) => shops::run(seconds, seed, false),
        (["peer", _], Some(seconds)) => shops::run(seconds, seed, true),
        (["proofs", _], Some(seconds)) => proofs::run(seconds),
        (["optima", _], Some(seconds)) => optima::run(seconds),
        (["purchases"], _) => purchases::run(),
        (["published", folder, _], Some(seconds)) => {
            published::run(folder.as_ref(), seconds, &published::Part { set, every });
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}
