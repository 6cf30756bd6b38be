//! A shop and its order book become one scheduling problem.
//!
//! Routes are derived, not typed: each process that can make the part gives one, with an option
//! for each cell and set of tools. What cannot be made is left out with every reason; the rest is
//! planned. Dates become minutes here and nowhere else.

mod calendars;
mod finding;
mod frame;
mod jobs;
mod key;
mod knowledge;
mod options;
mod pins;
mod rack;
mod reach;
mod setups;
mod status;
mod steps;
mod ways;

pub use finding::{Finding, Severity};
pub(crate) use frame::arrival;
pub use key::{JobKey, JobRole, Key, ReleaseReason, RouteKey, StepKey, StepKind, ToolKey};

use crate::plan::LeftOut;
use chrono::NaiveDate;
use elbowroom_problem::{Cell, Fault, Objective, Parts, Problem};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use frame::Frame;
use jobs::Jobs;
use status::ShopFloor;
use std::collections::BTreeSet;

/// What is to be planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// Day of minute 0.
    pub start: NaiveDate,
    /// Weeks that lists and charts show; work may go on beyond.
    pub weeks: u32,
}

/// A compiled shop.
#[derive(Clone, Debug)]
pub struct Compiled {
    /// The problem; `None` where there is nothing to plan.
    pub problem: Option<Problem>,
    /// What its parts are in the shop.
    pub key: Key,
    /// Turns its minutes into local time.
    pub clock: PlanClock,
    /// Orders that cannot be made, with every reason.
    pub left_out: Vec<LeftOut>,
    /// What was noticed on the way.
    pub findings: Vec<Finding>,
}

/// Compiles a shop.
///
/// # Errors
/// If the problem made is faulty. That is a fault of this program or of rules far out of range,
/// never of the order book; each fault says where.
pub fn compile(shop: &Shop, request: &Request) -> Result<Compiled, Vec<Fault>> {
    compile_further(shop, request, &BTreeSet::new(), 1)
}

/// As [`compile`], without the orders at some positions of the book, and with `stretch` times the
/// time for the work.
pub(crate) fn compile_further(
    shop: &Shop,
    request: &Request,
    without: &BTreeSet<usize>,
    stretch: u32,
) -> Result<Compiled, Vec<Fault>> {
    let frame = Frame::new(shop, request);
    let windows = calendars::windows(&frame);
    let mut jobs = Jobs::new(&frame, ShopFloor::new(&frame, &windows));
    (0..shop.orders.len()).filter(|order| !without.contains(order)).for_each(|order| jobs.add(order));
    let Jobs { rack, setups, jobs, keys, pins, left_out, findings, .. } = jobs;
    let key = Key { jobs: keys, tools: rack.keys.clone() };
    let mut compiled = Compiled { problem: None, key, clock: frame.clock, left_out, findings };
    if jobs.is_empty() {
        return Ok(compiled);
    }
    let horizon = reach::horizon(&frame, request.weeks, &jobs, &rack.tools, &windows, stretch);
    let mut parts = Parts {
        name: format!("{} from {}", shop.terms.name, request.start),
        objective: Objective::Cost,
        horizon,
        cells: Vec::new(),
        crews: calendars::crews(&frame, horizon),
        jobs,
        pinned: pins.iter().map(|pin| pin.pinned(&windows)).collect(),
        committed_purchases: Vec::new(),
        tools: Vec::new(),
    };
    let options = parts.jobs.iter_mut().flat_map(|job| &mut job.routes);
    let options = options.flat_map(|route| &mut route.operations).flat_map(|step| &mut step.options);
    let set_up = setups.finish(shop, &rack, options);
    parts.tools = rack.tools;
    parts.cells = shop
        .cells
        .iter()
        .zip(set_up)
        .zip(&windows)
        .map(|((cell, setup), spans)| Cell {
            id: cell.id.clone(),
            windows: calendars::clipped(spans, horizon),
            run_rate: cell.run_rate,
            setup_rate: cell.setup_rate,
            initial_setup: setup.initial,
            changeover: setup.changeover,
        })
        .collect();
    compiled.problem = Some(Problem::new(parts)?);
    Ok(compiled)
}
