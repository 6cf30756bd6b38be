//! Plans made anew, for the tests of what stands in them.

use crate::trial_shop::date;
use elbowroom_engine::Settings;
use elbowroom_planner::{Near, Planned, Request};
use elbowroom_problem::{OptionIdx, Placement, Problem};
use elbowroom_shop::notice::{Change, Notice};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeMap;

/// One thread, one seed, so many steps of search.
#[must_use]
pub fn settings(steps: u64) -> Settings {
    Settings { threads: 1, seed: 1, iterations: Some(steps) }
}

/// One week from a day.
#[must_use]
pub fn on(day: &str) -> Request {
    Request { start: date(day), weeks: 1 }
}

/// A plan as one that stood, the new plan's minute 0 so much later.
#[must_use]
pub fn near(planned: &Planned, shift: Minutes) -> Near<'_> {
    Near { problem: &planned.problem, schedule: planned.schedule.schedule(), shift }
}

/// The shop with a notice.
///
/// # Panics
/// If the notice speaks of what is not there.
#[must_use]
pub fn heeding(shop: &Shop, change: Change, why: &str) -> Shop {
    let mut shop = shop.clone();
    shop.heed(&Notice { change, why: why.to_owned() }).expect("it speaks of what is there");
    shop
}

/// A frozen zone of so many hours, and no price of moving.
#[must_use]
pub fn frozen(hours: i64) -> Steadiness {
    Steadiness { frozen: Minutes::new(60 * hours), ..Steadiness::default() }
}

/// Order and step of a placement.
#[must_use]
pub fn name(problem: &Problem, at: OptionIdx) -> (String, String) {
    (problem.job(at.job).id.clone(), problem.operation(at).id.clone())
}

/// Where a step runs and when its run begins and ends, by order and step.
pub type Runs = BTreeMap<(String, String), (Option<String>, Minute, Minute)>;

/// All runs of a plan.
#[must_use]
pub fn runs_of(planned: &Planned) -> Runs {
    let problem = &planned.problem;
    let run = |placed: &Placement| {
        let cell = problem.option(placed.option).on_cell().map(|work| problem.cell(work.cell).id.clone());
        (name(problem, placed.option), (cell, placed.run_start, placed.end))
    };
    planned.schedule.schedule().operations.iter().map(run).collect()
}
