//! Makes `tests/cases/optima.csv` anew: small shops solved to the end by a general constraint solver.

use elbowroom_contract::write_problem;
use elbowroom_tests::optima::{ROUNDING, candidates, problem};
use elbowroom_tests::referee::{Answer, solve_many};

/// The solver's threads; its time for each shop comes from the command line.
const THREADS: u32 = 2;

/// Prints the file. What is not proved is left out, and said on standard error.
pub fn run(seconds: f64) {
    println!(
        "# Optima of small shops, proved by a general constraint solver: OR-Tools {} (CP-SAT, {THREADS} threads,\n\
         # {seconds} s each at most) with the model of tests/referee/cpsat_baseline.py; each schedule was found\n\
         # valid by the referee and costs what the solver proves no schedule can beat, but for {ROUNDING}.\n\
         # Made on {} by\n\
         #   cargo run --release --bin bench -- optima {seconds} > tests/cases/optima.csv\n\
         # `small N` is the shop of seed N of tests/src/small_shop.rs, the others are made by make_shop.py.\n\
         shop,optimum",
        elbowroom_tests::measured::output("python3", &["-c", "import ortools; print(ortools.__version__)"]),
        elbowroom_tests::measured::output("date", &["-u", "+%Y-%m-%d"]),
    );
    let shops = candidates();
    let problems: Vec<String> = shops.iter().map(|shop| write_problem(&problem(shop))).collect();
    let mut shops = shops.iter();
    solve_many(problems, seconds, THREADS, |answer| {
        let shop = shops.next().expect("one answer for each shop");
        match answer {
            Answer { objective: Some(objective), bound: Some(bound), status }
                if status == "OPTIMAL" && objective - bound <= ROUNDING =>
            {
                println!("{shop},{objective}");
            }
            _ => eprintln!("{shop}: left out: {answer:?}"),
        }
    });
}
