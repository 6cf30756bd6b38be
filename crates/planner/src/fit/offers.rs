//! What each bending cell offers, or why it cannot.

use super::answer::{Barrier, CellFit, CostSum, Offer, StepFit};
use super::{tools, work};
use crate::StepKind;
use crate::compile::calendars::Calendars;
use crate::compile::frame::Frame;
use crate::compile::knowledge::{Answer, BendFit, OnCell, change, on_cell};
use crate::compile::rack::Rack;
use crate::compile::setups::mounted_now;
use crate::compile::ways::{PartFits, Way};
use elbowroom_bending::process::Process;
use elbowroom_problem::CellIdx;
use elbowroom_shop::cell::Cell;
use elbowroom_shop::part::Part;
use elbowroom_units::{Minutes, Money};

/// Everything that an offer is made from.
pub(super) struct Desk<'a> {
    pub(super) frame: &'a Frame<'a>,
    pub(super) calendars: &'a Calendars,
    pub(super) part: &'a Part,
    pub(super) quantity: u32,
    rack: Rack<'a>,
}

impl<'a> Desk<'a> {
    pub(super) fn new(frame: &'a Frame<'a>, calendars: &'a Calendars, part: &'a Part, quantity: u32) -> Self {
        Self { frame, calendars, part, quantity, rack: Rack::new(frame) }
    }

    /// What every cell says, in the shop's order.
    pub(super) fn cells(&mut self, answers: &[(CellIdx, Answer)]) -> Vec<CellFit> {
        // Washing and pieces to start are those of a process, as in a plan, whichever cell bends.
        let all = PartFits::of(answers.to_vec()).ways(self.frame);
        let ways: Vec<Way> =
            all.into_iter().filter_map(|way| way.manned(self.frame, self.calendars)).collect();
        answers.iter().map(|(at, answer)| self.cell(*at, answer, &ways)).collect()
    }

    fn cell(&mut self, at: CellIdx, answer: &Answer, ways: &[Way]) -> CellFit {
        CellFit {
            cell: self.frame.shop.cells[at.get()].id.clone(),
            process: answer.assessment.process(),
            assessment: answer.assessment.clone(),
            offer: self.offer(at, answer, ways),
        }
    }

    fn offer(&mut self, at: CellIdx, answer: &Answer, ways: &[Way]) -> Result<Offer, Vec<Barrier>> {
        let barriers = answer.barriers();
        if !barriers.is_empty() {
            return Err(barriers);
        }
        let (way, fit) =
            way_of(ways, at, answer.assessment.process()).ok_or_else(|| vec![Barrier::NeverOpen])?;
        let tools = tools::of(self.frame, &mut self.rack, at, &fit.needs);
        let mounted: Vec<OnCell> = tools.iter().map(|tool| on_cell(&tool.tool, tool.need.kind)).collect();
        let bending = self.bending(at, way, fit, &mounted);
        let steps = work::steps(self, way, bending).map_err(|why| vec![Barrier::Step(why)])?;
        let pieces_to_start = way.pieces_to_start(self.quantity);
        Ok(Offer {
            ready: tools::ready(&tools),
            setup_today: self.setup_today(at, &mounted),
            pieces_to_start,
            cost: self.cost(fit, &steps, pieces_to_start, tools::price(&tools)),
            tools,
            steps,
        })
    }

    fn bending(&self, at: CellIdx, way: &Way, fit: &BendFit, tools: &[OnCell]) -> StepFit {
        let cell = self.bench(at);
        let setup = change(self.frame.shop, cell, None, tools, false);
        let run = fit.run(self.quantity);
        StepFit {
            kind: StepKind::Bend,
            name: StepKind::Bend.name().to_owned(),
            place: cell.id.clone(),
            pieces: way.pieces_to_start(self.quantity),
            setup,
            run,
            setup_cost: cell.setup_rate * setup,
            run_cost: cell.run_rate * run,
        }
    }

    /// From what stands on the cell; what stands on a cell of which nobody says anything is not known.
    fn setup_today(&self, at: CellIdx, tools: &[OnCell]) -> Minutes {
        let cell = self.bench(at);
        let mounted = mounted_now(self.frame.shop, cell);
        let from = (!mounted.is_empty()).then_some(mounted.as_slice());
        let same_program = from.is_some() && cell.mounted_program.as_ref() == Some(&self.part.id);
        change(self.frame.shop, cell, from, tools, same_program)
    }

    fn bench(&self, at: CellIdx) -> &'a Cell {
        &self.frame.shop.cells[at.get()]
    }

    fn cost(&self, fit: &BendFit, steps: &[StepFit], pieces: u32, tools: Money) -> CostSum {
        let (outside, inside): (Vec<&StepFit>, Vec<&StepFit>) =
            steps.iter().partition(|step| step.is_outside());
        let tube = self.frame.tube_of(self.part).and_then(|tube| tube.price_per_metre);
        CostSum {
            tube: tube.map(|price| price * (fit.assessment.blank.metres() * f64::from(pieces))),
            setup: inside.iter().map(|step| step.setup_cost).sum(),
            run: inside.iter().map(|step| step.run_cost).sum(),
            outside: outside.iter().map(|step| step.run_cost).sum(),
            tools,
        }
    }
}

/// The way of a process and what is known of a cell in it.
fn way_of(ways: &[Way], at: CellIdx, process: Process) -> Option<(&Way, &BendFit)> {
    let way = ways.iter().find(|way| way.process == process)?;
    let (_, fit) = way.cells.iter().find(|(cell, _)| *cell == at)?;
    Some((way, fit))
}
