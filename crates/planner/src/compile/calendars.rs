//! Windows of cells and heads of crews, and how far the problem must reach.

use super::frame::Frame;
use super::steps::changeover;
use chrono::Days;
use elbowroom_problem::{CellIdx, HeadCount, Window};
use elbowroom_shop::calendar::{crew_capacity, open_windows};
use elbowroom_shop::cell::{Cell, WorkKind};
use elbowroom_shop::crew::Crew;
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

/// Calendars of cells and crews as minutes, as far as any problem reaches.
#[derive(Debug)]
pub(crate) struct Calendars {
    /// When every cell is open, in the shop's order.
    pub(crate) windows: Vec<Vec<Span>>,
    /// Heads of every crew, in the shop's order.
    crews: Vec<Vec<(Minute, Minute, u32)>>,
    /// As far as they reach; for a problem the end of the longest horizon.
    pub(crate) end: Minute,
}

impl Calendars {
    pub(crate) fn new(frame: &Frame<'_>) -> Self {
        Self::reaching(frame, MOST_WEEKS)
    }

    /// The first minute at which any cell is open; minute 0 where none ever is.
    pub(crate) fn first_open(&self) -> Minute {
        self.windows
            .iter()
            .filter_map(|windows| windows.first())
            .map(|span| span.0)
            .min()
            .unwrap_or(Minute::ZERO)
    }

    /// As far as is needed to see which cells are ever manned: mostly a month shows all of them.
    pub(crate) fn showing_who_is_manned(frame: &Frame<'_>) -> Self {
        let month = Self::reaching(frame, 4);
        let mut cells = (0..frame.shop.cells.len()).map(CellIdx::new);
        if cells.all(|cell| month.is_ever_manned(frame, cell)) { month } else { Self::new(frame) }
    }

    fn reaching(frame: &Frame<'_>, weeks: u32) -> Self {
        let end = end_of_weeks(frame, weeks);
        let holidays = &frame.shop.holidays;
        let windows = |cell: &Cell| {
            let calendar = frame.shop.calendars.iter().find(|calendar| calendar.id == cell.calendar);
            calendar.map_or_else(Vec::new, |calendar| {
                open_windows(calendar, &cell.closed, holidays, &frame.clock, end)
            })
        };
        let heads = |crew: &Crew| crew_capacity(crew, holidays, &frame.clock, end);
        Self {
            windows: frame.shop.cells.iter().map(windows).collect(),
            crews: frame.shop.crews.iter().map(heads).collect(),
            end,
        }
    }

    /// Whether a cell is ever open, and the crews that it cannot do without ever there.
    pub(crate) fn is_ever_manned(&self, frame: &Frame<'_>, cell: CellIdx) -> bool {
        let found = &frame.shop.cells[cell.get()];
        let there =
            |crew: Option<&str>| frame.crew(crew).is_none_or(|crew| !self.crews[crew.get()].is_empty());
        let is_changed_over = match found.work {
            WorkKind::Bend(_) => true,
            work => changeover(frame.shop, work) > Minutes::ZERO,
        };
        !self.windows[cell.get()].is_empty()
            && there(found.run_crew.as_deref())
            && (!is_changed_over || there(found.setup_crew.as_deref()))
    }

    /// Windows of a cell up to `until`.
    pub(crate) fn windows_until(&self, cell: CellIdx, until: Minute) -> Vec<Window> {
        let near = self.windows[cell.get()].iter().take_while(|(from, _)| *from < until);
        near.map(|&(start, end)| Window { start, end: end.min(until) }).collect()
    }

    /// The shop's crews with their heads up to `until`.
    pub(crate) fn crews_until(&self, frame: &Frame<'_>, until: Minute) -> Vec<elbowroom_problem::Crew> {
        let one = |(crew, spans): (&Crew, &Vec<(Minute, Minute, u32)>)| {
            let near = spans.iter().take_while(|(from, _, _)| *from < until);
            let count = |&(start, end, heads): &(Minute, Minute, u32)| HeadCount {
                window: Window { start, end: end.min(until) },
                heads,
            };
            elbowroom_problem::Crew { id: crew.id.clone(), capacity: near.map(count).collect() }
        };
        frame.shop.crews.iter().zip(&self.crews).map(one).collect()
    }
}

/// Open minutes of a week, on average over the first eight; closures of one week hardly count.
pub(crate) fn weekly_minutes(frame: &Frame<'_>, spans: &[Span]) -> Minutes {
    const WEEKS: u32 = 8;
    let until = end_of_weeks(frame, WEEKS);
    let open = elbowroom_shop::calendar::working_minutes(spans, Minute::ZERO, until);
    Minutes::new(open.count() / i64::from(WEEKS))
}
