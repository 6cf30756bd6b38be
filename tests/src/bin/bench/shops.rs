//! Reference shops: cost and proven bound in a given time, and a general constraint solver beside.

use elbowroom_tests::program::{program, repository};
use elbowroom_tests::referee::{folder, make_shop};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Name, how the generator makes it, and the best cost that anybody had found by November 2026 (long
/// runs of a prototype; a general constraint solver proves that of s01 to be the optimum).
pub const SHOPS: [(&str, &str, f64); 9] = [
    ("s01", "--jobs 15 --weeks 2 --seed 101", 26_676.05),
    ("s02", "--jobs 40 --weeks 3 --seed 102", 79_190.42),
    ("s03", "--jobs 80 --weeks 4 --seed 103", 107_528.49),
    ("s04", "--jobs 150 --weeks 5 --seed 104", 211_976.75),
    ("s05", "--jobs 300 --weeks 6 --seed 105", 339_472.76),
    ("s06", "--jobs 600 --weeks 8 --seed 106", 692_568.08),
    ("t01", "--jobs 20 --weeks 4 --seed 201 --missing 0.45 --lead 1 2 --price 0.25 --load 0.85", 51_552.38),
    (
        "t02",
        "--jobs 60 --weeks 5 --seed 202 --missing 0.4 --lead 1 3 --price 0.15 --bound 0.25 --load 0.85 --slack 12",
        125_151.36,
    ),
    (
        "t03",
        "--jobs 200 --weeks 6 --seed 203 --missing 0.35 --lead 1 4 --price 0.2 --bound 0.15 --load 0.85 --slack 12",
        285_712.07,
    ),
];

/// Prints the page, each row as it comes.
pub fn run(seconds: f64, seed: u64, with_peer: bool) {
    println!(
        "{seconds} s, 2 threads, seed {seed}. Gap: (cost - bound) / cost. Best known: found by anybody before.\n"
    );
    println!("| shop | cost | / best known | bound | gap | late | general solver | ours / general |");
    println!("|---|---|---|---|---|---|---|---|");
    let work = tempfile::tempdir().expect("a temporary folder");
    let mut ratios = Vec::new();
    for (name, call, known) in SHOPS {
        let words: Vec<&str> = call.split(' ').collect();
        let file = work.path().join(format!("{name}.json"));
        std::fs::write(&file, make_shop(&words)).expect("the temporary folder can be written");
        let ours = ours(&file, seconds, seed);
        let cost = ours["objective"].as_f64().unwrap_or(f64::NAN);
        let theirs = if with_peer { peer(&file, seconds) } else { None };
        ratios.push(cost / known);
        println!(
            "| {name} | {cost:.2} | {:.4} | {} | {} | {} | {} | {} |",
            cost / known,
            number(&ours["lower_bound"], 2),
            number(&Value::from(ours["gap"].as_f64().map(|gap| gap * 100.0)), 2) + " %",
            ours["late_jobs"],
            theirs.map_or_else(|| "-".to_owned(), |value| format!("{value:.2}")),
            theirs.map_or_else(|| "-".to_owned(), |value| format!("{:.4}", cost / value)),
        );
    }
    // One number to compare two programs by.
    let mean = ratios.iter().map(|ratio| ratio.ln()).sum::<f64>() / ratios.len() as f64;
    println!("\nGeometric mean of cost / best known: {:.5}", mean.exp());
}

/// Prints how each shop is made.
pub fn calls() {
    println!("| shop | `make_shop.py` of `tests/referee` with |\n|---|---|");
    for (name, call, _) in SHOPS {
        println!("| {name} | `{call}` |");
    }
}

/// Our answer, as the program prints it.
pub fn ours(file: &Path, seconds: f64, seed: u64) -> Value {
    let output = Command::new(program())
        .current_dir(repository())
        .arg("solve")
        .arg(file)
        .args(["--seconds", &seconds.to_string(), "--threads", "2", "--seed", &seed.to_string(), "--json"])
        .output()
        .expect("the program can be started");
    serde_json::from_slice(&output.stdout).unwrap_or(Value::Null)
}

/// The general solver's cost at the same time and threads.
fn peer(file: &Path, seconds: f64) -> Option<f64> {
    let out = file.with_extension("peer.json");
    let status = Command::new("python3")
        .arg(folder().join("cpsat_baseline.py"))
        .arg(file)
        .args(["--seconds", &seconds.to_string(), "--workers", "2", "--out"])
        .arg(&out)
        .stdout(std::process::Stdio::null())
        .status()
        .ok()?;
    let text = std::fs::read_to_string(out).ok().filter(|_| status.success())?;
    serde_json::from_str::<Value>(&text).ok()?["objective"].as_f64()
}

fn number(value: &Value, decimals: usize) -> String {
    value.as_f64().map_or_else(|| "-".to_owned(), |value| format!("{value:.decimals$}"))
}
