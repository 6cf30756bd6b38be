//! A remedy in a planner's words: what is different from the plan.

use super::Bench;
use super::probes::chosen;
use crate::plan::RemedyKind;
use crate::words::listed;
use elbowroom_problem::{CellIdx, JobIdx, OptionIdx, Placement, Problem, Schedule};
use elbowroom_units::Minute;

/// Orders named in one text; the rest are counted.
const MOST_NAMED: usize = 3;

/// What a schedule does otherwise with a job; `None` if nothing.
pub(super) fn moved(bench: &Bench<'_>, job: JobIdx, kind: RemedyKind, schedule: &Schedule) -> Option<String> {
    let before = bench.planned.schedule.schedule();
    if placements(before, job) == placements(schedule, job) {
        return None;
    }
    let (was, is) = (chosen(before, job)?, chosen(schedule, job)?);
    Some(match kind {
        RemedyKind::Process => process(bench, &is),
        RemedyKind::Vendor => places(bench, &was, &is).unwrap_or_else(|| "another vendor".to_owned()),
        _ => forward(bench, job, schedule, &was, &is),
    })
}

fn process(bench: &Bench<'_>, is: &[OptionIdx]) -> String {
    let key = &bench.planned.key;
    let bent = is.iter().find(|at| key.step(**at).kind == crate::compile::StepKind::Bend);
    let place = bent.map_or_else(String::new, |at| format!(" on {}", key.place(*at)));
    let process = key.route(is[0]).process;
    process.map_or_else(|| format!("another way{place}"), |process| format!("bent by {process}{place}"))
}

/// `draw-2 instead of draw-1`, for steps of the same route done elsewhere.
fn places(bench: &Bench<'_>, was: &[OptionIdx], is: &[OptionIdx]) -> Option<String> {
    let key = &bench.planned.key;
    let pairs = was.iter().zip(is).filter(|(was, is)| key.place(**was) != key.place(**is));
    let texts: Vec<String> =
        pairs.map(|(was, is)| format!("{} instead of {}", key.place(*is), key.place(*was))).collect();
    (!texts.is_empty()).then(|| listed(&texts, MOST_NAMED))
}

fn forward(
    bench: &Bench<'_>,
    job: JobIdx,
    schedule: &Schedule,
    was: &[OptionIdx],
    is: &[OptionIdx],
) -> String {
    let mut text = places(bench, was, is).unwrap_or_default();
    let problem = &bench.planned.problem;
    let mut ahead = Vec::new();
    for cell in 0..problem.cells.len() {
        let passed = overtaken(problem, bench.planned.schedule.schedule(), schedule, CellIdx::new(cell), job);
        if !passed.is_empty() {
            let names: Vec<&str> = passed.iter().map(|job| problem.job(*job).id.as_str()).collect();
            let swapped = if passed.len() == 1 { "swapped with" } else { "ahead of" };
            ahead.push(format!("{swapped} {} on {}", listed(&names, MOST_NAMED), problem.cells[cell].id));
        }
    }
    if !ahead.is_empty() {
        text += if text.is_empty() { "" } else { ", " };
        text += &listed(&ahead, MOST_NAMED);
    }
    if text.is_empty() { "begun earlier, in gaps of the plan".to_owned() } else { text }
}

/// Jobs that a job comes before on a cell now and came after in the plan.
fn overtaken(
    problem: &Problem,
    before: &Schedule,
    after: &Schedule,
    cell: CellIdx,
    job: JobIdx,
) -> Vec<JobIdx> {
    let came_before = |schedule: &Schedule| -> Option<Vec<JobIdx>> {
        let on_cell: Vec<(Minute, JobIdx)> = schedule
            .operations
            .iter()
            .filter(|placed| problem.option(placed.option).on_cell().is_some_and(|work| work.cell == cell))
            .map(|placed| (placed.run_start, placed.option.job))
            .collect();
        let own = on_cell.iter().find(|(_, one)| *one == job)?.0;
        Some(on_cell.into_iter().filter(|(start, _)| *start < own).map(|(_, one)| one).collect())
    };
    let (Some(was), Some(is)) = (came_before(before), came_before(after)) else { return Vec::new() };
    was.into_iter().filter(|one| *one != job && !is.contains(one)).collect()
}

fn placements(schedule: &Schedule, job: JobIdx) -> Vec<Placement> {
    let mut placed: Vec<Placement> =
        schedule.operations.iter().filter(|placed| placed.option.job == job).copied().collect();
    placed.sort_unstable_by_key(|placed| placed.option);
    placed
}
