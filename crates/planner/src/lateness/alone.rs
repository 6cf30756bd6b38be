//! An order by itself in an otherwise empty shop.

use super::blocks::{Block, CrewRole, absent, earliest, usable_from};
use crate::timeline::Timeline;
use elbowroom_problem::{CellWork, CrewIdx, JobIdx, OptionIdx, Pinned, Place};
use elbowroom_units::{Minute, Minutes};

/// What is assumed away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Relaxed {
    /// Its tube is in the house at minute 0.
    pub(crate) material: bool,
    /// Every tool is in the house at minute 0.
    pub(crate) arrivals: bool,
}

/// The way on which an order alone would be finished first.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Alone {
    pub(crate) finish: Minute,
    /// The option of each step.
    pub(crate) way: Vec<OptionIdx>,
}

/// The earliest finish of a job if no other work were in the shop, over all its routes or on the
/// one given. Calendars, crews' shifts, what is mounted now, arrivals and what is already under
/// way stay as they are.
///
/// Step by step, each at its earliest, is the best: a step that ends earlier never makes the next
/// one end later.
pub(crate) fn alone(
    line: &Timeline<'_>,
    job: JobIdx,
    relaxed: Relaxed,
    route: Option<usize>,
) -> Option<Alone> {
    let routes = 0..line.problem.job(job).routes.len();
    let ways = routes
        .filter(|r| route.is_none_or(|only| only == *r))
        .filter_map(|r| on_route(line, job, r, relaxed));
    ways.min_by_key(|way| way.finish)
}

fn on_route(line: &Timeline<'_>, job: JobIdx, route: usize, relaxed: Relaxed) -> Option<Alone> {
    let asked = line.problem.job(job);
    let mut ready = if relaxed.material { Minute::ZERO } else { asked.release };
    let mut way = Alone { finish: ready, way: Vec::new() };
    for (operation, step) in asked.routes[route].operations.iter().enumerate() {
        let options = (0..step.options.len()).map(|option| OptionIdx { job, route, operation, option });
        let ends = options.filter_map(|at| end_of(line, at, ready, relaxed).map(|end| (end, at)));
        let (end, at) = ends.min()?;
        way.finish = end;
        way.way.push(at);
        ready = end + step.lag_after;
    }
    Some(way)
}

/// When an option would end if its part is there at `ready`; `None` if it cannot be done at all.
fn end_of(line: &Timeline<'_>, at: OptionIdx, ready: Minute, relaxed: Relaxed) -> Option<Minute> {
    if let Some(pin) = pin_of(line, at) {
        return (pin.option == at).then_some(pin.end);
    }
    let option = line.problem.option(at);
    match &option.place {
        Place::Outside => Some(ready + option.run),
        Place::Cell(work) => {
            let from = if relaxed.arrivals { Minute::ZERO } else { tools_there(line, work) };
            let setup = line.changeover_from_start(work.cell, &work.setup_key);
            on_cell(line, work, (setup, option.run), from, ready).map(|(_, end)| end)
        }
    }
}

fn pin_of<'a>(line: &Timeline<'a>, at: OptionIdx) -> Option<&'a Pinned> {
    let same = |pin: &&Pinned| {
        pin.option.job == at.job && pin.option.operation == at.operation && pin.option.route == at.route
    };
    line.problem.pinned.iter().find(same)
}

fn tools_there(line: &Timeline<'_>, work: &CellWork) -> Minute {
    work.tools.iter().map(|tool| usable_from(line.problem, *tool)).max().unwrap_or(Minute::ZERO)
}

/// Start and end of a run on a cell that nobody else uses, with its changeover beginning at
/// `setup_from` at the earliest and its part there at `ready`.
pub(crate) fn on_cell(
    line: &Timeline<'_>,
    work: &CellWork,
    (setup, run): (Minutes, Minutes),
    setup_from: Minute,
    ready: Minute,
) -> Option<(Minute, Minute)> {
    let windows = line.windows(work.cell);
    let off = |crew: Option<CrewIdx>, role| crew.map_or_else(Vec::new, |crew| off_shift(line, crew, role));
    let (_, mounted) = earliest(windows, setup_from, setup, &off(work.setup_crew, CrewRole::Setter))?;
    earliest(windows, ready.max(mounted), run, &off(work.run_crew, CrewRole::Operator))
}

fn off_shift(line: &Timeline<'_>, crew: CrewIdx, role: CrewRole) -> Vec<Block> {
    absent(line.problem, crew, role, (Minute::ZERO, line.problem.horizon))
}
