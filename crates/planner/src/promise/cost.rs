//! What an offer costs, in the same money as the plan's.

use super::answer::Cost;
use super::trial::Trial;
use crate::compile::{Frame, Ways};
use crate::readback::money;
use crate::timeline::Timeline;
use elbowroom_bending::process::Process;
use elbowroom_problem::{JobIdx, Schedule};
use elbowroom_units::Money;

/// Millimetres of a metre.
const MM_PER_METRE: f64 = 1000.0;

/// What the lots of an offer cost: `line` holds the plan's jobs and the lots; `before` is the plan's
/// objective and purchases without them.
pub(crate) fn cost(line: &Timeline<'_>, lots: &[JobIdx], before: &Schedule) -> Cost {
    let schedule = line.schedule;
    let making: Money = lots.iter().map(|job| money::of_job(line, *job).total).sum();
    let bought = schedule.purchases.iter().filter(|tool| !before.purchases.contains(tool));
    let tools: Money = bought.map(|tool| money::price(line, *tool)).sum();
    let change = Money::new(schedule.objective) - Money::new(before.objective);
    Cost { making, tools, others: change - making - tools, ..Cost::default() }
}

/// The sum with the tube, shared out to the pieces.
pub(crate) fn with_tube(cost: Cost, tube: Option<Money>, quantity: u32, margin: Option<f64>) -> Cost {
    let total = cost.in_plan() + tube.unwrap_or_default();
    let per_piece = total * (1.0 / f64::from(quantity.max(1)));
    let price = |percent: f64| per_piece * (1.0 + percent / 100.0);
    Cost { tube, total, per_piece, price_per_piece: margin.map(price), ..cost }
}

/// What the tube of a lot costs on a process and cell; `None` where it has no price.
pub(crate) fn tube(
    frame: &Frame<'_>,
    ways: &Ways<'_>,
    trial: &Trial,
    job: JobIdx,
    (process, cell): (Process, &str),
) -> Option<Money> {
    let key = trial.compiled.key.job(job);
    let (at, part) = frame.part_of(&frame.shop.orders[key.order])?;
    let price = frame.tube_of(part)?.price_per_metre?;
    let said = ways.of(at);
    let (_, fit) = said.fits.iter().find(|(at, _)| frame.shop.cells[at.get()].id == cell)?;
    let routes = key.routes.iter().filter(|route| route.process == Some(process));
    let started = routes.flat_map(|route| route.steps.iter().map(|step| step.pieces)).max()?;
    Some(price * (fit.blank().mm() / MM_PER_METRE * f64::from(started)))
}
