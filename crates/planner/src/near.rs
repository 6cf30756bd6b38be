//! An earlier plan as a hint for a new one: the same orders on the same cells in the same sequence,
//! as far as they are still there.

use elbowroom_problem::{CellWork, JobIdx, Operation, OptionIdx, Place, Placement, Problem, Schedule, Work};
use elbowroom_units::Minutes;
use std::collections::BTreeMap;

/// An earlier plan.
#[derive(Clone, Copy, Debug)]
pub struct Near<'a> {
    /// The problem it solved.
    pub problem: &'a Problem,
    /// Its schedule.
    pub schedule: &'a Schedule,
    /// How many minutes later the new plan's minute 0 is.
    pub shift: Minutes,
}

/// Why a placement of the earlier plan has no place in the new problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lost {
    /// Its order or its step is done, under way, called off or no longer needed.
    Behind,
    /// The order can no longer be made that way.
    Route,
    /// Its cell can no longer do it.
    Place,
}

/// Jobs by their ids.
pub(crate) fn by_id(problem: &Problem) -> BTreeMap<&str, JobIdx> {
    problem.jobs.iter().enumerate().map(|(number, job)| (job.id.as_str(), JobIdx::new(number))).collect()
}

impl Near<'_> {
    /// The placements of the earlier plan in the words of the new problem. Jobs, routes, steps and
    /// cells are the same where their ids are; what is gone is left out.
    pub(crate) fn hint(&self, new: &Problem) -> Vec<Placement> {
        let jobs = by_id(new);
        let placed = self.schedule.operations.iter();
        placed.filter_map(|placed| self.translated(new, &jobs, placed).ok()).collect()
    }

    /// A placement of the earlier plan in the words of the new problem, or why it is none there.
    pub(crate) fn translated(
        &self,
        new: &Problem,
        jobs: &BTreeMap<&str, JobIdx>,
        placed: &Placement,
    ) -> Result<Placement, Lost> {
        let old = self.problem;
        let job = *jobs.get(old.job(placed.option.job).id.as_str()).ok_or(Lost::Behind)?;
        let old_route = &old.job(placed.option.job).routes[placed.option.route];
        let routes = &new.job(job).routes;
        // Once bending is done a job has a single route, under another name.
        let same = routes.iter().position(|route| route.id == old_route.id);
        let route = same.or((routes.len() == 1).then_some(0)).ok_or(Lost::Route)?;
        let step = &old_route.operations[placed.option.operation].id;
        let operation =
            routes[route].operations.iter().position(|other| other.id == *step).ok_or(Lost::Behind)?;
        let steps = &routes[route].operations[operation];
        let option = self.same_option(new, placed.option, steps).ok_or(Lost::Place)?;
        Ok(self.shifted(placed, OptionIdx { job, route, operation, option }))
    }

    /// A placement of the earlier plan by the new plan's clock.
    pub(crate) fn shifted(&self, placed: &Placement, option: OptionIdx) -> Placement {
        Placement {
            option,
            setup_start: placed.setup_start - self.shift,
            run_start: placed.run_start - self.shift,
            end: placed.end - self.shift,
        }
    }

    /// The option on the same cell, with the same tools if there are several; outside, the one that
    /// takes and costs the same.
    fn same_option(&self, new: &Problem, before: OptionIdx, step: &Operation) -> Option<usize> {
        let (at, work) = (before.option, self.problem.option(before));
        let place = |problem: &Problem, work: &Work| match &work.place {
            Place::Outside => None,
            Place::Cell(on) => Some(problem.cell(on.cell).id.clone()),
        };
        let there = place(self.problem, work);
        let tools = work.on_cell().map(|on| tool_ids(self.problem, on));
        let same = |option: &&(usize, &Work)| option.1.on_cell().map(|on| tool_ids(new, on)) == tools;
        let here: Vec<(usize, &Work)> =
            step.options.iter().enumerate().filter(|(_, option)| place(new, option) == there).collect();
        let equal =
            |option: &&(usize, &Work)| same(option) && option.1.run == work.run && option.1.cost == work.cost;
        // Vendors have no ids here: one whose price or time has changed is the one at the same place.
        let same_place = |option: &&(usize, &Work)| same(option) && option.0 == at;
        let found = here.iter().find(equal).or(here.iter().find(same_place)).or(here.iter().find(same));
        found.or(here.first()).map(|(number, _)| *number)
    }
}

fn tool_ids<'p>(problem: &'p Problem, on: &CellWork) -> Vec<&'p str> {
    on.tools.iter().map(|tool| problem.tool(*tool).id.as_str()).collect()
}
