//! How soon there is a plan after something has happened, in a book of 200 orders.

use crate::measure::median;
use crate::promise::{Unhurried, book};
use elbowroom_engine::{Settings, Watch};
use elbowroom_planner::{Near, Planned, Replanned, Request, plan_week, replan_week};
use elbowroom_shop::notice::{Change, Days, Notice};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_units::{Minutes, Money};
use std::time::{Duration, Instant};

const THREADS: usize = 2;
/// What a planner waits for at most before there is something to look at.
const SHORT: Duration = Duration::from_millis(300);
/// Runs of each case, of which the middle one counts.
const RUNS: usize = 5;

/// A watch that ends a solve after a while.
struct Clock {
    started: Instant,
    limit: Duration,
}

impl Clock {
    fn of(limit: Duration) -> Self {
        Self { started: Instant::now(), limit }
    }
}

impl Watch for Clock {
    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        false
    }
}

/// Prints the page.
pub fn run() {
    let shop = book(200);
    let start = shop.terms.plan_start.expect("the demo says when its plan starts");
    let request = Request { start, weeks: 2 };
    let settings = Settings { threads: THREADS, seed: 1, iterations: Some(2_000) };
    let first = plan_week(&shop, &request, &settings, &Unhurried).expect("the book can be planned");
    println!("Demo shop with a book of {} orders, {THREADS} threads, 8 h frozen.\n", shop.orders.len());
    println!("| after | first valid schedule | verified plan in hand | stand, could not | moved |");
    println!("|---|---|---|---|---|");
    for (what, change) in changes(&shop, &first) {
        case(what, &shop, change, &request, &first);
    }
}

/// One of each kind that a planner meets.
fn changes(shop: &Shop, first: &Planned) -> Vec<(&'static str, Change)> {
    let start = first.plan.start;
    let days = Days::one(start);
    let busiest = first.plan.cells.iter().filter(|cell| cell.work.name().contains("draw"));
    let cell = busiest.max_by_key(|cell| cell.tasks.len()).map_or_else(String::new, |cell| cell.id.clone());
    let die = first.plan.cells.iter().flat_map(|cell| &cell.tasks).find_map(|task| task.tools.first());
    let mut rush = shop.orders[0].clone();
    "RUSH".clone_into(&mut rush.id);
    rush.promised = start;
    rush.material = None;
    vec![
        ("a bending cell down for a day", Change::Down { cell, days, hours: None }),
        (
            "a die two days late",
            Change::Tool { tool: die.cloned().unwrap_or_default(), arrives: start + chrono::Days::new(2) },
        ),
        ("an order in a hurry", Change::Order(rush)),
        ("a setter sick", Change::Absent { crew: shop.crews[0].id.clone(), heads: 1, days }),
    ]
}

fn case(what: &str, shop: &Shop, change: Change, request: &Request, first: &Planned) {
    let mut then = shop.clone();
    then.heed(&Notice { change, why: String::new() }).expect("it speaks of what is there");
    let steady = Steadiness { frozen: Minutes::new(480), move_cost: Money::ZERO, ..Steadiness::default() };
    let settings = Settings { threads: THREADS, seed: 1, iterations: None };
    let near = Near { problem: &first.problem, schedule: first.schedule.schedule(), shift: Minutes::ZERO };
    let one = || {
        let watch = Clock::of(SHORT);
        let again = replan_week(&then, request, &settings, &watch, near, &steady);
        (watch.elapsed(), again.expect("the book can be planned"))
    };
    let all: Vec<(Duration, Replanned)> = (0..RUNS).map(|_| one()).collect();
    let found =
        |(_, again): &(Duration, Replanned)| Duration::from_secs_f64(again.planned.figures.first_seconds);
    let kept = &all[0].1.kept;
    println!(
        "| {what} | {:.0} ms | {:.0} ms | {}, {} | {} of {} |",
        median(all.iter().map(found).collect()).as_secs_f64() * 1e3,
        median(all.iter().map(|(time, _)| *time).collect()).as_secs_f64() * 1e3,
        kept.frozen,
        kept.thawed.len(),
        kept.moved,
        kept.announced,
    );
}
