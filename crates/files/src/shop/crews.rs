//! `crews.toml`.

use super::calendars::each;
use super::spans::{dated_times, shift_without_breaks};
use crate::context::Context;
use crate::keyed::Table;
use crate::keyed::values::{count_within, date, text};
use crate::places::Kind;
use chrono::NaiveDate;
use elbowroom_shop::calendar::{DatedSpan, Shift};
use elbowroom_shop::crew::Crew;

/// Most heads of a crew.
const MOST_HEADS: u32 = 1_000;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Crew> {
    let mut tables = root.tables("crew", |number| format!("crew {number}"));
    let crews = cx.items(Kind::Crew, &mut tables, crew);
    root.finish();
    crews
}

fn crew(_: &Context<'_>, table: &Table<'_>, id: String) -> Option<Crew> {
    let whose = |what: &'static str| move |number: usize| format!("{}, {what} {number}", table.whose);
    let name = table.or("name", id.clone(), text);
    let shifts = each(table.tables("shift", whose("shift")), heads_of_shift);
    let extra = each(table.tables("extra", whose("overtime")), heads_of_extra);
    let absences = each(table.tables("absence", whose("absence")), absence);
    Some(Crew { id, name: name?, shifts, extra, absences })
}

fn heads(table: &Table<'_>) -> Option<u32> {
    table.req("heads", count_within(1, MOST_HEADS))
}

fn heads_of_shift(table: &Table<'_>) -> Option<(Shift, u32)> {
    let (shift, heads) = (shift_without_breaks(table), heads(table));
    Some((shift?, heads?))
}

fn heads_of_extra(table: &Table<'_>) -> Option<(DatedSpan, u32)> {
    let (span, heads) = (dated_times(table), heads(table));
    Some((span?, heads?))
}

fn absence(table: &Table<'_>) -> Option<(NaiveDate, u32)> {
    let (date, heads) = (table.req("date", date), heads(table));
    Some((date?, heads?))
}
