//! `calendars.toml`.

use super::spans::{dated, dated_times, hm, length, shift};
use crate::code;
use crate::context::Context;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::keyed::values::{date, text};
use crate::places::Kind;
use chrono::Timelike;
use elbowroom_shop::calendar::{Calendar, Holiday, Shift};

const WEEK: u32 = 7 * 24 * 60;

/// Reads the calendars; the holidays have been read before.
pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Calendar> {
    let mut tables = root.tables("calendar", |number| format!("calendar {number}"));
    let calendars = cx.items(Kind::Calendar, &mut tables, |_, table, id| calendar(table, id));
    root.finish();
    calendars
}

pub(crate) fn holidays(root: &Table<'_>) -> Vec<Holiday> {
    let mut holidays: Vec<Holiday> = Vec::new();
    for table in root.tables("holiday", |number| format!("holiday {number}")) {
        let date = table.req("date", date);
        let name = table.or("name", String::new(), text);
        table.finish();
        let (Some(date), Some(name)) = (date, name) else { continue };
        if holidays.iter().any(|other| other.date == date) {
            table.warn_at("date", Problem::new(code::REPEATED, format!("{date} is listed before")));
        } else {
            holidays.push(Holiday { date, name });
        }
    }
    holidays
}

fn calendar(table: &Table<'_>, id: String) -> Option<Calendar> {
    let whose = |what: &'static str| move |number: usize| format!("{}, {what} {number}", table.whose);
    let shifts = each(table.tables("shift", whose("shift")), shift);
    let extra = each(table.tables("extra", whose("overtime")), dated_times);
    let closed = each(table.tables("closed", whose("closure")), dated);
    check_overlaps(table, &shifts);
    Some(Calendar { id, shifts, extra, closed })
}

/// Reads every table of a list and finishes it; faulty ones are left out.
pub(super) fn each<T>(tables: Vec<Table<'_>>, read: impl Fn(&Table<'_>) -> Option<T>) -> Vec<T> {
    let one = |table: Table<'_>| {
        let item = read(&table);
        table.finish();
        item
    };
    tables.into_iter().filter_map(one).collect()
}

/// Warns of the first two shifts that overlap somewhere in the week.
fn check_overlaps(table: &Table<'_>, shifts: &[Shift]) {
    let mut taken: Vec<(u32, u32, &Shift)> = Vec::new();
    for shift in shifts {
        for begin in beginnings(shift) {
            let end = begin + length(shift);
            // The week is a ring: Sunday's night shift goes on into Monday.
            let clash = taken.iter().find(|(b, e, _)| {
                [0, WEEK].iter().any(|turn| begin < e + turn && b + turn < end)
                    || (begin + WEEK < *e && *b < end + WEEK)
            });
            if let Some((_, _, other)) = clash {
                let message = format!(
                    "shifts {} to {} and {} to {} overlap; together they count once",
                    hm(other.from),
                    hm(other.to),
                    hm(shift.from),
                    hm(shift.to)
                );
                table.warn_at("shift", Problem::new(code::OVERLAPPING_SHIFTS, message));
                return;
            }
            taken.push((begin, end, shift));
        }
    }
}

/// Minutes of the week at which a shift begins.
fn beginnings(shift: &Shift) -> impl Iterator<Item = u32> {
    let time = shift.from.hour() * 60 + shift.from.minute();
    shift.days.iter().map(move |day| day.num_days_from_monday() * 24 * 60 + time)
}
