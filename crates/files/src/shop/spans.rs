//! Shifts and dated spans, in calendars, crews and cells alike.

use super::words::WEEKDAYS;
use crate::code;
use crate::finding::Problem;
use crate::keyed::values::{clock, date, list, pair, text, word};
use crate::keyed::{Node, Table};
use chrono::{NaiveTime, Timelike, Weekday};
use elbowroom_shop::calendar::{DatedSpan, Shift};

const DAY: u32 = 24 * 60;

/// A shift: `days`, `from`, `to`, `breaks`.
pub(crate) fn shift(table: &Table<'_>) -> Option<Shift> {
    let shift = shift_without_breaks(table);
    let breaks = table.or("breaks", Vec::new(), list(pair(clock)));
    let mut shift = shift?;
    shift.breaks = breaks?;
    check_breaks(table, &shift).then_some(shift)
}

/// A shift of people who break when their cell does: `days`, `from`, `to`.
pub(crate) fn shift_without_breaks(table: &Table<'_>) -> Option<Shift> {
    let days = table.req("days", days);
    let times = times(table);
    let (from, to) = times?;
    Some(Shift { days: days?, from, to, breaks: Vec::new() })
}

fn days(node: Node<'_>) -> Option<Vec<Weekday>> {
    let days = list(word(&WEEKDAYS))(node)?;
    let twice = (1..days.len()).any(|at| days[..at].contains(&days[at]));
    if twice || node.get().as_array().is_some_and(|list| list.is_empty()) {
        let expected = if twice { "a day is named twice" } else { "it must name at least one day" };
        node.wrong(code::SHIFT, expected);
        return None;
    }
    Some(days)
}

/// `from` and `to`. Midnight at the end may be written 24:00.
fn times(table: &Table<'_>) -> Option<(NaiveTime, NaiveTime)> {
    let from = table.req("from", clock);
    let to = table.req("to", |node| {
        let midnight = node.get().as_str() == Some("24:00");
        if midnight { Some((NaiveTime::MIN, true)) } else { clock(node).map(|time| (time, false)) }
    });
    let (from, (to, midnight)) = (from?, to?);
    if from == to && !midnight {
        let problem =
            Problem::new(code::SHIFT, format!("`to` is {}, the same as `from`: no time between", hm(to)));
        table.fault_at("to", problem.hint("round the clock is from = \"00:00\", to = \"24:00\""));
        return None;
    }
    Some((from, to))
}

/// A dated span whose times must be there.
pub(crate) fn dated_times(table: &Table<'_>) -> Option<DatedSpan> {
    let date = table.req("date", date);
    let times = times(table);
    let reason = table.or("reason", String::new(), text);
    Some(DatedSpan { date: date?, times: Some(times?), reason: reason? })
}

/// A dated span, the whole day where neither time is there.
pub(crate) fn dated(table: &Table<'_>) -> Option<DatedSpan> {
    if table.has("from") || table.has("to") {
        return dated_times(table);
    }
    let date = table.req("date", date);
    let reason = table.or("reason", String::new(), text);
    Some(DatedSpan { date: date?, times: None, reason: reason? })
}

/// Minutes from the shift's beginning to a clock time of the same or the next day.
fn into_shift(shift: &Shift, time: NaiveTime) -> u32 {
    let minutes = |time: NaiveTime| time.hour() * 60 + time.minute();
    (minutes(time) + DAY - minutes(shift.from)) % DAY
}

/// Length of a shift in minutes.
pub(crate) fn length(shift: &Shift) -> u32 {
    match into_shift(shift, shift.to) {
        0 => DAY,
        minutes => minutes,
    }
}

/// Reports breaks that are empty, outside their shift or on top of each other.
fn check_breaks(table: &Table<'_>, shift: &Shift) -> bool {
    let mut taken: Vec<(u32, u32, String)> = Vec::new();
    for &(from, to) in &shift.breaks {
        let name = format!("{} to {}", hm(from), hm(to));
        let (begin, end) = (into_shift(shift, from), into_shift(shift, to));
        // A break may end with a shift that lasts round the clock.
        let end = if end == 0 { DAY } else { end };
        let clash = taken.iter().find(|(b, e, _)| begin < *e && *b < end);
        let message = if from == to {
            format!("the break from {name} has no time in it")
        } else if begin >= end || end > length(shift) {
            format!(
                "the break from {name} is not inside the shift from {} to {}",
                hm(shift.from),
                hm(shift.to)
            )
        } else if let Some((_, _, other)) = clash {
            format!("the breaks from {other} and from {name} overlap")
        } else {
            taken.push((begin, end, name));
            continue;
        };
        table.fault_at("breaks", Problem::new(code::SHIFT, message));
        return false;
    }
    true
}

/// A clock time without seconds.
pub(crate) fn hm(time: NaiveTime) -> String {
    time.format("%H:%M").to_string()
}
