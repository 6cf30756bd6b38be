//! How long it takes to ask 16 machines about one part, and to study a book of 5,000 parts.
//!
//! `cargo run --release -p elbowroom-bending --example fit_speed`
//!
//! The rules are the shipped ones.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{material, mm, piece, rules, shape, tube};
use elbowroom_bending::fit::{MachineLimits, Study, assess};
use elbowroom_bending::geometry::coil::Coil;
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::Shape;
use elbowroom_units::Mm;
use std::time::Instant;

fn main() {
    let rules = rules();
    let steel = material("steel-dom-1020");
    let machines: Vec<MachineLimits> =
        (0..16).map(|i| MachineLimits::unlimited(Process::ALL[i % Process::ALL.len()])).collect();
    let rows: Vec<(f64, f64, f64, f64)> =
        (0..9).map(|i| (120.0 + 10.0 * f64::from(i), if i == 0 { 0.0 } else { 40.0 }, 76.2, 50.0)).collect();
    let frame = shape(&rows, 150.0);
    let coil = Coil::new(mm(400.0), mm(40.0), 10.0)
        .and_then(|coil| coil.shape(Mm::ZERO, Mm::ZERO).map_err(|faults| faults[0]));
    let coil = coil.expect("a coil of these dimensions is sound");
    time("one part of 9 bends, 16 machines, each from scratch", 200, || {
        let piece = piece(tube(25.4, 1.651), &steel, &frame);
        machines.iter().filter(|machine| assess(&piece, machine, &rules).can()).count()
    });
    for (name, shape) in [("9 bends", &frame), ("coil of 120 arcs", &coil)] {
        time(&format!("one part of {name}, 16 machines, studied once"), 200, || {
            let piece = piece(tube(25.4, 1.651), &steel, shape);
            let study = Study::new(&piece, &rules);
            machines.iter().filter(|machine| study.on(machine).can()).count()
        });
    }
    let book: Vec<Shape> = (0..5_000).map(|i| shape(&rows[..1 + i % 9], 150.0)).collect();
    time("a book of 5,000 parts of 1 to 9 bends, 16 machines each", 1, || {
        let count = |shape: &Shape| {
            let piece = piece(tube(25.4, 1.651), &steel, shape);
            let study = Study::new(&piece, &rules);
            machines.iter().filter(|machine| study.on(machine).can()).count()
        };
        book.iter().map(count).sum()
    });
}

/// Runs `work` so many times and prints the mean.
fn time(what: &str, times: u32, work: impl Fn() -> usize) {
    let start = Instant::now();
    let can: usize = (0..times).map(|_| work()).sum();
    let mean = start.elapsed() / times;
    println!("{what}: {:.3} ms ({} can)", mean.as_secs_f64() * 1000.0, can / times as usize);
}
