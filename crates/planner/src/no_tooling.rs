//! Orders that could wait for new tools or go without them: both courses, with dates and costs.

pub(crate) mod courses;

use crate::compile::JobRole;
use crate::lateness::usable_from;
use crate::plan::NoTooling;
use crate::readback::Source;
use courses::{Tried, cheapest, is_bend};
use elbowroom_problem::{JobIdx, OptionIdx, ToolIdx};
use elbowroom_units::Minute;

/// Both courses of every order that has both, in the order of the problem's jobs.
pub(crate) fn no_tooling(source: &Source<'_>) -> Vec<NoTooling> {
    let jobs = (0..source.line.problem.jobs.len()).map(JobIdx::new);
    jobs.filter_map(|job| both_courses(source, job)).collect()
}

fn both_courses(source: &Source<'_>, job: JobIdx) -> Option<NoTooling> {
    let bends: Vec<OptionIdx> = options(source, job).filter(|at| is_bend(source, *at)).collect();
    let waits = |at: &OptionIdx| !awaited_tools(source, *at).is_empty();
    if source.key.job(job).role == JobRole::Running || !bends.iter().any(waits) || bends.iter().all(waits) {
        return None;
    }
    let without = cheapest(source, job, &|at| !waits(&at))?;
    let waiting = cheapest(source, job, &|at| waits(&at))?;
    let order = source.order(job).id.clone();
    let planned = source.line.of_job(job).iter().map(|at| source.line.placed(*at).option);
    Some(NoTooling {
        order,
        tools: tool_ids(source, &waiting),
        plan_waits: planned.filter(|at| is_bend(source, *at)).any(|at| waits(&at)),
        without: without.course,
        waiting: waiting.course,
    })
}

/// Every option of a job.
fn options<'a>(source: &Source<'a>, job: JobIdx) -> impl Iterator<Item = OptionIdx> + use<'a> {
    let routes = &source.line.problem.job(job).routes;
    routes.iter().enumerate().flat_map(move |(route, found)| {
        found.operations.iter().enumerate().flat_map(move |(operation, step)| {
            (0..step.options.len()).map(move |option| OptionIdx { job, route, operation, option })
        })
    })
}

/// Tools of an option that are not in the house at plan start.
fn awaited_tools(source: &Source<'_>, at: OptionIdx) -> Vec<ToolIdx> {
    let problem = source.line.problem;
    let tools = problem.option(at).on_cell().map_or(&[][..], |work| &work.tools);
    tools
        .iter()
        .copied()
        .filter(|tool| usable_from(problem, *tool) > Minute::ZERO || is_offer(source, *tool))
        .collect()
}

fn is_offer(source: &Source<'_>, tool: ToolIdx) -> bool {
    source.key.tool(tool).lead.is_some()
}

fn tool_ids(source: &Source<'_>, tried: &Tried) -> Vec<String> {
    let tools = tried.way.iter().flat_map(|at| awaited_tools(source, *at));
    tools.map(|tool| source.line.problem.tool(tool).id.clone()).collect()
}
