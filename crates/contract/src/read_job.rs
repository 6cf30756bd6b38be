//! Reads the jobs of a problem file.

use crate::json::Kind;
use crate::names;
use crate::read_problem::{Resources, cost, time, whole};
use crate::reader::{Reader, shown};
use crate::spot::{Fields, Keys, Spot};
use elbowroom_problem::{
    CellIdx, CellWork, CrewIdx, Job, MAX_MINUTE, Objective, Operation, Place, Route, ToolIdx, Work,
};
use elbowroom_units::{Minute, Minutes, Money};
use std::collections::HashSet;

const JOB: Keys = Keys { required: &["id", "release", "due", "late_cost_per_day", "routes"], optional: &[] };
const ROUTE: Keys = Keys { required: &["id", "operations"], optional: &["cost"] };
const OPERATION: Keys = Keys { required: &["id", "options"], optional: &["lag_after"] };
const OPTION: Keys =
    Keys { required: &["cell", "run"], optional: &["setup_key", "tools", "setup_crew", "run_crew", "cost"] };

/// A job; `objective` says whether its late cost is a weight.
pub(crate) fn job(
    reader: &mut Reader,
    spot: Spot,
    objective: Option<Objective>,
    names: &Resources,
) -> Option<Job> {
    let fields = reader.object(spot, &JOB)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let release = reader.minutes(fields.get("release"), 0);
    let due = reader.integer(fields.get("due"), -MAX_MINUTE..=MAX_MINUTE);
    let weight = reader.money(fields.get("late_cost_per_day"));
    if objective == Some(Objective::Tardiness) && weight.is_some_and(|weight| weight.fract() != 0.0) {
        let spot = fields.get("late_cost_per_day")?;
        let what = format!("is {}, must be a whole number: a weight for \"tardiness\"", shown(spot.value));
        reader.fault(spot, what);
    }
    names::unique(reader, "route", fields.get("routes"));
    let routes = reader.each(fields.get("routes"), 1, |reader, spot| route(reader, spot, names));
    Some(Job {
        id: id?,
        release: Minute::new(release?),
        due: Minute::new(due?),
        late_cost_per_day: Money::new(weight?),
        routes: whole(routes)?,
    })
}

fn route(reader: &mut Reader, spot: Spot, names: &Resources) -> Option<Route> {
    let fields = reader.object(spot, &ROUTE)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let cost = cost(reader, fields.get("cost"));
    names::unique(reader, "operation", fields.get("operations"));
    let operations = reader.each(fields.get("operations"), 1, |reader, spot| operation(reader, spot, names));
    Some(Route { id: id?, cost: cost?, operations: whole(operations)? })
}

fn operation(reader: &mut Reader, spot: Spot, names: &Resources) -> Option<Operation> {
    let fields = reader.object(spot, &OPERATION)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let lag_after = time(reader, fields.get("lag_after"));
    let options = reader.each(fields.get("options"), 1, |reader, spot| option(reader, spot, names));
    Some(Operation { id: id?, lag_after: lag_after?, options: whole(options)? })
}

fn option(reader: &mut Reader, spot: Spot, names: &Resources) -> Option<Work> {
    let fields = reader.object(spot, &OPTION)?;
    let cost = cost(reader, fields.get("cost"));
    let outside = fields.get("cell").is_some_and(|cell| matches!(cell.value.kind, Kind::Null));
    let (place, least) = if outside {
        (outside_work(reader, &fields), 0)
    } else {
        (cell_work(reader, spot, &fields, names).map(Place::Cell), 1)
    };
    let run = reader.minutes(fields.get("run"), least);
    Some(Work { place: place?, run: Minutes::new(run?), cost: cost? })
}

/// A step with `cell: null` needs nothing of the shop.
fn outside_work(reader: &mut Reader, fields: &Fields) -> Option<Place> {
    for key in ["setup_key", "setup_crew", "run_crew"] {
        if let Some(spot) = fields.get(key).filter(|spot| !matches!(spot.value.kind, Kind::Null)) {
            let what = format!("is {}, must be null or left out where `cell` is null", shown(spot.value));
            reader.fault(spot, what);
        }
    }
    if let Some(spot) = fields.get("tools")
        && !reader.list(spot, 0)?.is_empty()
    {
        reader.fault(spot, "must be empty where `cell` is null");
    }
    Some(Place::Outside)
}

fn cell_work(reader: &mut Reader, spot: Spot, fields: &Fields, names: &Resources) -> Option<CellWork> {
    let cell = fields.get("cell").and_then(|spot| names.cells.find(reader, spot));
    let setup_key = match fields.get("setup_key") {
        None => {
            reader.fault(spot, "key `setup_key` is missing; an option on a cell has one");
            None
        }
        some => reader.name(some).map(str::to_owned),
    };
    let tools = tools(reader, fields.get("tools"), names);
    let setup_crew = crew(reader, fields.get("setup_crew"), names);
    let run_crew = crew(reader, fields.get("run_crew"), names);
    Some(CellWork {
        cell: CellIdx::new(cell?),
        setup_key: setup_key?,
        tools: tools?,
        setup_crew: setup_crew?,
        run_crew: run_crew?,
    })
}

/// The tools of an option, none of them twice.
fn tools(reader: &mut Reader, list: Option<Spot>, names: &Resources) -> Option<Vec<ToolIdx>> {
    let mut seen = HashSet::new();
    let found = reader.each(list, 0, |reader, spot| {
        let tool = names.tools.find(reader, spot).map(ToolIdx::new)?;
        if !seen.insert(tool) {
            reader.fault(spot, format!("{} appears twice; leave it once", shown(spot.value)));
        }
        Some(tool)
    });
    whole(found)
}

/// A crew or none; the outer `None` where it is wrong.
fn crew(reader: &mut Reader, spot: Option<Spot>, names: &Resources) -> Option<Option<CrewIdx>> {
    match spot {
        Some(spot) if !matches!(spot.value.kind, Kind::Null) => {
            names.crews.find(reader, spot).map(|index| Some(CrewIdx::new(index)))
        }
        _ => Some(None),
    }
}
