//! The machine-time chart: cells down, local time across; a week, or a day where there is no room for one.
//!
//! A bar is one lot on one cell: a hatched piece for changing over, then the run. How far it has
//! come is told by outline, pattern and a sign: a tick for finished, an arrow for running, two bars
//! for stopped. A flag stands over lots of late orders. The cells' pages say the same in words.
//!
//! Both charts are on the page, and the style sheet shows the one that fits: names and times of a whole
//! week cannot be read on a telephone.

mod drawing;
mod legend;
mod marks;

use super::axis::{Axis, Span, open_together};
use crate::snapshot::Published;
use crate::views::{Views, day_start};
use chrono::{DateTime, Days, NaiveDate, Utc};
use drawing::{Drawing, Frame};
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_store::StepState;
use marks::{day_marks, hour_marks};
use maud::Markup;

pub use legend::{legend, patterns};

/// Names beside a week, and the week, in pixels of a wide window.
const WEEK: Frame = Frame { id: "week", names: 128.0, width: 1072.0 };
/// Names beside a day, and the day, in pixels of a narrow window.
const DAY: Frame = Frame { id: "day", names: 86.0, width: 234.0 };

/// What is charted.
pub struct Charted<'a> {
    /// The published plan.
    pub published: &'a Published,
    /// What was reported.
    pub views: &'a Views,
    /// The time.
    pub now: DateTime<Utc>,
}

/// The weeks that the plan shows.
pub fn weeks(published: &Published) -> Vec<IsoWeek> {
    let start: NaiveDate = published.plan.start.parse().unwrap_or_default();
    let mut weeks = vec![IsoWeek::of(start)];
    let last = start.checked_add_days(Days::new(u64::from(published.plan.weeks.clamp(1, 53)) * 7 - 1));
    while let (Some(week), Some(last)) = (weeks.last().copied(), last)
        && week < IsoWeek::of(last)
    {
        weeks.push(week.next());
    }
    weeks
}

/// The week to show: the one asked for, else the present one, else the plan's first.
pub fn week(published: &Published, asked: Option<&str>, now: DateTime<Utc>) -> IsoWeek {
    let weeks = weeks(published);
    let present = IsoWeek::of(today(published, now));
    let asked = weeks.iter().copied().find(|week| asked == Some(week.to_string().as_str()));
    asked.or_else(|| weeks.iter().copied().find(|week| *week == present)).unwrap_or(weeks[0])
}

/// The days of a week.
pub fn days(week: IsoWeek) -> impl Iterator<Item = NaiveDate> {
    let monday = week.monday();
    (0..7).filter_map(move |day| monday.checked_add_days(Days::new(day)))
}

/// The day to show of a week: the one asked for, else today, else the first on which somebody works.
pub fn day(published: &Published, week: IsoWeek, asked: Option<&str>, now: DateTime<Utc>) -> NaiveDate {
    let open = open_together(&published.plan.cells);
    let worked = |day: &NaiveDate| {
        let (from, to) = day_span(published, *day);
        open.iter().any(|(start, end)| *start < to && *end > from)
    };
    let asked = days(week).find(|day| asked == Some(day.to_string().as_str()));
    asked
        .or_else(|| days(week).find(|day| *day == today(published, now)))
        .or_else(|| days(week).find(worked))
        .unwrap_or_else(|| week.monday())
}

fn today(published: &Published, now: DateTime<Utc>) -> NaiveDate {
    now.with_timezone(&published.zone).date_naive()
}

fn day_span(published: &Published, day: NaiveDate) -> Span {
    let next = day.checked_add_days(Days::new(1)).unwrap_or(day);
    (day_start(published.zone, day), day_start(published.zone, next))
}

impl Charted<'_> {
    /// The chart of a week.
    pub fn week(&self, week: IsoWeek) -> Markup {
        let (first, last) =
            (day_span(self.published, week.monday()), day_span(self.published, week.next().monday()));
        let axis = self.axis(WEEK, (first.0, last.0));
        let marks = day_marks(self.published.zone, week, &axis);
        let title = format!("Machine time, week {week}");
        Drawing { charted: self, frame: WEEK, axis, span: (first.0, last.0), marks, title }.drawn()
    }

    /// The chart of a day.
    pub fn day(&self, day: NaiveDate) -> Markup {
        let span = day_span(self.published, day);
        let axis = self.axis(DAY, span);
        let marks = hour_marks(self.published.zone, span, &axis);
        let title = format!("Machine time, {}", day.format("%a %-d %b"));
        Drawing { charted: self, frame: DAY, axis, span, marks, title }.drawn()
    }

    fn axis(&self, frame: Frame, span: Span) -> Axis {
        let open = open_together(&self.published.plan.cells);
        Axis::new(span, &open, drawing::MARGIN, frame.width - drawing::MARGIN)
    }
}

/// The sign of a state, with a gap after it.
pub const fn sign(state: StepState) -> &'static str {
    match state {
        StepState::Planned => "",
        StepState::Running => "\u{25b6} ",
        StepState::Stopped => "\u{2016} ",
        StepState::Finished => "\u{2713} ",
    }
}
