//! How long the files of a plan take, from a plan in memory: a book of 300 orders.

use crate::measure::median;
use crate::promise::{Unhurried, book};
use elbowroom_engine::Settings;
use elbowroom_planner::sheets::sheets;
use elbowroom_planner::{Request, plan_week};
use elbowroom_report::{RenderOptions, html, render, render_sheets};
use std::time::{Duration, Instant};

const ORDERS: usize = 300;
const REPEATS: usize = 5;

/// Prints the page.
pub fn run() {
    let shop = book(ORDERS);
    let start = shop.terms.plan_start.expect("the demo says when its plan starts");
    let settings = Settings { threads: 2, seed: 1, iterations: Some(500) };
    let planned =
        plan_week(&shop, &Request { start, weeks: 1 }, &settings, &Unhurried).expect("it can be planned");
    let plan = &planned.plan;
    let lots: usize = plan.cells.iter().map(|cell| cell.tasks.len()).sum();
    println!("{} orders, {lots} lots, in memory; median of {REPEATS}.\n", plan.orders.len());
    println!("| what | time | size |\n|---|---|---|");
    line("`report.html` of the week", || html::page(plan, 1200).len());
    line("a dispatch sheet for every cell", || {
        render_sheets(plan, &sheets(&shop, plan)).iter().map(|file| file.bytes.len()).sum()
    });
    let options = RenderOptions { png_scale: None, ..RenderOptions::default() };
    line("all files but pictures as PNG", || {
        render(plan, &options).iter().map(|file| file.bytes.len()).sum()
    });
    line("all files", || render(plan, &RenderOptions::default()).iter().map(|file| file.bytes.len()).sum());
}

fn line(what: &str, make: impl Fn() -> usize) {
    let mut size = 0;
    let once = |_| {
        let begun = Instant::now();
        size = make();
        begun.elapsed()
    };
    let times: Vec<Duration> = (0..REPEATS).map(once).collect();
    println!("| {what} | {:.0} ms | {:.1} MB |", 1000.0 * median(times).as_secs_f64(), size as f64 / 1e6);
}
