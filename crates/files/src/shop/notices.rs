//! `notices.toml`, and the cases of a "what if".

use super::orders;
use crate::code;
use crate::context::Context;
use crate::finding::Problem;
use crate::keyed::values::{clock, count_within, date, flag, id, money, pair, text, word};
use crate::keyed::{Node, Table};
use crate::places::Kind;
use elbowroom_shop::Shop;
use elbowroom_shop::notice::{Change, Days, Hours, Notice};

/// Most people that one notice moves.
const MOST_HEADS: u32 = 1_000;
/// Most days that one notice spans.
const MOST_DAYS: i64 = 366;

/// What a notice is about.
#[derive(Clone, Copy)]
enum What {
    Down,
    Open,
    Like,
    Tool,
    Tube,
    Absent,
    People,
    Rush,
    Cancel,
    Order,
}

/// The words of `what`.
const WHATS: [(&str, What); 10] = [
    ("down", What::Down),
    ("open", What::Open),
    ("like", What::Like),
    ("tool", What::Tool),
    ("tube", What::Tube),
    ("absent", What::Absent),
    ("people", What::People),
    ("rush", What::Rush),
    ("cancel", What::Cancel),
    ("order", What::Order),
];

/// Every key of some notice, for one whose `what` cannot be understood.
const KEYS: [&str; 17] = [
    "cell",
    "from",
    "until",
    "hours",
    "people",
    "id",
    "tool",
    "arrives",
    "order",
    "crew",
    "heads",
    "promised",
    "late_cost_per_day",
    "part",
    "quantity",
    "customer",
    "material",
];

/// Reads the notices of a table one by one and has the shop heed each, so that later ones can speak
/// of what earlier ones brought. Faulty ones are left out.
pub(crate) fn heeded(cx: &mut Context<'_>, root: &Table<'_>, shop: &mut Shop) -> Vec<Notice> {
    let whose = if root.whose.is_empty() { String::new() } else { format!("{}, ", root.whose) };
    let tables = root.tables("notice", |number| format!("{whose}notice {number}"));
    let mut notices = Vec::new();
    for table in tables {
        let errors = cx.findings.errors();
        let notice = notice(cx, &table);
        table.finish();
        let Some(notice) = notice.filter(|_| cx.findings.errors() == errors) else { continue };
        match shop.heed(&notice) {
            Ok(()) => {
                note(cx, &table, &notice.change);
                notices.push(notice);
            }
            Err(refused) => table.fault(Problem::new(code::CONTRADICTION, refused.to_string())),
        }
    }
    notices
}

/// Makes known what a notice brings.
fn note(cx: &mut Context<'_>, table: &Table<'_>, change: &Change) {
    let new = match change {
        Change::Like { id, .. } => (Kind::Cell, id.as_str()),
        Change::Order(order) => (Kind::Order, order.id.as_str()),
        _ => return,
    };
    // What is there already has been refused.
    cx.note(new, table.place(), table.key_places(), true);
}

fn notice(cx: &Context<'_>, table: &Table<'_>) -> Option<Notice> {
    let what = table.req("what", word(&WHATS));
    let why = table.or("why", String::new(), text);
    let Some(what) = what else {
        table.expect(&KEYS);
        return None;
    };
    let change = change(cx, table, what);
    Some(Notice { change: change?, why: why? })
}

fn change(cx: &Context<'_>, table: &Table<'_>, what: What) -> Option<Change> {
    match what {
        What::Down => {
            let (cell, days, hours) = (cell(cx, table), days(table), table.opt("hours", hours));
            Some(Change::Down { cell: cell?, days: days?, hours: hours? })
        }
        What::Open => {
            let (cell, days, hours) = (cell(cx, table), days(table), table.req("hours", hours));
            let people = table.or("people", true, flag);
            Some(Change::Open { cell: cell?, days: days?, hours: hours?, people: people? })
        }
        What::Like => {
            let (cell, id) = (cell(cx, table), table.req("id", id));
            Some(Change::Like { cell: cell?, id: id? })
        }
        What::Tool => {
            let (tool, arrives) = (table.req("tool", cx.known(Kind::Tool)), table.req("arrives", date));
            Some(Change::Tool { tool: tool?, arrives: arrives? })
        }
        What::Tube => {
            let (order, arrives) = (order(cx, table), table.req("arrives", date));
            Some(Change::Tube { order: order?, arrives: arrives? })
        }
        What::Absent => {
            let ((crew, heads), days) = (crew(cx, table), days(table));
            Some(Change::Absent { crew: crew?, heads: heads?, days: days? })
        }
        What::People => {
            let ((crew, heads), days, hours) = (crew(cx, table), days(table), table.req("hours", hours));
            Some(Change::People { crew: crew?, heads: heads?, days: days?, hours: hours? })
        }
        What::Rush => rush(cx, table),
        What::Cancel => Some(Change::Cancel { order: order(cx, table)? }),
        What::Order => {
            let id = table.req("id", id);
            let order = orders::order(cx, table, id.clone().unwrap_or_default());
            id.and(order).map(Change::Order)
        }
    }
}

fn rush(cx: &Context<'_>, table: &Table<'_>) -> Option<Change> {
    let (order, promised) = (order(cx, table), table.opt("promised", date));
    let cost = table.opt("late_cost_per_day", money);
    let (order, promised, late_cost_per_day) = (order?, promised?, cost?);
    if promised.is_none() && late_cost_per_day.is_none() {
        let message = "neither `promised` nor `late_cost_per_day` is there: nothing would change";
        table.fault(Problem::new(code::MISSING_KEY, message));
        return None;
    }
    Some(Change::Rush { order, promised, late_cost_per_day })
}

fn cell(cx: &Context<'_>, table: &Table<'_>) -> Option<String> {
    table.req("cell", cx.known(Kind::Cell))
}

fn order(cx: &Context<'_>, table: &Table<'_>) -> Option<String> {
    table.req("order", cx.known(Kind::Order))
}

fn crew(cx: &Context<'_>, table: &Table<'_>) -> (Option<String>, Option<u32>) {
    (table.req("crew", cx.known(Kind::Crew)), table.or("heads", 1, count_within(1, MOST_HEADS)))
}

/// `from` and `until`; a single day where there is no `until`.
fn days(table: &Table<'_>) -> Option<Days> {
    let (from, until) = (table.req("from", date), table.opt("until", date));
    let (from, until) = (from?, until?);
    let days = Days { from, until: until.unwrap_or(from) };
    let length = days.until.signed_duration_since(days.from).num_days();
    if !(0..MOST_DAYS).contains(&length) {
        let expected = format!("it must be from {from} to at most {MOST_DAYS} days later");
        let message = format!("`until` is {}; {expected}", days.until);
        table.fault_at("until", Problem::new(code::OUT_OF_RANGE, message));
        return None;
    }
    Some(days)
}

/// From and to.
fn hours(node: Node<'_>) -> Option<Hours> {
    let (from, to) = pair(clock)(node)?;
    if from == to {
        node.wrong(code::SHIFT, "there is no time between them");
        return None;
    }
    Some((from, to))
}
