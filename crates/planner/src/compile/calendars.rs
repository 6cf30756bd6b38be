//! Windows of cells and heads of crews, and how far the problem must reach.

use super::frame::Frame;
use chrono::Days;
use elbowroom_problem::{HeadCount, Window};
use elbowroom_shop::calendar::{crew_capacity, open_windows};
use elbowroom_units::{Minute, Minutes};

/// A half-open span of plan minutes.
pub(crate) type Span = (Minute, Minute);

/// The farthest that a problem reaches. Work that cannot be finished in 60 weeks is left out.
pub(crate) const MOST_WEEKS: u32 = 60;

/// The first minute after `weeks` weeks of the plan.
pub(crate) fn end_of_weeks(frame: &Frame<'_>, weeks: u32) -> Minute {
    let days = Days::new(u64::from(weeks) * 7);
    let date = frame.clock.start().checked_add_days(days).unwrap_or(frame.clock.start());
    frame.clock.start_of(date)
}

/// When every cell is open, as far as any problem reaches.
pub(crate) fn windows(frame: &Frame<'_>) -> Vec<Vec<Span>> {
    let until = end_of_weeks(frame, MOST_WEEKS);
    let cells = frame.shop.cells.iter();
    cells
        .map(|cell| {
            let calendar = frame.shop.calendars.iter().find(|calendar| calendar.id == cell.calendar);
            calendar.map_or_else(Vec::new, |calendar| {
                open_windows(calendar, &cell.closed, &frame.shop.holidays, &frame.clock, until)
            })
        })
        .collect()
}

/// Spans up to `until` as windows of a problem.
pub(crate) fn clipped(spans: &[Span], until: Minute) -> Vec<Window> {
    let near = spans.iter().take_while(|(from, _)| *from < until);
    near.map(|&(start, end)| Window { start, end: end.min(until) }).collect()
}

/// Heads of every crew up to `until`.
pub(crate) fn crews(frame: &Frame<'_>, until: Minute) -> Vec<elbowroom_problem::Crew> {
    let one = |crew: &elbowroom_shop::crew::Crew| {
        let spans = crew_capacity(crew, &frame.shop.holidays, &frame.clock, until);
        let count = |(start, end, heads)| HeadCount { window: Window { start, end }, heads };
        elbowroom_problem::Crew { id: crew.id.clone(), capacity: spans.into_iter().map(count).collect() }
    };
    frame.shop.crews.iter().map(one).collect()
}

/// Open minutes of a week, on average over the first eight; closures of one week hardly count.
pub(crate) fn weekly_minutes(frame: &Frame<'_>, spans: &[Span]) -> Minutes {
    const WEEKS: u32 = 8;
    let until = end_of_weeks(frame, WEEKS);
    let open = elbowroom_shop::calendar::working_minutes(spans, Minute::ZERO, until);
    Minutes::new(open.count() / i64::from(WEEKS))
}
