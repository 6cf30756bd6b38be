//! A shop and its order book become one scheduling problem.
//!
//! Routes are derived, not typed: each process that can make the part gives one, with an option
//! for each cell and set of tools. What cannot be made is left out with every reason; the rest is
//! planned. Dates become minutes here and nowhere else.

pub(crate) mod calendars;
mod finding;
pub(crate) mod frame;
mod jobs;
mod key;
pub(crate) mod knowledge;
mod options;
mod pins;
pub(crate) mod rack;
mod reach;
pub(crate) mod setups;
mod status;
pub(crate) mod steps;
pub(crate) mod ways;

pub use finding::{Finding, Severity};
pub(crate) use frame::{Frame, arrival};
pub use key::{JobKey, JobRole, Key, ReleaseReason, RouteKey, StepKey, StepKind, ToolKey};
pub(crate) use knowledge::serves_exactly;
use ways::Fits;
pub(crate) use ways::Ways;

use crate::plan::LeftOut;
use calendars::Calendars;
use chrono::NaiveDate;
use elbowroom_problem::{Cell, CellIdx, Fault, Job, Objective, Parts, Problem, Work};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Minute;
use jobs::Jobs;
use setups::CellSetup;
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
    /// The problem.
    pub problem: Problem,
    /// What its parts are in the shop.
    pub key: Key,
    /// Turns its minutes into local time.
    pub clock: PlanClock,
    /// Orders that cannot be made, with every reason.
    pub left_out: Vec<LeftOut>,
    /// What was noticed on the way.
    pub findings: Vec<Finding>,
}

/// Why there is no problem.
#[derive(Clone, Debug, PartialEq)]
pub enum CompileError {
    /// No order is left to plan.
    NothingToPlan {
        /// Orders that cannot be made, with every reason.
        left_out: Vec<LeftOut>,
        /// What was noticed on the way.
        findings: Vec<Finding>,
    },
    /// The problem made does not hold together: a fault of this program, or of figures in the shop
    /// far out of range. Each fault says where.
    Faulty(Vec<Fault>),
}

/// Compiles a shop.
///
/// # Errors
/// If nothing is left to plan, or the problem made is faulty.
pub fn compile(shop: &Shop, request: &Request) -> Result<Compiled, CompileError> {
    compile_further(shop, request, &BTreeSet::new(), 1)
}

/// As [`compile`], without the orders at some positions of the book, and with `stretch` times the
/// time for the work.
pub(crate) fn compile_further(
    shop: &Shop,
    request: &Request,
    without: &BTreeSet<usize>,
    stretch: u32,
) -> Result<Compiled, CompileError> {
    let with: Vec<usize> = (0..shop.orders.len()).filter(|order| !without.contains(order)).collect();
    compile_orders(shop, request, &with, stretch, Minute::ZERO)
}

/// As [`compile`], with the orders at these positions of the book only, their jobs in this order,
/// and a horizon that is no sooner than `reach`.
pub(crate) fn compile_orders(
    shop: &Shop,
    request: &Request,
    orders: &[usize],
    stretch: u32,
    reach: Minute,
) -> Result<Compiled, CompileError> {
    compile_known(shop, request, &Known::new(shop, request), orders, stretch, reach)
}

/// What compiling works out of a shop before it looks at orders: the same for every book of one shop and
/// start, so it is kept where the same shop is compiled again and again.
#[derive(Debug)]
pub(crate) struct Known {
    calendars: Calendars,
    fits: Fits,
}

impl Known {
    pub(crate) fn new(shop: &Shop, request: &Request) -> Self {
        let frame = Frame::new(shop, request);
        Self { calendars: Calendars::new(&frame), fits: Ways::new(&frame).fits() }
    }

    /// What every bending cell says to the shop's parts.
    pub(crate) fn ways<'a>(&self, frame: &'a Frame<'a>) -> Ways<'a> {
        Ways::kept(frame, self.fits.clone())
    }
}

/// As [`compile_orders`], with what is known of a shop that is the same but for its book.
pub(crate) fn compile_known(
    shop: &Shop,
    request: &Request,
    known: &Known,
    orders: &[usize],
    stretch: u32,
    reach: Minute,
) -> Result<Compiled, CompileError> {
    let frame = Frame::new(shop, request);
    let calendars = &known.calendars;
    let mut jobs = Jobs::new(&frame, calendars, known.ways(&frame));
    orders.iter().for_each(|order| jobs.add(*order));
    let (left_out, findings) = (std::mem::take(&mut jobs.left_out), std::mem::take(&mut jobs.findings));
    if jobs.jobs.is_empty() {
        return Err(CompileError::NothingToPlan { left_out, findings });
    }
    let key = Key { jobs: std::mem::take(&mut jobs.keys), tools: jobs.rack.keys.clone() };
    let horizon =
        reach::horizon(&frame, request.weeks, &jobs.jobs, &jobs.rack.tools, &calendars.windows, stretch);
    let parts = parts(&frame, jobs, calendars, horizon.max(reach));
    let problem = Problem::new(parts).map_err(CompileError::Faulty)?;
    Ok(Compiled { problem, key, clock: frame.clock, left_out, findings })
}

fn parts(frame: &Frame<'_>, made: Jobs<'_>, calendars: &Calendars, horizon: Minute) -> Parts {
    let Jobs { rack, setups, mut jobs, pins, .. } = made;
    let set_up = setups.finish(frame.shop, &rack, options(&mut jobs));
    let cell = |(position, setup): (usize, CellSetup)| Cell {
        id: frame.shop.cells[position].id.clone(),
        windows: calendars.windows_until(CellIdx::new(position), horizon),
        run_rate: frame.shop.cells[position].run_rate,
        setup_rate: frame.shop.cells[position].setup_rate,
        initial_setup: setup.initial,
        changeover: setup.changeover,
    };
    Parts {
        name: format!("{} from {}", frame.shop.terms.name, frame.clock.start()),
        objective: Objective::Cost,
        horizon,
        cells: set_up.into_iter().enumerate().map(cell).collect(),
        tools: rack.tools,
        crews: calendars.crews_until(frame, horizon),
        jobs,
        pinned: pins.iter().map(|pin| pin.pinned(&calendars.windows)).collect(),
        committed_purchases: Vec::new(),
    }
}

fn options(jobs: &mut [Job]) -> impl Iterator<Item = &mut Work> {
    let routes = jobs.iter_mut().flat_map(|job| &mut job.routes);
    routes.flat_map(|route| &mut route.operations).flat_map(|step| &mut step.options)
}
