//! The list of tools in `tooling.toml`.

use super::words::tool_kinds;
use crate::code;
use crate::context::Context;
use crate::finding::{Place, Problem};
use crate::keyed::Table;
use crate::keyed::values::{count_within, date, length, list, minutes, money, positive, text, word};
use crate::places::Kind;
use elbowroom_bending::rules::{ByKind, ToolDefault};
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_shop::rack::{Tool, ToolState, Wear};
use elbowroom_units::Mm;

/// Most equal pieces of a tool, and most balls of a mandrel.
const MOST_PIECES: u32 = 1_000;
const MOST_BALLS: u32 = 20;

/// Most bends that are counted.
const MOST_BENDS: u32 = 1_000_000_000;

/// Reads the tools. The cells that they fit are checked by [`check_fits`], once cells are known.
pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>, defaults: &ByKind<ToolDefault>) -> Vec<Tool> {
    // Rules, read elsewhere on top of the shipped ones.
    root.expect(&["matching", "default"]);
    read_list(cx, root, defaults)
}

/// Reads the tools of a file that holds nothing else.
pub(crate) fn read_list(cx: &mut Context<'_>, root: &Table<'_>, defaults: &ByKind<ToolDefault>) -> Vec<Tool> {
    let mut tables = root.tables("tool", |number| format!("tool {number}"));
    let tools = cx.items(Kind::Tool, &mut tables, |_, table, id| tool(table, id, defaults));
    root.finish();
    tools
}

fn tool(table: &Table<'_>, id: String, defaults: &ByKind<ToolDefault>) -> Option<Tool> {
    let spec = spec(table);
    let pieces = table.or("pieces", 1, count_within(1, MOST_PIECES));
    let default = spec.map(|spec| defaults.of(spec.kind));
    let state = state(table, default);
    let fits = table.opt("fits", list(text));
    let wear = wear(table);
    let place = table.opt("place", text);
    let (spec, pieces, state) = (spec?, pieces?, state?);
    Some(Tool { id, spec, pieces, state, fits: fits?, wear: wear?, place: place? })
}

/// Bends so far and those that it lasts for: both or neither.
fn wear(table: &Table<'_>) -> Option<Option<Wear>> {
    let limit = table.opt("wear_limit", count_within(1, MOST_BENDS));
    let bends = table.opt("bends", count_within(0, MOST_BENDS));
    match (limit?, bends?) {
        (None, None) => Some(None),
        (Some(limit), bends) => {
            let bends = bends.unwrap_or(0);
            if bends > limit {
                let problem = Problem::new(
                    code::WORN_OUT,
                    format!("`bends` is {bends}, beyond `wear_limit` = {limit}: it should be worn out"),
                );
                table.warn_at("bends", problem.hint("count anew after regrinding, or raise the limit"));
            }
            Some(Some(Wear { limit, bends }))
        }
        (None, Some(_)) => {
            let problem = Problem::new(code::MISSING_KEY, "`bends` is given without `wear_limit`");
            table.fault_at("bends", problem.hint("add the bends that it lasts for: wear_limit = 50000"));
            None
        }
    }
}

fn spec(table: &Table<'_>) -> Option<ToolSpec> {
    let kind = table.req("kind", word(&tool_kinds()));
    let od = table.req("od", positive(length));
    let clr = table.opt("clr", positive(length));
    let wall = table.opt("wall", positive(length));
    let balls = table.opt("balls", count_within(0, MOST_BALLS));
    let (kind, od, clr, wall, balls) = (kind?, od?, clr?, wall?, balls?);
    let good = [
        belongs(table, kind, "clr", clr.is_some(), kind.has_radius()),
        belongs(table, kind, "wall", wall.is_some(), kind.has_wall()),
        balls.is_none() || belongs(table, kind, "balls", true, kind == ToolKind::Mandrel),
        fits_tube(table, od, clr, wall),
    ];
    good.iter().all(|good| *good).then_some(ToolSpec { kind, od, clr, wall, balls: balls.unwrap_or(0) })
}

/// Reports a key that this kind of tool needs and lacks, or has and does not need.
fn belongs(table: &Table<'_>, kind: ToolKind, key: &'static str, given: bool, needed: bool) -> bool {
    let article = if kind == ToolKind::Mandrel || !kind.name().starts_with('a') { "a" } else { "an" };
    match (given, needed) {
        (false, true) => {
            table.fault(Problem::new(
                code::MISSING_KEY,
                format!("key `{key}` is missing; {article} {kind} is cut for one"),
            ));
        }
        (true, false) => {
            table
                .fault_at(key, Problem::new(code::CONTRADICTION, format!("{article} {kind} has no `{key}`")));
        }
        _ => return true,
    }
    false
}

/// Reports a radius or wall that no tube of the diameter can have.
fn fits_tube(table: &Table<'_>, od: Mm, clr: Option<Mm>, wall: Option<Mm>) -> bool {
    let half = od / 2.0;
    let radius = clr.is_none_or(|clr| {
        let node = table.node("clr");
        node.is_none_or(|node| {
            node.check(clr > half, format_args!("it must be more than half the outside diameter ({half})"))
        })
    });
    let bore = wall.is_none_or(|wall| {
        let node = table.node("wall");
        node.is_none_or(|node| {
            node.check(wall < half, format_args!("it must be less than half the outside diameter ({half})"))
        })
    });
    radius && bore
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    Rack,
    OnOrder,
    Offered,
}

const STATES: [(&str, State); 3] =
    [("rack", State::Rack), ("on order", State::OnOrder), ("offered", State::Offered)];

fn state(table: &Table<'_>, default: Option<&ToolDefault>) -> Option<ToolState> {
    let state = table.or("state", State::Rack, word(&STATES));
    let arrives = table.opt("arrives", date);
    let price = table.opt("price", money);
    let lead = table.opt("lead", minutes);
    let (state, arrives, price, lead) = (state?, arrives?, price?, lead?);
    for (key, given, of) in [
        ("arrives", arrives.is_some(), State::OnOrder),
        ("price", price.is_some(), State::Offered),
        ("lead", lead.is_some(), State::Offered),
    ] {
        if given && state != of {
            contradiction(table, key, of);
            return None;
        }
    }
    match state {
        State::Rack => Some(ToolState::Rack),
        State::OnOrder => table.req("arrives", date).map(|arrives| ToolState::OnOrder { arrives }),
        State::Offered => default.map(|default| ToolState::Offered {
            price: price.unwrap_or(default.price),
            lead: lead.unwrap_or(default.lead),
            estimated: price.is_none() || lead.is_none(),
        }),
    }
}

fn contradiction(table: &Table<'_>, key: &'static str, of: State) {
    let name = STATES.iter().find(|(_, state)| *state == of).map_or("", |(name, _)| name);
    let problem = Problem::new(code::CONTRADICTION, format!("`{key}` belongs to a tool that is {name}"));
    table.fault_at(key, problem.hint(format!("write state = \"{name}\", or remove `{key}`")));
}

/// Checks the cells that tools fit, and leaves out those that are faulty.
pub(crate) fn check_fits(cx: &Context<'_>, tools: &mut [Tool]) {
    for tool in tools {
        let place = cx.places.key(Kind::Tool, &tool.id, "fits").cloned();
        let place = place.unwrap_or_else(|| Place::whole("tooling.toml"));
        let id = &tool.id;
        let known = |cell: &String| match cx.find(Kind::Cell, cell) {
            Ok(sound) => sound,
            Err(problem) => {
                cx.findings.error(place.clone(), problem.of(format_args!("tool `{id}`: an item of `fits`")));
                false
            }
        };
        if let Some(fits) = &mut tool.fits {
            fits.retain(known);
        }
    }
}
