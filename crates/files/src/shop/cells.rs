//! `cells.toml`.

use super::calendars::each;
use super::spans::dated;
use super::words::{HANDS, works};
use crate::code;
use crate::context::Context;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::keyed::values::{count_within, length, list, money, number, positive, range, text, within, word};
use crate::places::Kind;
use elbowroom_shop::cell::{BendLimits, Cell, Hand, WorkKind};
use elbowroom_units::{Money, RatePerMinute};

/// Keys that only a bending cell has.
const BENDING_KEYS: [&str; 10] = [
    "od",
    "max_wall",
    "max_length",
    "clr",
    "max_moment",
    "hand",
    "max_bends",
    "floor_clearance",
    "swing_clearance",
    "bend_speed",
];

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Cell> {
    let mut tables = root.tables("cell", |number| format!("cell {number}"));
    let cells = cx.items(Kind::Cell, &mut tables, cell);
    root.finish();
    cells
}

fn cell(cx: &Context<'_>, table: &Table<'_>, id: String) -> Option<Cell> {
    let name = table.or("name", id.clone(), text);
    let work = table.req("work", word(&works()));
    let calendar = table.req("calendar", cx.known(Kind::Calendar));
    let hourly_rate = table.req("hourly_rate", money);
    let setup_hourly_rate = table.opt("setup_hourly_rate", money);
    let setup_crew = table.opt("setup_crew", cx.known(Kind::Crew));
    let run_crew = table.opt("run_crew", cx.known(Kind::Crew));
    let closed = each(table.tables("closed", |number| format!("{}, closure {number}", table.whose)), dated);
    let mounted = mounted(cx, table);
    let mounted_program = table.opt("mounted_program", cx.known(Kind::Part));
    let speed_factor = table.or("speed_factor", 1.0, within(0.01, 100.0, number));
    let limits = limits(table, work);
    let rate = |money: Money| RatePerMinute::per_hour(money.amount());
    Some(Cell {
        id,
        name: name?,
        work: work?,
        limits: limits?,
        calendar: calendar?,
        closed,
        run_rate: rate(hourly_rate?),
        setup_rate: rate(setup_hourly_rate?.unwrap_or(hourly_rate?)),
        setup_crew: setup_crew?,
        run_crew: run_crew?,
        mounted: mounted?,
        mounted_program: mounted_program?,
        speed_factor: speed_factor?,
    })
}

/// Tools on the cell, each once.
fn mounted(cx: &Context<'_>, table: &Table<'_>) -> Option<Vec<String>> {
    table.or("mounted", Vec::new(), |node| {
        let tools = list(cx.known(Kind::Tool))(node)?;
        if let Some(at) = (1..tools.len()).find(|&at| tools[..at].contains(&tools[at])) {
            node.fault(Problem::new(code::DUPLICATE, format!("names tool `{}` twice", tools[at])));
            return None;
        }
        Some(tools)
    })
}

/// Limits of a bending cell; inner `None`: it does not bend. Outer `None`: faulty.
fn limits(table: &Table<'_>, work: Option<WorkKind>) -> Option<Option<BendLimits>> {
    match work {
        Some(WorkKind::Bend(_)) => bend_limits(table).map(Some),
        Some(work) => no_limits(table, work).then_some(None),
        None => {
            table.expect(&BENDING_KEYS);
            None
        }
    }
}

fn no_limits(table: &Table<'_>, work: WorkKind) -> bool {
    let given: Vec<&&str> = BENDING_KEYS.iter().filter(|key| table.has(key)).collect();
    for key in &given {
        let message = format!("`{key}` is a limit of bending cells, and this cell's work is \"{work}\"");
        table.fault_at(key, Problem::new(code::CONTRADICTION, message).hint("remove it"));
    }
    given.is_empty()
}

fn bend_limits(table: &Table<'_>) -> Option<BendLimits> {
    let od = table.req("od", range(positive(length)));
    let max_wall = table.opt("max_wall", positive(length));
    let max_length = table.opt("max_length", positive(length));
    let clr = table.opt("clr", range(positive(length)));
    let max_moment_kn_m = table.opt("max_moment", positive(number));
    let hand = table.or("hand", Hand::Both, word(&HANDS));
    let max_bends = table.opt("max_bends", count_within(1, 10_000));
    let floor_clearance = table.opt("floor_clearance", positive(length));
    let swing_clearance = table.opt("swing_clearance", positive(length));
    let bend_speed_deg_s = table.opt("bend_speed", within(0.01, 10_000.0, number));
    Some(BendLimits {
        od: od?,
        max_wall: max_wall?,
        max_length: max_length?,
        clr: clr?,
        max_moment_kn_m: max_moment_kn_m?,
        hand: hand?,
        max_bends: max_bends?.map(|count| count as usize),
        floor_clearance: floor_clearance?,
        swing_clearance: swing_clearance?,
        bend_speed_deg_s: bend_speed_deg_s?,
    })
}
