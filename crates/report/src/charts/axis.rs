//! Local time across a picture.

use chrono::{Datelike, NaiveDate};
use elbowroom_planner::plan::Plan;
use elbowroom_shop::calendar::{IsoWeek, PlanClock};
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeMap;

/// A half-open span of plan minutes.
pub type Span = (Minute, Minute);

/// Closed hours of the whole shop are drawn this many times as narrow as open ones.
const NARROWING: f64 = 3.0;
/// Closed hours shorter than this are drawn like open ones.
const LEAST_CLOSURE: Minutes = Minutes::new(4 * 60);
/// A pause shorter than this is a break, not the end of a shift.
const LONGEST_BREAK: Minutes = Minutes::new(89);

/// Plan minutes to pixels: rising, linear in pieces.
#[derive(Clone, Debug)]
pub struct TimeAxis {
    /// Minute and pixel of every bend of the scale, rising in both.
    knots: Vec<(Minute, f64)>,
}

/// A local day on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// Its date.
    pub date: NaiveDate,
    /// Pixel of its first minute.
    pub left: f64,
    /// Pixel of the first minute of the next day.
    pub right: f64,
}

/// A moment at which shifts begin or end.
#[derive(Clone, Debug, PartialEq)]
pub struct ShiftTick {
    /// The moment.
    pub at: Minute,
    /// Cells that open or close then.
    pub cells: usize,
}

impl TimeAxis {
    /// An axis for `span` between two pixels; `closed` (sorted, disjoint) is drawn narrower.
    pub fn new(span: Span, closed: &[Span], left: f64, right: f64) -> Self {
        let pieces = pieces(span, closed);
        let total: f64 = pieces.iter().map(|piece| piece.1).sum();
        let mut knots = vec![(span.0, left)];
        let mut weight = 0.0;
        for (end, share) in pieces {
            weight += share;
            knots.push((end, left + (right - left) * weight / total));
        }
        Self { knots }
    }

    /// The pixel of a moment; moments outside are put on the nearer end.
    pub fn x(&self, minute: Minute) -> f64 {
        let next = self.knots.partition_point(|knot| knot.0 <= minute);
        match (next.checked_sub(1).map(|i| self.knots[i]), self.knots.get(next)) {
            (None, Some(first)) => first.1,
            (Some(last), None) => last.1,
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * ((minute - a.0).hours() / (b.0 - a.0).hours()),
            (None, None) => 0.0,
        }
    }

    /// The span on the axis.
    pub fn span(&self) -> Span {
        let end = |knot: Option<&(Minute, f64)>| knot.map_or(Minute::ZERO, |knot| knot.0);
        (end(self.knots.first()), end(self.knots.last()))
    }

    /// A span in pixels, cut off at the ends; `None` where none of it is on the axis.
    pub fn cut(&self, (from, to): Span) -> Option<(f64, f64)> {
        let (first, last) = self.span();
        (from < last && to > first && from < to).then(|| (self.x(from), self.x(to)))
    }
}

/// Ends and weights of the parts of `span` inside and outside `closed`.
fn pieces(span: Span, closed: &[Span]) -> Vec<(Minute, f64)> {
    let mut pieces = Vec::new();
    let mut at = span.0;
    for &(from, to) in closed {
        let (from, to) = (from.max(span.0), to.min(span.1));
        if from.until(to) < LEAST_CLOSURE {
            continue;
        }
        if at < from {
            pieces.push((from, at.until(from).hours()));
        }
        pieces.push((to, from.until(to).hours() / NARROWING));
        at = to;
    }
    if at < span.1 {
        pieces.push((span.1, at.until(span.1).hours()));
    }
    pieces
}

/// The span of `count` whole local weeks from `first`.
pub fn weeks_span(clock: &PlanClock, first: IsoWeek, count: usize) -> Span {
    let after = (0..count).fold(first, |week, _| week.next());
    (clock.start_of(first.monday()), clock.start_of(after.monday()))
}

/// The ISO weeks that a plan covers, at least one.
pub fn weeks_of(plan: &Plan) -> Vec<IsoWeek> {
    let days = u64::from(plan.weeks.max(1)) * 7 - 1;
    let last = plan.start.checked_add_days(chrono::Days::new(days)).unwrap_or(plan.start);
    let mut weeks = vec![IsoWeek::of(plan.start)];
    while let Some(&week) = weeks.last()
        && week < IsoWeek::of(last)
    {
        weeks.push(week.next());
    }
    weeks
}

/// When no cell is open, inside `span`.
pub fn shop_closed(plan: &Plan, span: Span) -> Vec<Span> {
    let mut open: Vec<Span> = plan.cells.iter().flat_map(|cell| cell.open.iter().copied()).collect();
    open.sort_unstable();
    gaps(&open, span)
}

/// What sorted spans leave free of `span`.
pub fn gaps(open: &[Span], span: Span) -> Vec<Span> {
    let mut gaps = Vec::new();
    let mut at = span.0;
    for &(from, to) in open {
        if at < from.min(span.1) {
            gaps.push((at, from.min(span.1)));
        }
        at = at.max(to);
    }
    if at < span.1 {
        gaps.push((at, span.1));
    }
    gaps
}

/// The local days of an axis.
pub fn days(clock: &PlanClock, axis: &TimeAxis) -> Vec<Day> {
    let (from, to) = axis.span();
    let dates = clock.date(from).iter_days().take_while(|&date| clock.start_of(date) < to);
    let day = |date: NaiveDate| {
        let left = axis.x(clock.start_of(date));
        let right = date.succ_opt().map_or(left, |next| axis.x(clock.start_of(next)));
        Day { date, left, right }
    };
    // A date that the place skipped altogether has no width and no label.
    dates.map(day).filter(|day| day.left < day.right).collect()
}

/// When shifts begin and end inside `span`, the moments of most cells first.
pub fn shift_ticks(plan: &Plan, span: Span) -> Vec<ShiftTick> {
    let mut counts: BTreeMap<Minute, usize> = BTreeMap::new();
    for cell in &plan.cells {
        for (from, to) in shifts(&cell.open) {
            for moment in [from, to].into_iter().filter(|&m| span.0 <= m && m < span.1) {
                *counts.entry(moment).or_default() += 1;
            }
        }
    }
    let mut ticks: Vec<_> = counts.into_iter().map(|(at, cells)| ShiftTick { at, cells }).collect();
    ticks.sort_by_key(|tick| (std::cmp::Reverse(tick.cells), tick.at));
    ticks
}

/// Working time joined over breaks.
pub fn shifts(open: &[Span]) -> Vec<Span> {
    let mut shifts: Vec<Span> = Vec::new();
    for &(from, to) in open {
        match shifts.last_mut() {
            Some(last) if last.1.until(from) <= LONGEST_BREAK => last.1 = to,
            _ => shifts.push((from, to)),
        }
    }
    shifts
}

/// Short English name of a date's weekday: `Mon`.
pub fn weekday(date: NaiveDate) -> String {
    date.weekday().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(from: i64, to: i64) -> Span {
        (Minute::new(from * 60), Minute::new(to * 60))
    }

    #[test]
    fn closed_hours_are_a_third_as_wide() {
        let axis = TimeAxis::new(hours(0, 24), &[hours(0, 6), hours(18, 24)], 0.0, 160.0);
        // 12 open hours and 12 closed ones that count as 4: 10 pixels an hour.
        assert_eq!(axis.x(Minute::new(0)), 0.0);
        assert_eq!(axis.x(Minute::new(6 * 60)), 20.0);
        assert_eq!(axis.x(Minute::new(12 * 60)), 80.0);
        assert_eq!(axis.x(Minute::new(24 * 60)), 160.0);
        assert_eq!(axis.x(Minute::new(-5)), 0.0);
        assert_eq!(axis.cut(hours(24, 30)), None);
        assert_eq!(axis.cut(hours(12, 30)), Some((80.0, 160.0)));
    }

    #[test]
    fn breaks_are_not_narrowed() {
        let axis = TimeAxis::new(hours(0, 10), &[hours(4, 5)], 0.0, 100.0);
        assert_eq!(axis.x(Minute::new(4 * 60 + 30)), 45.0);
    }

    /// Europe put its clocks back at 01:00 UTC on 2026-10-25 (directive 2000/84/EC: the last Sunday
    /// of October), so that Sunday has 25 hours; forward on 2026-03-29, which has 23.
    #[test]
    fn days_keep_to_local_midnight_over_changes_of_the_clocks() {
        for (monday, sunday_hours) in [("2026-10-19", 25.0), ("2026-03-23", 23.0)] {
            let clock = PlanClock::new(chrono_tz::Europe::Vienna, monday.parse().unwrap());
            let week = IsoWeek::of(clock.start());
            let span = weeks_span(&clock, week, 1);
            let axis = TimeAxis::new(span, &[], 0.0, span.1.get() as f64 / 60.0);
            let days = days(&clock, &axis);
            assert_eq!(days.len(), 7);
            let width = |i: usize| days[i].right - days[i].left;
            assert!((width(0) - 24.0).abs() < 1e-9 && (width(6) - sunday_hours).abs() < 1e-9);
        }
    }

    #[test]
    fn shifts_run_through_breaks_but_not_through_nights() {
        let open = [hours(6, 10), (Minute::new(10 * 60 + 30), Minute::new(14 * 60)), hours(30, 38)];
        assert_eq!(shifts(&open), [hours(6, 14), hours(30, 38)]);
        assert_eq!(gaps(&open, hours(0, 40)).len(), 4);
    }
}
