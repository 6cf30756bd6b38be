//! How long an answer to a customer takes, with the plan of a 200-order book loaded.

use crate::measure::median;
use chrono::Days;
use elbowroom_engine::{Settings, Watch};
use elbowroom_files::read_shop;
use elbowroom_planner::promise::{Inquiry, Recompiled, Rehearsal, Standing};
use elbowroom_planner::tooling::tooling;
use elbowroom_planner::{Request, plan_week};
use elbowroom_shop::Shop;
use elbowroom_tests::program::repository;
use std::time::{Duration, Instant};

const ORDERS: usize = 200;
const INQUIRIES: usize = 50;
const THREADS: usize = 2;
const RUNS: u32 = 200;

/// A solve of so many steps, however long they take.
pub struct Unhurried;

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
    let shop = book(ORDERS);
    let start = shop.terms.plan_start.expect("the demo says when its plan starts");
    let request = Request { start, weeks: 2 };
    let settings = Settings { threads: THREADS, seed: 1, iterations: Some(2_000) };
    let planned = plan_week(&shop, &request, &settings, &Unhurried).expect("the book can be planned");
    let begun = Instant::now();
    let recompiled = Recompiled::new(shop.clone(), request, &planned.problem).expect("the same shop");
    let standing = recompiled.standing(planned.schedule.into_schedule()).expect("the plan stands");
    let loaded = begun.elapsed();
    println!("Demo shop with a book of {} orders, {THREADS} threads.\n", standing.shop().orders.len());
    println!("| what | figure |\n|---|---|");
    println!("| holding the plan against the shop | {} |", ms(loaded));
    one_by_one(&standing);
    together(&standing);
    let begun = Instant::now();
    let sets = tooling(&standing, THREADS).sets.len();
    println!("| the tooling question, {sets} sets of tools | {:.2} s |", begun.elapsed().as_secs_f64());
}

/// The demo's orders again and again, a fortnight later each time.
pub fn book(orders: usize) -> Shop {
    let mut shop = read_shop(&repository().join("examples/ottergrund")).shop.expect("the demo can be read");
    let first = shop.orders.clone();
    for number in 0..orders.saturating_sub(first.len()) {
        let mut order = first[number % first.len()].clone();
        let later = Days::new(14 * (1 + (number / first.len()) as u64));
        order.id = format!("{}-{number}", order.id);
        order.promised = order.promised + later;
        order.material = order.material.map(|date| date + later);
        shop.orders.push(order);
    }
    shop
}

/// One inquiry for each part that can be made.
fn inquiries(standing: &Standing) -> Vec<Inquiry> {
    let parts = standing.shop().parts.iter().cycle().take(INQUIRIES).enumerate();
    let asked = parts.map(|(number, part)| Inquiry {
        id: format!("ASKED-{number}"),
        part: part.id.clone(),
        quantity: 60,
        wanted: None,
        material: None,
        customer: None,
    });
    asked.collect()
}

fn one_by_one(standing: &Standing) {
    let (mut plain, mut sure) = (Vec::new(), Vec::new());
    for inquiry in inquiries(standing) {
        let begun = Instant::now();
        let Ok(answer) = standing.answer(&inquiry, THREADS) else { continue };
        plain.push(begun.elapsed());
        let rehearsal = Rehearsal { runs: RUNS, seed: 1, threads: THREADS };
        let begun = Instant::now();
        let kept = standing.how_sure(&answer, answer.best(), &rehearsal);
        assert!(kept.is_some(), "an offer of this plan can be rehearsed");
        sure.push(begun.elapsed());
    }
    let longest = plain.iter().max().copied().unwrap_or_default();
    println!("| an answer, median and longest of {} | {}, {} |", plain.len(), ms(median(plain)), ms(longest));
    println!("| how sure it is, {RUNS} runs, median | {} |", ms(median(sure)));
}

/// Each answered as if those before had been accepted.
fn together(standing: &Standing) {
    let begun = Instant::now();
    let mut standing = standing.clone();
    let mut accepted = 0;
    for inquiry in inquiries(&standing) {
        let Ok(answer) = standing.answer(&inquiry, THREADS) else { continue };
        let orders = standing.orders_of(&answer, answer.best());
        standing = standing.accept(answer.best(), orders).expect("an offer of this plan can be accepted");
        accepted += 1;
    }
    println!(
        "| {accepted} inquiries, each accepted before the next | {:.2} s |",
        begun.elapsed().as_secs_f64()
    );
}

fn ms(time: Duration) -> String {
    format!("{:.0} ms", time.as_secs_f64() * 1e3)
}
