//! Makes `tests/cases/purchases.csv` anew: purchases decided by a general constraint solver.

use elbowroom_tests::measured::output;
use elbowroom_tests::purchases::{market, seeds};
use elbowroom_tests::referee::buy_many;

/// Prints the file. What is not proved is left out, and said on standard error.
pub fn run() {
    println!(
        "# Least cost of purchases and ways together, in whole cents, proved by a general constraint solver:\n\
         # OR-Tools {} (CP-SAT) with the model of tests/referee/buy_many.py. Made on {} by\n\
         #   cargo run --release --bin bench -- purchases > tests/cases/purchases.csv\n\
         # The market of each seed is made by tests/src/purchases.rs.\n\
         seed,optimum",
        output("python3", &["-c", "import ortools; print(ortools.__version__)"]),
        output("date", &["-u", "+%Y-%m-%d"]),
    );
    let questions: Vec<String> = seeds().map(|seed| market(seed).question().to_string()).collect();
    for (seed, answer) in seeds().zip(buy_many(&questions)) {
        match answer.parse::<i64>() {
            Ok(optimum) => println!("{seed},{optimum}"),
            Err(_) => eprintln!("{seed}: left out: {answer}"),
        }
    }
}
