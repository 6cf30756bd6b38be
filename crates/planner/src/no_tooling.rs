//! Orders that could wait for new tools or go without them: both courses, with dates and costs.

pub(crate) mod courses;

use crate::compile::JobRole;
use crate::lateness::usable_from;
use crate::plan::NoTooling;
use crate::readback::Source;
use courses::{Tried, cheapest, is_bend};
use elbowroom_problem::{JobIdx, OptionIdx, ToolIdx, Work};
use elbowroom_units::{Minute, Money};
use std::cmp::Ordering;

/// Both courses of every order that has both, in the order of the problem's jobs.
pub(crate) fn no_tooling(source: &Source<'_>) -> Vec<NoTooling> {
    let jobs = (0..source.line.problem.jobs.len()).map(JobIdx::new);
    jobs.filter_map(|job| both_courses(source, job)).collect()
}

fn both_courses(source: &Source<'_>, job: JobIdx) -> Option<NoTooling> {
    let bends: Vec<OptionIdx> = options(source, job).filter(|at| is_bend(source, *at)).collect();
    let waits = |at: &OptionIdx| !awaited_tools(source, *at).is_empty();
    let (waiting, without): (Vec<_>, Vec<_>) = bends.into_iter().partition(waits);
    if source.key.job(job).role == JobRole::Running || !is_a_question(source, &waiting, &without) {
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

/// Whether somebody would think of waiting at all: there are dies to wait for and a way that needs
/// no die of the radius, or the tools awaited would make the order cheaper if they were here.
fn is_a_question(source: &Source<'_>, waiting: &[OptionIdx], without: &[OptionIdx]) -> bool {
    let kind = |tool: &ToolIdx| source.key.tool(*tool).kind;
    let awaits_die = |at: &OptionIdx| awaited_tools(source, *at).iter().any(|tool| kind(tool).has_radius());
    let needs_no_die = |at: &OptionIdx| !tools_of(source, *at).iter().any(|tool| kind(tool).has_radius());
    let die_or_none = waiting.iter().any(awaits_die) && without.iter().any(needs_no_die);
    die_or_none
        || least(source, waiting)
            .zip(least(source, without))
            .is_some_and(|(waiting, without)| lesser(&waiting, &without).is_lt())
}

/// What the cheapest of some bends costs with its tools on hand, the rest of its route included.
fn least(source: &Source<'_>, bends: &[OptionIdx]) -> Option<Money> {
    bends.iter().map(|at| cost_with_tools(source, *at)).min_by(lesser)
}

fn cost_with_tools(source: &Source<'_>, bend: OptionIdx) -> Money {
    let route = &source.line.problem.job(bend.job).routes[bend.route];
    let others = route.operations.iter().enumerate().filter(|(number, _)| *number != bend.operation);
    let rest =
        others.filter_map(|(_, step)| step.options.iter().map(|work| work_cost(source, work)).min_by(lesser));
    let work = source.line.problem.option(bend);
    let setup = work.on_cell().map_or(Money::ZERO, |on| {
        let cell = source.line.problem.cell(on.cell);
        cell.setup_rate * source.line.changeover_from_start(on.cell, &on.setup_key)
    });
    route.cost + setup + work_cost(source, work) + rest.sum()
}

fn lesser(a: &Money, b: &Money) -> Ordering {
    a.amount().total_cmp(&b.amount())
}

fn work_cost(source: &Source<'_>, work: &Work) -> Money {
    let run = work.on_cell().map_or(Money::ZERO, |on| source.line.problem.cell(on.cell).run_rate * work.run);
    run + work.cost
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
    let here = |tool: &ToolIdx| usable_from(source.line.problem, *tool) <= Minute::ZERO;
    tools_of(source, at).iter().copied().filter(|tool| !here(tool) || is_offer(source, *tool)).collect()
}

fn tools_of<'a>(source: &Source<'a>, at: OptionIdx) -> &'a [ToolIdx] {
    source.line.problem.option(at).on_cell().map_or(&[][..], |work| &work.tools)
}

fn is_offer(source: &Source<'_>, tool: ToolIdx) -> bool {
    source.key.tool(tool).lead.is_some()
}

fn tool_ids(source: &Source<'_>, tried: &Tried) -> Vec<String> {
    let tools = tried.way.iter().flat_map(|at| awaited_tools(source, *at));
    tools.map(|tool| source.line.problem.tool(tool).id.clone()).collect()
}
