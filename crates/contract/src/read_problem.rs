//! Reads a problem file.

use crate::PROBLEM_FORMAT;
use crate::fault::Fault;
use crate::intervals::{capacity, windows};
use crate::json::Kind;
use crate::names::Names;
use crate::placed;
use crate::read_job;
use crate::reader::{Reader, document, shown};
use crate::spot::{Keys, Path, Spot};
use elbowroom_problem::{Availability, Cell, Changeover, Crew, Objective, Parts, Problem, Tool, ToolIdx};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use std::collections::HashSet;

const PROBLEM: Keys = Keys {
    required: &["format", "name", "objective", "horizon", "cells", "jobs"],
    optional: &["tools", "crews", "pinned", "committed_purchases"],
};
const CELL: Keys = Keys {
    required: &["id", "windows"],
    optional: &["run_rate", "setup_rate", "initial_setup", "changeover"],
};
const CHANGEOVER: Keys = Keys { required: &["default"], optional: &["same", "pairs"] };
const TOOL: Keys = Keys { required: &["id", "count"], optional: &["available_from", "offer"] };
const OFFER: Keys = Keys { required: &["price", "lead"], optional: &[] };
const CREW: Keys = Keys { required: &["id", "capacity"], optional: &[] };

/// Reads a problem in the format `elbowroom-problem/1`.
///
/// # Errors
/// Every fault of the file, in the order of its lines: bytes that are no UTF-8 or no JSON, keys
/// unknown, missing or written twice, values of the wrong kind or out of range, names of things
/// that do not exist, intervals out of order, pinned work that cannot be.
pub fn read_problem(text: &[u8]) -> Result<Problem, Vec<Fault>> {
    let (text, value) = document(text, "problem")?;
    let mut reader = Reader::default();
    let spot = Spot { value: &value, path: Path::Root("problem") };
    match parts(&mut reader, spot) {
        Some(parts) if reader.is_clean() => Problem::new(parts).map_err(without_lines),
        _ => Err(reader.into_faults(text)),
    }
}

/// Faults of the problem itself that a file has no line for.
fn without_lines(faults: Vec<elbowroom_problem::Fault>) -> Vec<Fault> {
    faults.into_iter().map(|fault| Fault { place: fault.place, line: None, what: fault.what }).collect()
}

/// The names that options refer to.
pub(crate) struct Resources<'a> {
    pub cells: Names<'a>,
    pub tools: Names<'a>,
    pub crews: Names<'a>,
}

fn parts(reader: &mut Reader, spot: Spot) -> Option<Parts> {
    let fields = reader.object(spot, &PROBLEM)?;
    reader.word(fields.get("format"), &[(PROBLEM_FORMAT, ())]);
    let name = reader.string(fields.get("name")).map(str::to_owned);
    let objective = reader.word(fields.get("objective"), &OBJECTIVES);
    let horizon = reader.minutes(fields.get("horizon"), 1);
    let names = Resources {
        cells: Names::of(reader, "cell", fields.get("cells")),
        tools: Names::of(reader, "tool", fields.get("tools")),
        crews: Names::of(reader, "crew", fields.get("crews")),
    };
    let job_names = Names::of(reader, "job", fields.get("jobs"));
    let cells = reader.each(fields.get("cells"), 0, cell);
    let tools = reader.each(fields.get("tools"), 0, tool);
    let crews = reader.each(fields.get("crews"), 0, crew);
    let jobs = reader.each(fields.get("jobs"), 1, |r, spot| read_job::job(r, spot, objective, &names));
    let pinned = placed::pinned(reader, fields.get("pinned"), job_names, &jobs);
    let committed = committed(reader, fields.get("committed_purchases"), &names.tools, &tools);
    Some(Parts {
        name: name?,
        objective: objective?,
        horizon: Minute::new(horizon?),
        cells: whole(cells)?,
        tools: whole(tools)?,
        crews: whole(crews)?,
        jobs: whole(jobs)?,
        pinned: whole(pinned)?,
        committed_purchases: whole(committed)?,
    })
}

const OBJECTIVES: [(&str, Objective); 3] =
    [("cost", Objective::Cost), ("makespan", Objective::Makespan), ("tardiness", Objective::Tardiness)];

/// The list, where all its elements could be read.
pub(crate) fn whole<T>(elements: Vec<Option<T>>) -> Option<Vec<T>> {
    elements.into_iter().collect()
}

fn cell(reader: &mut Reader, spot: Spot) -> Option<Cell> {
    let fields = reader.object(spot, &CELL)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let windows = windows(reader, fields.get("windows"));
    let run_rate = rate(reader, fields.get("run_rate"));
    let setup_rate = rate(reader, fields.get("setup_rate"));
    let initial_setup = match fields.get("initial_setup") {
        None => Some(None),
        Some(spot) if matches!(spot.value.kind, Kind::Null) => Some(None),
        some => reader.name(some).map(|key| Some(key.to_owned())),
    };
    let changeover = match fields.get("changeover") {
        None => Some(None),
        Some(spot) => changeover(reader, spot).map(Some),
    };
    Some(Cell {
        id: id?,
        windows: windows?,
        run_rate: run_rate?,
        setup_rate: setup_rate?,
        initial_setup: initial_setup?,
        changeover: changeover?,
    })
}

/// Money for a minute; nothing where the key is left out.
fn rate(reader: &mut Reader, spot: Option<Spot>) -> Option<RatePerMinute> {
    spot.map_or(Some(0.0), |spot| reader.money(Some(spot))).map(RatePerMinute::per_minute)
}

/// A sum of money; nothing where the key is left out.
pub(crate) fn cost(reader: &mut Reader, spot: Option<Spot>) -> Option<Money> {
    spot.map_or(Some(0.0), |spot| reader.money(Some(spot))).map(Money::new)
}

/// A length of time; nothing where the key is left out.
pub(crate) fn time(reader: &mut Reader, spot: Option<Spot>) -> Option<Minutes> {
    spot.map_or(Some(0), |spot| reader.minutes(Some(spot), 0)).map(Minutes::new)
}

fn changeover(reader: &mut Reader, spot: Spot) -> Option<Changeover> {
    let fields = reader.object(spot, &CHANGEOVER)?;
    let default = reader.minutes(fields.get("default"), 0);
    let same = time(reader, fields.get("same"));
    let pairs = reader.each(fields.get("pairs"), 0, pair);
    Some(Changeover { default: Minutes::new(default?), same: same?, pairs: whole(pairs)?.into() })
}

/// `[from, to, minutes]`.
fn pair(reader: &mut Reader, spot: Spot) -> Option<(String, String, Minutes)> {
    let wrong =
        format!("is {}, must be [from, to, minutes]: two setup keys and an integer", shown(spot.value));
    let Kind::List(elements) = &spot.value.kind else {
        reader.fault(spot, wrong);
        return None;
    };
    let [from, to, minutes] = elements.as_slice() else {
        reader.fault(spot, wrong);
        return None;
    };
    let at = |value, index| Some(Spot { value, path: Path::Index(&spot.path, index) });
    let from = reader.string(at(from, 0)).map(str::to_owned);
    let to = reader.string(at(to, 1)).map(str::to_owned);
    let minutes = reader.minutes(at(minutes, 2), 0);
    Some((from?, to?, Minutes::new(minutes?)))
}

fn tool(reader: &mut Reader, spot: Spot) -> Option<Tool> {
    let fields = reader.object(spot, &TOOL)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let count = reader.integer(fields.get("count"), 1..=i64::from(u32::MAX));
    let from = reader.minutes(fields.get("available_from"), 0);
    let offer = fields.get("offer").and_then(|spot| offer(reader, spot));
    let availability = match (fields.has("available_from"), fields.has("offer")) {
        (true, false) => from.map(|minute| Availability::From(Minute::new(minute))),
        (false, true) => offer,
        (both, _) => {
            let found = if both { "both are there" } else { "neither is there" };
            reader.fault(spot, format!("must have either `available_from` or `offer`; {found}"));
            None
        }
    };
    Some(Tool { id: id?, count: u32::try_from(count?).ok()?, availability: availability? })
}

fn offer(reader: &mut Reader, spot: Spot) -> Option<Availability> {
    let fields = reader.object(spot, &OFFER)?;
    let price = reader.money(fields.get("price"));
    let lead = reader.minutes(fields.get("lead"), 0);
    Some(Availability::Offer { price: Money::new(price?), lead: Minute::new(lead?) })
}

fn crew(reader: &mut Reader, spot: Spot) -> Option<Crew> {
    let fields = reader.object(spot, &CREW)?;
    let id = reader.name(fields.get("id")).map(str::to_owned);
    let capacity = capacity(reader, fields.get("capacity"));
    Some(Crew { id: id?, capacity: capacity? })
}

/// Tools ordered already: each has an offer, none is there twice.
fn committed(
    reader: &mut Reader,
    list: Option<Spot>,
    names: &Names,
    tools: &[Option<Tool>],
) -> Vec<Option<ToolIdx>> {
    let mut seen = HashSet::new();
    reader.each(list, 0, |reader, spot| {
        let index = names.find(reader, spot)?;
        if !seen.insert(index) {
            reader.fault(spot, format!("{} appears twice; leave it once", shown(spot.value)));
        }
        if let Some(Tool { availability: Availability::From(_), .. }) = tools.get(index)? {
            reader.fault(spot, format!("tool {} is owned and has no offer to commit to", shown(spot.value)));
        }
        Some(ToolIdx::new(index))
    })
}
