//! What an order would have to find free to be in time.
//!
//! What it waited for is set free for this order alone, all other work staying where
//! it is: one thing at a time, then two together, then three, until it would be in time.

use super::Group;
use super::blocks::usable_from;
use crate::insertion::{Fit, FittedStep, Fitter, Relaxed, Resource};
use crate::plan::Cause;
use crate::readback::{Source, money};
use crate::timeline::{At, Timeline};
use elbowroom_problem::{CellWork, CrewIdx};
use elbowroom_units::{Minute, Minutes};
use std::cmp::Reverse;

/// Of more things waited for, those waited for longest are tried.
const MOST_TRIED: usize = 8;
/// Most things set free together.
const MOST_TOGETHER: usize = 3;

/// One thing set free.
pub(crate) struct Freed {
    pub(crate) resource: Resource,
    pub(crate) cause: Cause,
    /// The step that could begin sooner with it.
    pub(crate) step: String,
    /// The placements that have it meanwhile, in order of time.
    pub(crate) rivals: Vec<At>,
    /// Until when it cannot be had.
    pub(crate) until: Minute,
}

/// Things that, set free together, bring an order forward.
pub(crate) struct Relief {
    /// The one waited for longest first; at least one.
    pub(crate) freed: Vec<Freed>,
    /// When the order would be finished.
    pub(crate) finish: Minute,
}

/// The fewest things that would bring an order to its due minute; if no three do, those that bring
/// it forward most, by half of the way at least. `None` if there are none.
pub(crate) fn relief(source: &Source<'_>, fitter: &Fitter<'_>, groups: &[Group<'_>]) -> Option<Relief> {
    let tried = candidates(source, groups);
    let due = source.line.problem.job(fitter.job()).due;
    let mut nearest: Option<Set> = None;
    for size in 1..=MOST_TOGETHER {
        let sets = subsets(&tried, size).into_iter().filter_map(|set| with_free(fitter, set));
        let (in_time, too_late): (Vec<Set>, Vec<Set>) = sets.partition(|set| set.fit.finish() <= due);
        if let Some(set) = in_time.into_iter().min_by_key(Set::rank) {
            return Some(set.relief(source));
        }
        nearest = nearest.into_iter().chain(too_late).min_by_key(|set| (set.fit.finish(), set.rank()));
    }
    let helps =
        |set: &Set| due.until(set.fit.finish()) * 2 <= due.until(money::finish(source.line, fitter.job()));
    nearest.filter(helps).map(|set| set.relief(source))
}

/// What was waited for and how long, longest first.
fn candidates(source: &Source<'_>, groups: &[Group<'_>]) -> Vec<(Resource, Minutes)> {
    let mut list: Vec<(Resource, Minutes)> = Vec::new();
    for (resource, minutes) in
        groups.iter().filter_map(|group| Some((group.resource(source)?, group.minutes())))
    {
        match list.iter_mut().find(|(known, _)| *known == resource) {
            Some((_, sum)) => *sum += minutes,
            None => list.push((resource, minutes)),
        }
    }
    list.sort_by_key(|(resource, minutes)| (Reverse(*minutes), *resource));
    list.truncate(MOST_TRIED);
    list
}

/// Every set of so many of them, in order.
fn subsets<T: Copy>(items: &[T], size: usize) -> Vec<Vec<T>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let with_first = |first: usize| {
        let rest = subsets(&items[first + 1..], size - 1);
        rest.into_iter().map(move |set| [vec![items[first]], set].concat())
    };
    (0..items.len()).flat_map(with_first).collect()
}

struct Set {
    freed: Vec<(Resource, Minutes)>,
    fit: Fit,
}

fn with_free(fitter: &Fitter<'_>, freed: Vec<(Resource, Minutes)>) -> Option<Set> {
    let free: Vec<Resource> = freed.iter().map(|(resource, _)| *resource).collect();
    let fit = fitter.earliest(Relaxed { rivals_gone: false, free: &free }, &|_| true)?;
    Some(Set { freed, fit })
}

impl Set {
    /// The most waiting first, then the earlier finish.
    fn rank(&self) -> (Reverse<Minutes>, Minute) {
        (Reverse(self.freed.iter().map(|(_, minutes)| *minutes).sum()), self.fit.finish())
    }

    fn relief(self, source: &Source<'_>) -> Relief {
        let freed = self.freed.iter().filter_map(|(resource, _)| {
            let step = self.fit.steps.iter().find(|step| uses(source.line, step, *resource))?;
            Some(described(source.line, step, *resource))
        });
        Relief { freed: freed.collect(), finish: self.fit.finish() }
    }
}

fn work<'a>(line: &Timeline<'a>, step: &FittedStep) -> Option<&'a CellWork> {
    line.problem.option(step.placement.option).on_cell()
}

fn uses(line: &Timeline<'_>, step: &FittedStep, resource: Resource) -> bool {
    work(line, step).is_some_and(|work| match resource {
        Resource::Material => false,
        Resource::Cell(cell) => work.cell == cell,
        Resource::Tool(tool) => work.tools.contains(&tool),
        Resource::Crew(crew) => {
            work.run_crew == Some(crew) || (work.setup_crew == Some(crew) && step.changeover > Minutes::ZERO)
        }
    })
}

/// What is known about a thing that a step found free.
fn described(line: &Timeline<'_>, step: &FittedStep, resource: Resource) -> Freed {
    let from = step.placement.setup_start;
    let arrival = match resource {
        Resource::Tool(tool) => Some(usable_from(line.problem, tool)).filter(|there| *there > from),
        _ => None,
    };
    let cause = cause(line, step, resource, arrival);
    let begins = begins(line, step, cause);
    let held = held(line, step, resource, (from, begins.max(step.placement.end)));
    let until = arrival.or(held.iter().map(|(_, to)| *to).max()).unwrap_or(begins);
    Freed {
        resource,
        cause,
        step: line.problem.operation(step.placement.option).id.clone(),
        rivals: held.into_iter().map(|(at, _)| at).collect(),
        until: until.min(begins.max(from)),
    }
}

/// When the same step begins in the plan: its changeover, or the run where only the crew that runs
/// it is waited for.
fn begins(line: &Timeline<'_>, step: &FittedStep, cause: Cause) -> Minute {
    let id = &line.problem.operation(step.placement.option).id;
    let same = |at: &&At| &line.problem.operation(line.placed(**at).option).id == id;
    let planned = line.of_job(step.placement.option.job).iter().find(same);
    planned.map_or(step.placement.end, |at| match cause {
        Cause::Operator => line.placed(*at).run_start,
        _ => line.placed(*at).setup_start,
    })
}

/// Who has the resource in a span, and until when; the step's own job does not count.
fn held(
    line: &Timeline<'_>,
    step: &FittedStep,
    resource: Resource,
    (from, until): (Minute, Minute),
) -> Vec<(At, Minute)> {
    let job = step.placement.option.job;
    let lot = |at: &At| (*at, line.placed(*at).setup_start, line.placed(*at).end);
    let all: Vec<(At, Minute, Minute)> = match resource {
        Resource::Material => Vec::new(),
        Resource::Cell(cell) => line.on_cell(cell).iter().map(lot).collect(),
        Resource::Tool(tool) => line.on_tool(tool).iter().map(lot).collect(),
        Resource::Crew(crew) => {
            line.crew_work(crew).iter().map(|work| (work.at, work.from, work.to)).collect()
        }
    };
    let rivals = all
        .into_iter()
        .filter(|(at, begin, end)| line.placed(*at).option.job != job && *begin < until && *end > from);
    rivals.map(|(at, _, end)| (at, end)).collect()
}

fn cause(line: &Timeline<'_>, step: &FittedStep, resource: Resource, arrival: Option<Minute>) -> Cause {
    let runs = |crew: CrewIdx| work(line, step).is_some_and(|work| work.run_crew == Some(crew));
    match resource {
        Resource::Material => Cause::Material,
        Resource::Cell(_) => Cause::Cell,
        Resource::Tool(_) if arrival.is_some() => Cause::DieArrival,
        Resource::Tool(_) => Cause::DieInUse,
        Resource::Crew(crew) if runs(crew) => Cause::Operator,
        Resource::Crew(_) => Cause::Setter,
    }
}

#[cfg(test)]
mod tests {
    use super::subsets;

    #[test]
    fn every_set_once() {
        assert_eq!(subsets(&[1, 2, 3], 1), [[1], [2], [3]]);
        assert_eq!(subsets(&[1, 2, 3], 2), [[1, 2], [1, 3], [2, 3]]);
        assert_eq!(subsets(&[1, 2, 3], 3), [[1, 2, 3]]);
        assert!(subsets(&[1, 2], 3).is_empty());
    }
}
