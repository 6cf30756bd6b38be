//! The steps of making the quantity: where, how long, at what cost.

use super::answer::StepFit;
use super::offers::Desk;
use crate::StepKind;
use crate::compile::steps::{Bent, Step, changeover, lot_time, pieces_in, run_minutes, steps_of, work_for};
use crate::compile::ways::Way;
use elbowroom_problem::CellIdx;
use elbowroom_units::{Minutes, Money, Seconds};

/// Every step that a way of bending leaves to be done, bending among them; else what nobody does.
pub(super) fn steps(desk: &Desk<'_>, way: &Way, bending: StepFit) -> Result<Vec<StepFit>, String> {
    let wanted = |step: &Step| step.is_wanted(way.washing().is_some(), way.cut_ends());
    let steps = steps_of(desk.part).into_iter().filter(wanted);
    let mut bending = Some(bending);
    let fit = |step: Step| match step.kind {
        StepKind::Bend => Ok(bending.take().expect("a part is bent once")),
        StepKind::Outside => outside(desk, &step),
        _ => inside(desk, way, &step),
    };
    steps.map(fit).collect()
}

/// On the cell where it is cheapest, the first of equals.
fn inside(desk: &Desk<'_>, way: &Way, step: &Step) -> Result<StepFit, String> {
    let pieces = pieces_in(step.kind, desk.quantity, way.pieces_to_start(desk.quantity));
    let bent = Bent { washing: way.washing().unwrap_or(Seconds::ZERO), cut_ends: way.cut_ends() };
    let times = &desk.frame.shop.step_times;
    let standard = lot_time(times, step.kind, desk.part, pieces, bent);
    let tube = desk.frame.tube_of(desk.part);
    let on = |at: CellIdx| {
        let cell = &desk.frame.shop.cells[at.get()];
        let setup = changeover(desk.frame.shop, cell.work);
        let measured = tube.map_or(1.0, |tube| desk.frame.shop.measured.run(cell.work, &tube.tube));
        let run = run_minutes(standard * measured, cell.speed_factor);
        StepFit {
            kind: step.kind,
            name: step.name.clone(),
            place: cell.id.clone(),
            pieces,
            setup,
            run,
            setup_cost: cell.setup_rate * setup,
            run_cost: cell.run_rate * run,
        }
    };
    let cells = work_for(step.kind).into_iter().flat_map(|work| desk.frame.cells_for(work));
    let manned = cells.filter(|at| desk.calendars.is_ever_manned(desk.frame, *at));
    manned.map(on).min_by_key(StepFit::cost).ok_or_else(|| step.nobody_does())
}

/// At the cheapest vendor, the first of equals.
fn outside(desk: &Desk<'_>, step: &Step) -> Result<StepFit, String> {
    let pieces = pieces_in(step.kind, desk.quantity, desk.quantity);
    let vendors =
        desk.frame.shop.vendors.iter().filter(|vendor| Some(&vendor.service) == step.service.as_ref());
    let cheapest = vendors.min_by_key(|vendor| vendor.cost(pieces)).ok_or_else(|| step.nobody_does())?;
    Ok(StepFit {
        kind: step.kind,
        name: step.name.clone(),
        place: cheapest.id.clone(),
        pieces,
        setup: Minutes::ZERO,
        run: cheapest.turnaround,
        setup_cost: Money::ZERO,
        run_cost: cheapest.cost(pieces),
    })
}
