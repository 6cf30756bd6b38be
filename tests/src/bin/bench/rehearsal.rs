//! How long it takes to carry a plan out 2,000 times.

use crate::measure::median;
use elbowroom_contract::read_problem;
use elbowroom_engine::{Settings, Watch, solve};
use elbowroom_rehearsal::{
    Breakdown, Delay, Scrap, Settings as Rehearsal, Spread, Turns, Uncertainty, WorkChance,
};
use elbowroom_tests::referee::make_shop;
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::verify;
use std::time::{Duration, Instant};

/// Jobs and weeks.
const SIZES: [(u32, u32); 4] = [(40, 3), (200, 6), (600, 8), (1500, 12)];
const RUNS: u32 = 2000;
const REPEATS: usize = 5;

/// A solve of so many steps, however long they take.
struct Unhurried;

impl Watch for Unhurried {
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

/// Prints the page.
pub fn run() {
    println!(
        "{RUNS} runs with everything uncertain (times, scrap, breakdowns, material, tools), median of {REPEATS}.\n"
    );
    println!("| jobs | operations | 1 thread, s | 2 threads, s |\n|---|---|---|---|");
    for (jobs, weeks) in SIZES {
        let text = make_shop(&["--jobs", &jobs.to_string(), "--weeks", &weeks.to_string(), "--seed", "900"]);
        let problem = read_problem(text.as_bytes()).expect("the generator makes valid problems");
        let settings = Settings { threads: 2, seed: 1, iterations: Some(20_000) };
        let answer = solve(&problem, &settings, &Unhurried).expect("a schedule exists");
        let schedule = verify(&problem, answer.schedule).expect("the schedule is valid");
        let uncertainty = everything(Uncertainty::none(&problem, schedule.schedule()));
        let seconds = |threads| {
            let once = |_| {
                let turns = Turns::LostAfter(Minutes::new(60));
                let marks = vec![Minute::new(7 * 1440)];
                let started = Instant::now();
                let settings = Rehearsal { runs: RUNS, seed: 1, turns, threads, marks };
                let outcome = elbowroom_rehearsal::rehearse(&problem, &schedule, &uncertainty, &settings);
                assert_eq!(outcome.runs, RUNS);
                started.elapsed()
            };
            median((0..REPEATS).map(once).collect()).as_secs_f64()
        };
        println!(
            "| {jobs} | {} | {:.2} | {:.2} |",
            schedule.schedule().operations.len(),
            seconds(1),
            seconds(2)
        );
    }
}

fn everything(mut uncertainty: Uncertainty) -> Uncertainty {
    let scrap = Some(Scrap { pieces: 100, spare: 3, share: 0.02 });
    let work = WorkChance { setup: Spread::lognormal(0.25), run: Spread::lognormal(0.15), scrap };
    uncertainty.work.fill(work);
    uncertainty.releases.fill(Delay { probability: 0.05, mean: Minutes::days(1) });
    uncertainty.tools.fill(Delay { probability: 0.2, mean: Minutes::days(3) });
    let breakdown = Breakdown { between: Minutes::new(12_000), repair: Minutes::new(180), repair_cv: 1.0 };
    uncertainty.cells.fill(Some(breakdown));
    uncertainty
}
