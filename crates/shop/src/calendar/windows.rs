//! Working time of a cell.

use super::clock::next_day;
use super::spans::{Span, clip, subtract, union};
use super::{Calendar, DatedSpan, Holiday, PlanClock, Shift};
use chrono::{Datelike, Days, NaiveDate, NaiveTime};
use elbowroom_units::Minute;

/// When a cell is open between minute 0 and `until`: sorted, disjoint, non-touching half-open
/// spans.
///
/// Shifts without their breaks and without holidays, plus overtime, less closures of the calendar
/// and of the cell (`closed`). Overtime therefore wins over breaks and holidays, a closure over
/// everything.
#[must_use]
pub fn open_windows(
    calendar: &Calendar,
    closed: &[DatedSpan],
    holidays: &[Holiday],
    clock: &PlanClock,
    until: Minute,
) -> Vec<Span> {
    let regular = subtract(&shift_spans(&calendar.shifts, clock, until), &holiday_spans(holidays, clock));
    let extra = calendar.extra.iter().map(|span| dated_span(span, clock));
    let open = union(regular.into_iter().chain(extra).collect());
    let shut = calendar.closed.iter().chain(closed).map(|span| dated_span(span, clock));
    clip(&subtract(&open, &union(shut.collect())), Minute::ZERO, until)
}

/// The working time of all shifts, breaks taken out shift by shift: who works through another
/// shift's break keeps the cell open.
fn shift_spans(shifts: &[Shift], clock: &PlanClock, until: Minute) -> Vec<Span> {
    union(shifts.iter().flat_map(|shift| one_shift(shift, clock, until)).collect())
}

fn one_shift(shift: &Shift, clock: &PlanClock, until: Minute) -> Vec<Span> {
    let mut spans = Vec::new();
    for date in shift_dates(shift, clock, until) {
        let whole = union(vec![clock_span(clock, date, shift.from, shift.to)]);
        let breaks = shift.breaks.iter().map(|&(from, to)| {
            let day = if from < shift.from { next_day(date) } else { date };
            clock_span(clock, day, from, to)
        });
        spans.extend(subtract(&whole, &union(breaks.collect())));
    }
    spans
}

/// The dates on which a shift begins, from the day before the plan (its night reaches into it)
/// until `until`. A date that the place skipped altogether has none.
pub(super) fn shift_dates(
    shift: &Shift,
    clock: &PlanClock,
    until: Minute,
) -> impl Iterator<Item = NaiveDate> {
    let first = clock.start().checked_sub_days(Days::new(1)).unwrap_or(clock.start());
    let last = clock.date(until);
    first
        .iter_days()
        .take_while(move |date| *date <= last)
        .filter(|date| shift.days.contains(&date.weekday()))
        .filter(|date| clock.start_of(*date) < clock.start_of(next_day(*date)))
}

/// The span of clock time from `from` on `date` to `to` on the same or the next day.
pub(super) fn clock_span(clock: &PlanClock, date: NaiveDate, from: NaiveTime, to: NaiveTime) -> Span {
    let last = if to <= from { next_day(date) } else { date };
    (moment(clock, date, from), moment(clock, last, to))
}

/// As [`PlanClock::minute`], but midnight is the day's first minute, so that a whole day is
/// whole even where its first hour is skipped.
fn moment(clock: &PlanClock, date: NaiveDate, time: NaiveTime) -> Minute {
    if time == NaiveTime::MIN { clock.start_of(date) } else { clock.minute(date, time) }
}

/// The span of a dated exception.
pub(super) fn dated_span(span: &DatedSpan, clock: &PlanClock) -> Span {
    span.times.map_or_else(|| day_span(span.date, clock), |(from, to)| clock_span(clock, span.date, from, to))
}

/// A whole local day.
pub(super) fn day_span(date: NaiveDate, clock: &PlanClock) -> Span {
    (clock.start_of(date), clock.start_of(next_day(date)))
}

/// All holidays.
pub(super) fn holiday_spans(holidays: &[Holiday], clock: &PlanClock) -> Vec<Span> {
    union(holidays.iter().map(|holiday| day_span(holiday.date, clock)).collect())
}
