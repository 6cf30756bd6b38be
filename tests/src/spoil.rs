//! Small changes to a problem or its schedule, most of which break a rule.

use crate::chance::Chance;
use elbowroom_problem::{Availability, OptionIdx, Parts, Placement, Problem, Schedule, ToolIdx};
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::recompute;

/// A problem and a schedule for it after one change, and what was changed.
pub struct Spoiled {
    /// The problem.
    pub problem: Problem,
    /// The schedule; in half of the cases its claimed objective was put right afterwards.
    pub schedule: Schedule,
    /// The change, for messages.
    pub change: &'static str,
}

/// One random change. A change that cannot be made here leaves everything as it was.
#[must_use]
pub fn spoil(problem: &Problem, schedule: &Schedule, chance: &mut Chance) -> Spoiled {
    let mut schedule = schedule.clone();
    let mut parts = problem.clone().into_parts();
    let change = if chance.yes(0.65) {
        spoil_schedule(problem, &mut schedule, chance)
    } else {
        spoil_problem(&mut parts, chance)
    };
    let problem = Problem::new(parts).unwrap_or_else(|_| problem.clone());
    if chance.yes(0.5) {
        schedule.objective = recompute(&problem, &schedule).objective;
    }
    Spoiled { problem, schedule, change }
}

fn spoil_schedule(problem: &Problem, schedule: &mut Schedule, chance: &mut Chance) -> &'static str {
    let by = Minutes::new(chance.one_of(&[-20, -5, -1, -1, 1, 1, 5, 20]));
    let count = schedule.operations.len();
    let index = chance.below(count);
    let placed = &mut schedule.operations[index];
    match chance.below(12) {
        0 => {
            shift(placed, by);
            "the operation is shifted"
        }
        1 => {
            placed.setup_start =
                Minute::new((placed.setup_start + by).get().clamp(0, placed.run_start.get()));
            "the setup begins elsewhere"
        }
        2 => {
            placed.run_start = (placed.run_start + by).clamp(placed.setup_start, placed.end);
            "the run begins elsewhere"
        }
        3 => {
            placed.end = (placed.end + by).max(placed.run_start);
            "the run ends elsewhere"
        }
        4 => {
            let other = chance.below(count);
            swap_times(&mut schedule.operations, index, other);
            "two operations change places"
        }
        5 => {
            schedule.operations.remove(index);
            "an operation is left out"
        }
        6 => {
            let again = *placed;
            schedule.operations.push(again);
            "an operation stands twice"
        }
        7 => {
            placed.option = another_option(problem, placed.option, chance);
            "another option is taken"
        }
        8 => {
            let other = chance.below(problem.job(placed.option.job).routes.len());
            let steps = problem.job(placed.option.job).routes[other].operations.len();
            let operation = placed.option.operation.min(steps - 1);
            placed.option = OptionIdx { route: other, operation, option: 0, ..placed.option };
            "another route is taken for one operation"
        }
        9 => {
            change_purchases(problem, schedule, chance);
            "a purchase is dropped or made"
        }
        10 => {
            schedule.objective += chance.one_of(&[0.5, -3.0, 1e-9, 1000.0]);
            "the objective is claimed otherwise"
        }
        _ => {
            schedule.lower_bound = Some(schedule.objective + chance.one_of(&[-1.0, 0.0, 0.5]));
            "a bound is claimed"
        }
    }
}

/// Shifts an operation, not before minute 0.
fn shift(placed: &mut Placement, by: Minutes) {
    let by = by.max(Minute::ZERO - placed.setup_start);
    for minute in [&mut placed.setup_start, &mut placed.run_start, &mut placed.end] {
        *minute += by;
    }
}

fn swap_times(operations: &mut [Placement], one: usize, other: usize) {
    let (a, b) = (operations[one], operations[other]);
    operations[one] = Placement { option: a.option, ..b };
    operations[other] = Placement { option: b.option, ..a };
}

fn another_option(problem: &Problem, at: OptionIdx, chance: &mut Chance) -> OptionIdx {
    let options = problem.operation(at).options.len();
    OptionIdx { option: chance.below(options), ..at }
}

/// Drops the last purchase, or makes one.
fn change_purchases(problem: &Problem, schedule: &mut Schedule, chance: &mut Chance) {
    let free = |tool: &ToolIdx| {
        let offered = matches!(problem.tool(*tool).availability, Availability::Offer { .. });
        offered && !problem.committed_purchases.contains(tool) && !schedule.purchases.contains(tool)
    };
    let offers: Vec<ToolIdx> = (0..problem.tools.len()).map(ToolIdx::new).filter(free).collect();
    if schedule.purchases.pop().is_none() && !offers.is_empty() {
        schedule.purchases.push(chance.one_of(&offers));
    }
}

fn spoil_problem(parts: &mut Parts, chance: &mut Chance) -> &'static str {
    let by = Minutes::new(chance.one_of(&[-15, -1, 1, 15, 60]));
    match chance.below(8) {
        0 => {
            parts.horizon = parts.horizon - Minutes::new(chance.from_to(1, 600));
            "the horizon is nearer"
        }
        1 => {
            let job = chance.below(parts.jobs.len());
            parts.jobs[job].release += by;
            "a release is moved"
        }
        2 => {
            let job = chance.below(parts.jobs.len());
            let route = chance.below(parts.jobs[job].routes.len());
            let operations = &mut parts.jobs[job].routes[route].operations;
            let operation = chance.below(operations.len());
            operations[operation].lag_after += by;
            "a lag is longer or shorter"
        }
        3 => change_cell(parts, chance),
        4 => change_crew(parts, chance),
        5 => change_tool(parts, by, chance),
        6 => change_key(parts, chance),
        _ => {
            parts.pinned.pop();
            "pinned work is pinned no more"
        }
    }
}

fn change_cell(parts: &mut Parts, chance: &mut Chance) -> &'static str {
    let index = chance.below(parts.cells.len());
    let cell = &mut parts.cells[index];
    if chance.yes(0.5) && !cell.windows.is_empty() {
        let window = chance.below(cell.windows.len());
        cell.windows[window].end = cell.windows[window].end - Minutes::new(chance.from_to(1, 20));
        return "a window is shorter";
    }
    if let Some(changeover) = &mut cell.changeover {
        let pick = chance.below(2);
        *[&mut changeover.default, &mut changeover.same][pick] += Minutes::new(chance.from_to(1, 10));
    }
    "a changeover is longer"
}

fn change_crew(parts: &mut Parts, chance: &mut Chance) -> &'static str {
    if !parts.crews.is_empty() {
        let crew = chance.below(parts.crews.len());
        let capacity = &mut parts.crews[crew].capacity;
        let part = chance.below(capacity.len());
        capacity[part].heads = capacity[part].heads.saturating_sub(1);
    }
    "a head is missing"
}

fn change_tool(parts: &mut Parts, by: Minutes, chance: &mut Chance) -> &'static str {
    if !parts.tools.is_empty() {
        let index = chance.below(parts.tools.len());
        let tool = &mut parts.tools[index];
        match (&mut tool.availability, chance.yes(0.5)) {
            (_, true) => tool.count = if tool.count > 1 { tool.count - 1 } else { 2 },
            (Availability::From(minute), false) => *minute += by,
            (Availability::Offer { lead, .. }, false) => *lead += by,
        }
    }
    "a tool comes later or in other number"
}

fn change_key(parts: &mut Parts, chance: &mut Chance) -> &'static str {
    let index = chance.below(parts.cells.len());
    let initial = &mut parts.cells[index].initial_setup;
    *initial = if initial.is_some() { None } else { Some("k-1".to_owned()) };
    "another setup is mounted at the beginning"
}
