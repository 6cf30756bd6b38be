//! A moment before which a job cannot be finished, whatever the schedule.

use crate::lateness::{on_cell, usable_from};
use crate::timeline::Timeline;
use elbowroom_problem::{JobIdx, OptionIdx, Place};
use elbowroom_units::{Minute, Minutes};

/// A minute that no schedule beats: every step at its earliest in an empty shop, nothing to be
/// changed over, all tools used from the moment they can be there.
///
/// Each of these only takes hindrances away, and a step that ends earlier never makes the next one
/// end later; so no valid schedule finishes the job before. `None` if no allowed way of it fits.
pub(crate) fn floor(line: &Timeline<'_>, job: JobIdx, allowed: &dyn Fn(OptionIdx) -> bool) -> Option<Minute> {
    let routes = 0..line.problem.job(job).routes.len();
    routes.filter_map(|route| along(line, job, route, allowed)).min()
}

fn along(
    line: &Timeline<'_>,
    job: JobIdx,
    route: usize,
    allowed: &dyn Fn(OptionIdx) -> bool,
) -> Option<Minute> {
    let asked = line.problem.job(job);
    let (mut ready, mut end) = (asked.release, asked.release);
    for (operation, step) in asked.routes[route].operations.iter().enumerate() {
        let options = (0..step.options.len()).map(|option| OptionIdx { job, route, operation, option });
        end = options.filter(|at| allowed(*at)).filter_map(|at| ends(line, at, ready)).min()?;
        ready = end + step.lag_after;
    }
    Some(end)
}

fn ends(line: &Timeline<'_>, at: OptionIdx, ready: Minute) -> Option<Minute> {
    let option = line.problem.option(at);
    let Place::Cell(work) = &option.place else { return Some(ready + option.run) };
    let arrivals = work.tools.iter().map(|tool| usable_from(line.problem, *tool));
    let there = arrivals.max().unwrap_or(Minute::ZERO);
    on_cell(line, work, (Minutes::ZERO, option.run), there, ready).map(|(_, end)| end)
}
