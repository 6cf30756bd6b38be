//! The whole schedule with the job where it was fitted in.

use super::{Fit, Fitter};
use crate::timeline::Timeline;
use elbowroom_problem::{Availability, Placement, Problem, Schedule, ToolIdx};
use elbowroom_units::Minutes;
use elbowroom_verify::{VerifiedSchedule, recompute, verify};

impl Fitter<'_> {
    /// The schedule with the job moved, its purchases brought up to date, accepted by the verifier;
    /// `None` if it is refused, which can happen where another lot owed its short changeover to
    /// the job.
    pub(crate) fn schedule(&self, fit: &Fit) -> Option<VerifiedSchedule> {
        let problem = self.line.problem;
        let mut operations = self.line.schedule.operations.clone();
        for (at, setup_start) in fit.steps.iter().filter_map(|step| step.next) {
            operations[at].setup_start = setup_start;
        }
        operations.retain(|placed| placed.option.job != self.job);
        operations.extend(fit.steps.iter().map(|step| step.placement));
        let mut moved = Schedule { operations, ..Schedule::default() };
        moved.purchases = purchases(problem, &moved);
        mend_setups(problem, &mut moved);
        moved.objective = recompute(problem, &moved).objective;
        verify(problem, moved).ok()
    }
}

/// Offers that are used and not committed.
pub(crate) fn purchases(problem: &Problem, schedule: &Schedule) -> Vec<ToolIdx> {
    let placed = schedule.operations.iter().filter(|placed| !is_pinned(problem, placed));
    let works = placed.filter_map(|placed| problem.option(placed.option).on_cell());
    let mut tools: Vec<ToolIdx> = works.flat_map(|work| work.tools.iter().copied()).collect();
    tools.sort_unstable();
    tools.dedup();
    let bought = |tool: &ToolIdx| {
        let offered = matches!(problem.tool(*tool).availability, Availability::Offer { .. });
        offered && !problem.committed_purchases.contains(tool)
    };
    tools.retain(bought);
    tools
}

fn is_pinned(problem: &Problem, placed: &Placement) -> bool {
    problem.pinned.iter().any(|pin| pin.option == placed.option)
}

/// Gives every changeover that is now too short, or no longer needed, as many minutes as it needs
/// right before its run.
pub(crate) fn mend_setups(problem: &Problem, schedule: &mut Schedule) {
    let line = Timeline::new(problem, schedule);
    let mut starts = Vec::new();
    for (at, placed) in schedule.operations.iter().enumerate() {
        let Some(work) = line.work(at).on_cell().filter(|_| !line.is_pinned(at)) else { continue };
        let needed = line.changeover(at);
        let has = line.worked(work.cell, placed.setup_start, placed.run_start);
        if needed == Minutes::ZERO {
            starts.push((at, placed.run_start));
        } else if has < needed {
            starts.push((at, line.worked_back(work.cell, placed.run_start, needed)));
        }
    }
    for (at, start) in starts {
        schedule.operations[at].setup_start = start;
    }
}
