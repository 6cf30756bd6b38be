//! Reads a schedule file.

use crate::SCHEDULE_FORMAT;
use crate::fault::Fault;
use crate::json::Kind;
use crate::names::Names;
use crate::placed::{Directory, placed};
use crate::read_problem::whole;
use crate::reader::{Reader, clipped, document, shown};
use crate::spot::{Keys, Path, Spot};
use elbowroom_problem::{Availability, Pinned, Placement, Problem, Schedule, ToolIdx};
use std::collections::HashSet;

const SCHEDULE: Keys = Keys {
    required: &["format", "problem", "objective", "lower_bound", "purchases", "operations"],
    optional: &[],
};

/// Reads a schedule for `problem` in the format `elbowroom-schedule/1`.
///
/// What is read names only jobs, routes, operations, options and offers that the problem has;
/// whether it keeps the rules is for the verifier to say.
///
/// # Errors
/// Every fault of the file, in the order of its lines.
pub fn read_schedule(text: &[u8], problem: &Problem) -> Result<Schedule, Vec<Fault>> {
    let (text, value) = document(text, "schedule")?;
    let mut reader = Reader::default();
    let spot = Spot { value: &value, path: Path::Root("schedule") };
    match schedule(&mut reader, spot, problem) {
        Some(schedule) if reader.is_clean() => Ok(schedule),
        _ => Err(reader.into_faults(text)),
    }
}

fn schedule(reader: &mut Reader, spot: Spot, problem: &Problem) -> Option<Schedule> {
    let fields = reader.object(spot, &SCHEDULE)?;
    reader.word(fields.get("format"), &[(SCHEDULE_FORMAT, ())]);
    for_this_problem(reader, fields.get("problem"), problem);
    let objective = reader.number(fields.get("objective"));
    let lower_bound = match fields.get("lower_bound") {
        Some(spot) if matches!(spot.value.kind, Kind::Null) => Some(None),
        spot => reader.number(spot).map(Some),
    };
    let purchases = purchases(reader, fields.get("purchases"), problem);
    let names = Names::known("job", problem.jobs.iter().map(|job| job.id.as_str()));
    let directory = Directory::new(names, problem.jobs.iter().map(Some));
    let operations = reader
        .each(fields.get("operations"), 0, |reader, spot| placed(reader, spot, &directory).map(placement));
    Some(Schedule {
        objective: objective?,
        lower_bound: lower_bound?,
        purchases: whole(purchases)?,
        operations: whole(operations)?,
    })
}

fn placement(placed: Pinned) -> Placement {
    let Pinned { option, setup_start, run_start, end } = placed;
    Placement { option, setup_start, run_start, end }
}

fn for_this_problem(reader: &mut Reader, spot: Option<Spot>, problem: &Problem) {
    if let Some(name) = reader.string(spot).filter(|name| *name != problem.name)
        && let Some(spot) = spot
    {
        let what = format!("is for problem \"{}\", not for \"{}\"", clipped(name), clipped(&problem.name));
        reader.fault(spot, what);
    }
}

/// Tools with an offer that is not committed already, each once.
fn purchases(reader: &mut Reader, list: Option<Spot>, problem: &Problem) -> Vec<Option<ToolIdx>> {
    let names = Names::known("tool", problem.tools.iter().map(|tool| tool.id.as_str()));
    let committed: HashSet<_> = problem.committed_purchases.iter().collect();
    let mut seen = HashSet::new();
    reader.each(list, 0, |reader, spot| {
        let tool = names.find(reader, spot).map(ToolIdx::new)?;
        let name = shown(spot.value);
        if matches!(problem.tool(tool).availability, Availability::From(_)) {
            reader.fault(spot, format!("tool {name} is owned and has no offer to take"));
        } else if committed.contains(&tool) {
            reader.fault(spot, format!("tool {name} is a committed purchase already; leave it out"));
        } else if !seen.insert(tool) {
            reader.fault(spot, format!("{name} appears twice; leave it once"));
        }
        Some(tool)
    })
}
