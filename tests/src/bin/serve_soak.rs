//! Kills the service 200 times while clients record progress, plan anew and publish: is anything that
//! it acknowledged missing, is any plan half, does it serve again?
//!
//! ```sh
//! cargo build --release --workspace --bin elbowroom
//! cargo run --release --bin serve_soak            # 200 kills, some minutes
//! cargo run --release --bin serve_soak -- 20
//! ```

use elbowroom_tests::chance::Chance;
use elbowroom_tests::serve_soak::{Acknowledged, is_whole, kill_one};
use elbowroom_tests::service::write_planned_store;
use elbowroom_tests::serving::Serving;
use std::process::ExitCode;
use std::time::{Duration, Instant};

fn main() -> ExitCode {
    let kills = std::env::args().nth(1).map_or(Some(200), |kills| kills.parse().ok());
    let Some(kills) = kills else {
        eprintln!("usage: serve_soak [NUMBER OF KILLS]");
        return ExitCode::from(2);
    };
    match soak(kills) {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            println!("{fault}");
            ExitCode::FAILURE
        }
    }
}

fn soak(kills: u64) -> Result<(), String> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("shop.store");
    write_planned_store(&path);
    let (mut chance, mut known, began) = (Chance::new(1), Acknowledged::default(), Instant::now());
    for run in 0..kills {
        let after = Duration::from_millis(50 + chance.below(1_500) as u64);
        kill_one(&path, &mut known, run, after).map_err(|fault| format!("after kill {run}: {fault}"))?;
    }
    let service = Serving::start(&path, &[], None);
    is_whole(&service, &known).map_err(|fault| format!("after the last kill: {fault}"))?;
    println!(
        "{kills} kills in {:.0} s: {} reports and {} publications acknowledged, none missing, no plan half; the store \
         has {} kB; the last start took {:.0?} to its first answer",
        began.elapsed().as_secs_f64(),
        known.reports.len(),
        known.published.len(),
        std::fs::metadata(&path).map_or(0, |about| about.len() >> 10),
        service.took
    );
    Ok(())
}
