//! A large order book: how long it takes to compile, and to hold its parts up to every cell.

use crate::measure::{measure, median, processor_time};
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_files::read_shop;
use elbowroom_planner::compile;
use elbowroom_planner::fit::{Inquiry, fit};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::part::Part;
use elbowroom_tests::chance::Chance;
use elbowroom_tests::program::{program, repository};
use elbowroom_tests::trial_shop::{CLR, cell, draw, order, part, request, trial_shop};
use elbowroom_units::{Deg, Mm};
use std::process::Command;
use std::time::{Duration, Instant};

const DEMO: &str = "examples/ottergrund";
/// Every order is for a part of its own.
const ORDERS: usize = 5_000;
const RUNS: usize = 21;
/// Runs in this process, of which the middle one counts.
const REPEATS: u32 = 5;

/// Prints the page.
pub fn run() {
    println!("| what | figure |\n|---|---|");
    fits();
    compiles();
}

/// `fit` of every part of the demo: in this process, and as a whole process that reads the shop.
fn fits() {
    let shop = read_shop(&repository().join(DEMO)).shop.expect("the demo can be read");
    let used = processor_time();
    let times: Vec<Duration> = shop.parts.iter().map(|part| time_of_fit(&shop, part)).collect();
    let used = (processor_time() - used) / (times.len() as u32 * REPEATS);
    let slowest = times.iter().max().copied().unwrap_or_default();
    println!(
        "| `fit` of one of the {} parts of the demo, shop in memory: median, slowest; processor time | \
         {:.2} ms, {:.2} ms; {:.2} ms |",
        times.len(),
        millis(median(times)),
        millis(slowest),
        millis(used)
    );
    let whole = || {
        let mut command = Command::new(program());
        measure(command.current_dir(repository()).args(["fit", DEMO, "--part", "ST-951"])).wall
    };
    let whole = (0..RUNS).map(|_| whole()).collect();
    println!(
        "| `fit` of a part of the demo, whole process, median of {RUNS} | {:.1} ms |",
        millis(median(whole))
    );
}

/// The middle one of several runs.
fn time_of_fit(shop: &Shop, part: &Part) -> Duration {
    let inquiry = Inquiry { quantity: 100, today: request().start };
    let run = || {
        let start = Instant::now();
        let found = fit(shop, part, &inquiry).expect("its tube is listed");
        assert!(!found.cells.is_empty(), "the demo has bending cells");
        start.elapsed()
    };
    median((0..REPEATS).map(|_| run()).collect())
}

fn compiles() {
    let shop = large_shop(ORDERS);
    let run = || {
        let start = Instant::now();
        let compiled = compile(&shop, &request()).expect("the book compiles");
        assert_eq!(compiled.problem.jobs.len() + compiled.left_out.len(), ORDERS, "every order is told of");
        start.elapsed()
    };
    let used = processor_time();
    let time = median((0..REPEATS).map(|_| run()).collect());
    println!(
        "| compile of {ORDERS} orders of {ORDERS} parts on {} cells, median of {REPEATS}; processor time | \
         {:.2} s; {:.2} s |",
        shop.cells.len(),
        time.as_secs_f64(),
        ((processor_time() - used) / REPEATS).as_secs_f64()
    );
}

fn millis(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// Parts of 1 to 8 bends with 1 of 40 radii on 12 bending cells.
fn large_shop(orders: usize) -> Shop {
    let mut chance = Chance::new(1);
    let mut shop = trial_shop();
    shop.parts.clear();
    for number in 3..10 {
        shop.cells.push(draw(&format!("draw-{number}")));
    }
    shop.cells.push(cell("free-2", WorkKind::Bend(Process::FreeForm)));
    shop.cells.push(cell("roll", WorkKind::Bend(Process::ThreeRoll)));
    for number in 0..orders {
        let id = format!("P-{number}");
        shop.parts.push(any_part(&id, &mut chance));
        shop.orders.push(order(&format!("O-{number}"), &id, 50, "2026-12-18"));
    }
    shop
}

fn any_part(id: &str, chance: &mut Chance) -> Part {
    let clr = Mm::new(CLR + 2.0 * chance.from_to(0, 39) as f64);
    let bends = (0..chance.from_to(1, 8)).map(|_| Bend {
        straight_before: Mm::new(chance.from_to(200, 600) as f64),
        rotation: Deg::new(0.0),
        clr,
        angle: Deg::new(chance.from_to(10, 45) as f64),
    });
    let shape = Shape::from_rows(bends.collect(), Mm::new(300.0)).expect("long straights and gentle bends");
    Part { shape, ..part(id) }
}
