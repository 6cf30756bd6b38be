//! The ways in which a job can be bent.

use crate::compile::{Compiled, StepKind};
use elbowroom_bending::process::Process;
use elbowroom_problem::{Availability, CellIdx, JobIdx, OptionIdx, Schedule, ToolIdx};
use elbowroom_units::Minute;

/// One process on one cell, with the same tools to buy.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Way {
    pub(crate) process: Process,
    pub(crate) cell: CellIdx,
    /// Tools to buy for it; those that the plan buys anyway not among them.
    pub(crate) buys: Vec<ToolIdx>,
    /// The same with those that the plan buys anyway.
    pub(crate) offered: Vec<ToolIdx>,
    /// Whether some tool of it is not in the house at minute 0.
    pub(crate) waits: bool,
    route: usize,
    bend: usize,
    options: Vec<usize>,
}

impl Way {
    /// Whether an option of the job belongs to this way: every option of its route but the bends
    /// of other ways.
    pub(crate) fn allows(&self, at: OptionIdx) -> bool {
        at.route == self.route && (at.operation != self.bend || self.options.contains(&at.option))
    }
}

/// Every way of a job that is still to be bent, in the order of its routes.
pub(crate) fn ways(compiled: &Compiled, schedule: &Schedule, job: JobIdx) -> Vec<Way> {
    let mut found: Vec<Way> = Vec::new();
    for (route, key) in compiled.key.job(job).routes.iter().enumerate() {
        let bend = key.steps.iter().position(|step| step.kind == StepKind::Bend);
        let (Some(process), Some(bend)) = (key.process, bend) else { continue };
        let options = compiled.problem.job(job).routes[route].operations[bend].options.len();
        for option in 0..options {
            let at = OptionIdx { job, route, operation: bend, option };
            add(&mut found, process, at, tools_of(compiled, schedule, at));
        }
    }
    found
}

/// What the tools of an option ask for.
struct Asked {
    cell: CellIdx,
    buys: Vec<ToolIdx>,
    offered: Vec<ToolIdx>,
    waits: bool,
}

fn add(found: &mut Vec<Way>, process: Process, at: OptionIdx, asked: Option<Asked>) {
    let Some(Asked { cell, buys, offered, waits }) = asked else { return };
    let same = |way: &&mut Way| way.route == at.route && way.cell == cell && way.offered == offered;
    match found.iter_mut().find(same) {
        Some(way) => {
            way.options.push(at.option);
            way.waits &= waits;
        }
        None => {
            let (route, bend, options) = (at.route, at.operation, vec![at.option]);
            found.push(Way { process, cell, buys, offered, waits, route, bend, options });
        }
    }
}

fn tools_of(compiled: &Compiled, schedule: &Schedule, at: OptionIdx) -> Option<Asked> {
    let work = compiled.problem.option(at).on_cell()?;
    let bought = |tool: &ToolIdx| {
        schedule.purchases.contains(tool) || compiled.problem.committed_purchases.contains(tool)
    };
    let availability = |tool: &ToolIdx| compiled.problem.tool(*tool).availability;
    let is_offer = |tool: &ToolIdx| matches!(availability(tool), Availability::Offer { .. });
    let mut offered: Vec<ToolIdx> = work.tools.iter().copied().filter(is_offer).collect();
    offered.sort_unstable();
    let buys = offered.iter().copied().filter(|tool| !bought(tool)).collect();
    let there = |tool: &ToolIdx| matches!(availability(tool), Availability::From(Minute::ZERO));
    Some(Asked { cell: work.cell, buys, offered, waits: !work.tools.iter().all(there) })
}
