//! `underway.toml`.

use super::words::works;
use crate::code;
use crate::context::Context;
use crate::finding::Problem;
use crate::keyed::values::{list, minutes, positive, text};
use crate::keyed::{Node, Table};
use crate::near::did_you_mean;
use crate::places::Kind;
use crate::plain::quoted;
use elbowroom_shop::cell::{Cell, WorkKind};
use elbowroom_shop::underway::{RunningStep, Underway};
use std::collections::BTreeMap;

/// The step of bending, whatever the process.
const BEND: &str = "bend";

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>, cells: &[Cell]) -> Vec<Underway> {
    let tables = root.tables("underway", |number| format!("work under way {number}"));
    let mut all = Vec::new();
    // What runs on each cell already.
    let mut busy: BTreeMap<String, String> = BTreeMap::new();
    for mut table in tables {
        let errors = cx.findings.errors();
        let order = table.req("order", cx.known(Kind::Order));
        if let Some(order) = &order {
            table.whose = format!("work under way of order `{order}`");
        }
        let work = underway(cx, &table, cells, &mut busy, order.clone().unwrap_or_default());
        table.finish();
        let sound = cx.findings.errors() == errors;
        let Some(order) = order else { continue };
        if cx.note((Kind::Underway, &order), table.place(), table.key_places(), sound) && sound {
            all.extend(work);
        }
    }
    root.finish();
    all
}

fn underway(
    cx: &Context<'_>,
    table: &Table<'_>,
    cells: &[Cell],
    busy: &mut BTreeMap<String, String>,
    order: String,
) -> Option<Underway> {
    let done = table.or("done", Vec::new(), list(step_name(cx)));
    let step = table.opt("step", step_name(cx));
    let cell = table.opt("cell", cx.known(Kind::Cell));
    let remaining = table.opt("remaining", positive(minutes));
    let (done, step, cell, remaining) = (done?, step?, cell?, remaining?);
    let running = match (step, cell, remaining) {
        (None, None, None) => None,
        (Some(step), Some(cell), Some(remaining)) => {
            Some(RunningStep { step, cell, remaining, presumed: false })
        }
        (step, cell, _) => {
            incomplete(table, step.is_some(), cell.is_some());
            return None;
        }
    };
    if let Some(running) = &running {
        check_running(table, &done, running, cells)?;
        check_free(table, busy, &running.cell, &order)?;
    }
    Some(Underway { order, done, running })
}

fn incomplete(table: &Table<'_>, step: bool, cell: bool) {
    let missing = if !step {
        "step"
    } else if !cell {
        "cell"
    } else {
        "remaining"
    };
    let message = format!("key `{missing}` is missing: running work has `step`, `cell` and `remaining`");
    table.fault(Problem::new(code::MISSING_KEY, message));
}

/// The name of a step: bend, another kind of work, or an outside service.
fn step_name(cx: &Context<'_>) -> impl Fn(Node<'_>) -> Option<String> {
    move |node| {
        let name = text(node)?;
        let kinds = works();
        let own = kinds.iter().filter(|(_, work)| !matches!(work, WorkKind::Bend(_))).map(|(name, _)| *name);
        let names: Vec<&str> = own.chain([BEND]).chain(cx.places.ids(Kind::Service)).collect();
        if names.contains(&name.as_str()) || cx.incomplete.contains(&Kind::Service) {
            return Some(name);
        }
        let message = format!("is {}; expected a step: {}", quoted(&name), names.join(", "));
        node.fault(Problem::new(code::UNKNOWN_WORD, message).maybe_hint(did_you_mean(&name, names)));
        None
    }
}

/// Reports a running step that is done already, or on a cell that cannot do it.
fn check_running(table: &Table<'_>, done: &[String], running: &RunningStep, cells: &[Cell]) -> Option<()> {
    let RunningStep { step, cell, .. } = running;
    if done.contains(step) {
        let message = format!("step `{step}` is both done and running");
        table.fault_at("step", Problem::new(code::CONTRADICTION, message));
        return None;
    }
    let work = cells.iter().find(|other| other.id == *cell)?.work;
    let name = if matches!(work, WorkKind::Bend(_)) { BEND } else { work.name() };
    if name != step {
        let message = format!("step `{step}` cannot run on cell `{cell}`, whose work is \"{work}\"");
        table.fault_at("cell", Problem::new(code::IMPOSSIBLE, message));
        return None;
    }
    Some(())
}

/// Reports a cell on which another order runs.
fn check_free(table: &Table<'_>, busy: &mut BTreeMap<String, String>, cell: &str, order: &str) -> Option<()> {
    if let Some(other) = busy.get(cell) {
        let message = format!("cell `{cell}` runs order `{other}` already; a cell does one lot at a time");
        table.fault_at("cell", Problem::new(code::IMPOSSIBLE, message));
        return None;
    }
    busy.insert(cell.to_owned(), order.to_owned());
    Some(())
}
