//! Kills a program 200 times in the middle of recording and publishing: is anything acknowledged
//! missing, is any plan half, does the store still open?
//!
//! ```sh
//! cargo run --release --bin store_soak            # 200 kills, about a minute
//! cargo run --release --bin store_soak -- 1000    # more
//! ```

use elbowroom_tests::chance::Chance;
use elbowroom_tests::store_soak::{Kill, kill_one, write_until_killed};
use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["--write", path, run] => write_until_killed(Path::new(path), run),
        [] => soak(200),
        [kills] if kills.parse::<u64>().is_ok() => soak(kills.parse().unwrap_or(200)),
        _ => {
            eprintln!("usage: store_soak [NUMBER OF KILLS]");
            ExitCode::from(2)
        }
    }
}

fn soak(kills: u64) -> ExitCode {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("shop.store");
    let (mut chance, began) = (Chance::new(1), Instant::now());
    let (mut sum, mut faults) = (Kill::default(), 0);
    for run in 0..kills {
        let after = Duration::from_millis(20 + chance.below(180) as u64);
        match kill_one(
            Command::new(std::env::current_exe().expect("this program")).arg("--write"),
            &path,
            &format!("r{run}"),
            after,
        ) {
            Ok(kill) => {
                sum.reports += kill.reports;
                sum.published += kill.published;
                sum.unacknowledged += kill.unacknowledged;
            }
            Err(fault) => {
                faults += 1;
                println!("kill {run}: {fault}");
            }
        }
    }
    println!(
        "{kills} kills in {:.0} s: {} reports and {} publications acknowledged, {faults} faults; {} reports were \
         kept although their acknowledgement did not get through; the store has {} kB",
        began.elapsed().as_secs_f64(),
        sum.reports,
        sum.published,
        sum.unacknowledged,
        std::fs::metadata(&path).map_or(0, |about| about.len() >> 10)
    );
    if faults == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
