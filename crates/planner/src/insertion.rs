//! One job fitted anew into a schedule in which all other work stays where it is.
//!
//! This is the question behind every "why is it late" and "what if it went another way": all lots
//! of other jobs keep their minutes, the job itself is taken out, and what remains is asked how
//! early the job could be finished. Setting single resources free for this one job and asking again
//! shows which of them it waits for.
//!
//! # How
//! Each route is walked once, forwards. A step tries every option; on a cell it tries the gaps
//! between neighbouring lots in order of time and takes the first that holds its changeover, its
//! run, and the changeover of the lot that follows, whose run stays where it is. Inside a gap the
//! changeover begins as early as its crew allows, and moves on while a tool is held elsewhere. The
//! option that ends first is taken and is in the way of the steps that follow.
//!
//! A step that ends earlier never makes the next one end later, so taking the first to end is best,
//! but for one thing: two steps of the same job can want the same cell, tool or crew, the later one
//! for being changed over ahead. The finish is then still one that can be had, only perhaps not the
//! earliest.
//!
//! # On the safe side
//! What is found can be had: [`moved_forward`] writes it down, and the verifier agrees. Refused
//! are places where the job would take the last piece of a tool that stands mounted somewhere for
//! the next lot (it would have to be mounted again there), and those where the next lot on the cell
//! would need a changeover for which crew or tools are not there.

mod gap;
mod heads;
mod lane;
mod pass;
mod rebuilt;
mod spans;
mod tools;

use crate::timeline::{At, Timeline};
use elbowroom_problem::{CellIdx, CrewIdx, JobIdx, OptionIdx, Pinned, Placement, Problem, Schedule, ToolIdx};
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::VerifiedSchedule;
use heads::CrewUse;
use lane::Stand;
use pass::Pass;
pub(crate) use rebuilt::{mend_setups, purchases};
use std::cell::OnceCell;
use tools::ToolUse;

/// Something that a job can wait for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Resource {
    /// Its material: free means that the job may begin at minute 0.
    Material,
    /// A cell: free means that no other lot is on it.
    Cell(CellIdx),
    /// A tool: free means that there is another piece, here since minute 0.
    Tool(ToolIdx),
    /// A crew: free means that there is another head whenever a cell works.
    Crew(CrewIdx),
}

/// What is assumed away, for the one job only.
#[derive(Clone, Copy, Debug, Default)]
pub struct Relaxed<'r> {
    /// No other job holds anything. Calendars, shifts, arrivals and what is mounted at minute 0 stay.
    pub rivals_gone: bool,
    /// These resources are free.
    pub free: &'r [Resource],
}

/// How far a tool or crew can be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Access {
    AsPlanned,
    RivalsGone,
    Free,
}

/// One step of a job that has been fitted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct FittedStep {
    pub(crate) placement: Placement,
    /// Working minutes of its changeover.
    pub(crate) changeover: Minutes,
    /// The lot that follows on its cell, and when that is changed over to now.
    next: Option<(At, Minute)>,
}

/// A job fitted in: the steps of one route, in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fit {
    pub(crate) steps: Vec<FittedStep>,
}

impl Fit {
    /// When the last step ends; minute 0 for a route without any.
    pub(crate) fn finish(&self) -> Minute {
        self.steps.last().map_or(Minute::ZERO, |step| step.placement.end)
    }
}

/// A schedule with one job taken out.
///
/// Who holds what is worked out when first asked for and kept.
pub(crate) struct Fitter<'a> {
    line: &'a Timeline<'a>,
    job: JobIdx,
    /// The job's work under way; its route is fixed by it.
    pins: Vec<&'a Pinned>,
    lanes: Vec<OnceCell<Vec<Stand<'a>>>>,
    tools: Vec<OnceCell<ToolUse>>,
    crews: Vec<OnceCell<CrewUse>>,
}

impl<'a> Fitter<'a> {
    pub(crate) fn new(line: &'a Timeline<'a>, job: JobIdx) -> Self {
        let problem = line.problem;
        Self {
            line,
            job,
            pins: problem.pinned.iter().filter(|pin| pin.option.job == job).collect(),
            lanes: problem.cells.iter().map(|_| OnceCell::new()).collect(),
            tools: problem.tools.iter().map(|_| OnceCell::new()).collect(),
            crews: problem.crews.iter().map(|_| OnceCell::new()).collect(),
        }
    }

    /// The job fitted in for the earliest finish that is found, over all routes that its work under
    /// way leaves open and the options that `allowed` accepts.
    pub(crate) fn earliest(&self, relaxed: Relaxed<'_>, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Fit> {
        let open = |route: &usize| self.pins.iter().all(|pin| pin.option.route == *route);
        let mut best: Option<Fit> = None;
        for route in (0..self.line.problem.job(self.job).routes.len()).filter(open) {
            let horizon = self.line.problem.horizon;
            let limit = best.as_ref().map_or(horizon, |fit| fit.finish() - Minutes::new(1));
            best = Pass::new(self, relaxed).along(route, limit, allowed).or(best);
        }
        best
    }

    /// The job that is taken out.
    pub(crate) fn job(&self) -> JobIdx {
        self.job
    }

    fn lane(&self, cell: CellIdx) -> &[Stand<'a>] {
        self.lanes[cell.get()].get_or_init(|| lane::rivals(self.line, cell, self.job))
    }

    fn tool(&self, tool: ToolIdx) -> &ToolUse {
        self.tools[tool.get()].get_or_init(|| ToolUse::new(self.line, tool, self.job))
    }

    fn crew(&self, crew: CrewIdx) -> &CrewUse {
        self.crews[crew.get()].get_or_init(|| CrewUse::new(self.line, crew, self.job))
    }
}

/// The earliest finish of a job if all other work stays where it is, as far as it is found.
///
/// `None` if it finds no place before the horizon.
#[must_use]
pub fn earliest_finish(
    problem: &Problem,
    schedule: &Schedule,
    job: JobIdx,
    relaxed: Relaxed<'_>,
) -> Option<Minute> {
    let line = Timeline::new(problem, schedule);
    Fitter::new(&line, job).earliest(relaxed, &|_| true).map(|fit| fit.finish())
}

/// The schedule with one job moved to where it is finished earliest, all other runs staying where
/// they are; `None` if it finds no place before the horizon.
#[must_use]
pub fn moved_forward(problem: &Problem, schedule: &Schedule, job: JobIdx) -> Option<VerifiedSchedule> {
    let line = Timeline::new(problem, schedule);
    let fitter = Fitter::new(&line, job);
    fitter.schedule(&fitter.earliest(Relaxed::default(), &|_| true)?)
}
