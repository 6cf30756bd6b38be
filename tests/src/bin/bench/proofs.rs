//! Small shops: how many optima are found and proved in a given time, and how soon.

use super::shops::ours;
use elbowroom_tests::referee::make_shop;
use std::time::Instant;

const JOBS: [u32; 8] = [8, 10, 12, 15, 18, 20, 25, 30];
const SHOPS_OF_A_SIZE: u32 = 3;

/// Prints the page, each row as it comes.
pub fn run(seconds: f64) {
    println!(
        "Shops of two weeks, of each size those of the seeds 100 x jobs + 1 to 3; {seconds} s, 2 threads, seed 1.\n"
    );
    println!("| jobs | seed | cost | bound | gap | seconds taken |\n|---|---|---|---|---|---|");
    let work = tempfile::tempdir().expect("a temporary folder");
    let mut proved = Vec::new();
    for jobs in JOBS {
        for seed in 100 * jobs + 1..=100 * jobs + SHOPS_OF_A_SIZE {
            let file = work.path().join(format!("{seed}.json"));
            let words = ["--jobs", &jobs.to_string(), "--weeks", "2", "--seed", &seed.to_string()];
            std::fs::write(&file, make_shop(&words)).expect("the temporary folder can be written");
            let begun = Instant::now();
            let answer = ours(&file, seconds, 1);
            let took = begun.elapsed().as_secs_f64();
            let number = |key: &str| answer[key].as_f64().unwrap_or(f64::NAN);
            let (cost, bound, gap) = (number("objective"), number("lower_bound"), 100.0 * number("gap"));
            proved.push((jobs, bound >= cost * (1.0 - 1e-6)));
            println!("| {jobs} | {seed} | {cost:.2} | {bound:.2} | {gap:.2} % | {took:.1} |");
        }
    }
    for (from, to) in [(0, 20), (21, 30)] {
        let size: Vec<bool> =
            proved.iter().filter(|(jobs, _)| (from..=to).contains(jobs)).map(|(_, proved)| *proved).collect();
        let done = size.iter().filter(|proved| **proved).count();
        println!("\nProved with {from} to {to} jobs: {done} of {}.", size.len());
    }
}
