//! The shop's word on how far things stray, for each operation, job, tool and cell of a schedule.

use crate::compile::{JobRole, Key, ReleaseReason, StepKind};
use elbowroom_bending::process::Process;
use elbowroom_bending::rules::BendTimes;
use elbowroom_problem::{Availability, JobIdx, OptionIdx, Problem, Schedule, ToolIdx};
use elbowroom_rehearsal::{Breakdown, Delay, Scrap, Spread, Uncertainty, WorkChance};
use elbowroom_shop::Shop;
use elbowroom_shop::uncertainty::{LateArrival, WorkSpread};
use elbowroom_units::{Minute, Minutes};

/// What is uncertain about a schedule of a compiled shop.
#[must_use]
pub fn chances(shop: &Shop, key: &Key, problem: &Problem, schedule: &Schedule) -> Uncertainty {
    let facts = &shop.uncertainty;
    let mut chances = Uncertainty::none(problem, schedule);
    for (chance, placed) in chances.work.iter_mut().zip(&schedule.operations) {
        *chance = work(shop, key, problem, placed.option);
    }
    for (at, job) in key.jobs.iter().enumerate() {
        match job.release {
            ReleaseReason::Material => chances.releases[at] = delay(&facts.material),
            ReleaseReason::Running => chances.follows[at] = running_job(key, job.order),
            ReleaseReason::Nothing => {}
        }
    }
    for (at, chance) in chances.tools.iter_mut().enumerate() {
        if is_to_come(problem, ToolIdx::new(at)) {
            *chance = delay(&facts.tools);
        }
    }
    for (cell, chance) in shop.cells.iter().zip(&mut chances.cells) {
        *chance = breakdown(facts.of(cell.work), facts.repair_cv);
    }
    chances
}

fn work(shop: &Shop, key: &Key, problem: &Problem, option: OptionIdx) -> WorkChance {
    let Some(on_cell) = problem.option(option).on_cell() else {
        return WorkChance { run: Spread::lognormal(shop.uncertainty.outside_cv), ..WorkChance::NONE };
    };
    let spread = shop.uncertainty.of(shop.cells[on_cell.cell.get()].work);
    WorkChance {
        setup: Spread::lognormal(spread.setup_cv),
        run: Spread::lognormal(spread.run_cv),
        scrap: Some(scrap(shop, key, option, spread)),
    }
}

/// Bent pieces are started with some to spare, beyond those that setting up costs.
fn scrap(shop: &Shop, key: &Key, option: OptionIdx, spread: &WorkSpread) -> Scrap {
    let (step, route) = (key.step(option), key.route(option));
    let ordered = shop.orders[key.job(option.job).order].quantity;
    let spare = match (step.kind, route.process) {
        (StepKind::Bend, Some(process)) => {
            step.pieces.saturating_sub(ordered).saturating_sub(setup_pieces(&shop.rules.times, process))
        }
        _ => 0,
    };
    Scrap { pieces: step.pieces, spare, share: spread.scrap_percent / 100.0 }
}

/// Pieces that setting up costs; with a mandrel they are more than without.
fn setup_pieces(times: &BendTimes, process: Process) -> u32 {
    match process {
        Process::RotaryDraw => {
            times.rotary_draw.start_bare.setup_pieces.max(times.rotary_draw.start_mandrel.setup_pieces)
        }
        Process::TwinHeadCompression => times.twin_head_compression.start.setup_pieces,
        Process::ThreeRoll => times.three_roll.start.setup_pieces,
        Process::FreeForm => times.free_form.start.setup_pieces,
    }
}

fn delay(arrival: &LateArrival) -> Delay {
    Delay { probability: arrival.late_percent / 100.0, mean: arrival.late_by }
}

/// The job of the step of an order that is running at plan start.
fn running_job(key: &Key, order: usize) -> Option<JobIdx> {
    let running = key.jobs.iter().position(|job| job.order == order && job.role == JobRole::Running);
    running.map(JobIdx::new)
}

/// Whether a tool is on order or would have to be bought.
fn is_to_come(problem: &Problem, tool: ToolIdx) -> bool {
    match problem.tool(tool).availability {
        Availability::From(minute) => minute > Minute::ZERO,
        Availability::Offer { .. } => true,
    }
}

fn breakdown(spread: &WorkSpread, repair_cv: f64) -> Option<Breakdown> {
    let WorkSpread { between_failures: between, repair, .. } = *spread;
    (between > Minutes::ZERO).then_some(Breakdown { between, repair, repair_cv })
}
