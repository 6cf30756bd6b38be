//! Machine time: cells down, local time across.
//!
//! A bar is one lot on one cell: changing over hatched, the run filled by kind of work. Hours in
//! which the whole shop is closed are drawn narrower, so that shifts get the room.

pub mod bars;
mod draw;
mod labels;
mod scale;

use super::axis::{self, TimeAxis};
use super::{LEAST_WIDTH, MARGIN, frame, legend};
use crate::picture::{Frame, Group, Ink, Picture};
use crate::when;
use bars::Bar;
use elbowroom_planner::plan::{CellPlan, Plan};
use elbowroom_shop::calendar::IsoWeek;
use legend::{Entry, Sample};
use std::collections::BTreeSet;

/// Heights inside the row of a cell, in pixels.
#[derive(Clone, Copy, Debug)]
struct Sizes {
    /// Lane above the bars for names that do not fit into them.
    lane: f64,
    /// Bars.
    bar: f64,
    /// Lane below the bars for signs.
    signs: f64,
    /// Lines of text at the cell's name.
    name_lines: usize,
}

const WEEK: Sizes = Sizes { lane: 17.0, bar: 46.0, signs: 13.0, name_lines: 4 };
const OVERVIEW: Sizes = Sizes { lane: 4.0, bar: 24.0, signs: 13.0, name_lines: 2 };

/// Room right of the last day.
const RIGHT_MARGIN: f64 = MARGIN;

/// One week of the plan, `width` pixels wide and as high as its cells need.
#[must_use]
pub fn week(plan: &Plan, week: IsoWeek, width: u32) -> Picture {
    let title = format!("{}: machine time, week {week}", plan.shop);
    picture(plan, Extent { first: week, weeks: 1, sizes: WEEK }, title, width)
}

/// All weeks of the plan at once, with less at each bar.
#[must_use]
pub fn overview(plan: &Plan, width: u32) -> Picture {
    let weeks = axis::weeks_of(plan);
    let (first, last) = (weeks[0], weeks[weeks.len() - 1]);
    let title = format!("{}: machine time, weeks {first} to {last}", plan.shop);
    picture(plan, Extent { first, weeks: weeks.len(), sizes: OVERVIEW }, title, width)
}

/// The ISO weeks that a plan's pictures show, at least one.
#[must_use]
pub fn weeks(plan: &Plan) -> Vec<IsoWeek> {
    axis::weeks_of(plan)
}

/// What a picture shows, and how large.
#[derive(Clone, Copy)]
struct Extent {
    first: IsoWeek,
    weeks: usize,
    sizes: Sizes,
}

/// A cell's row: its room and its bars.
#[derive(Clone, Debug)]
pub struct Row<'a> {
    /// The cell.
    pub cell: &'a CellPlan,
    /// The room for bars, lanes not included.
    pub frame: Frame,
    /// Bars from left to right.
    pub bars: Vec<Bar>,
}

fn picture(plan: &Plan, extent: Extent, title: String, width: u32) -> Picture {
    let width = f64::from(width).max(LEAST_WIDTH);
    let mut head = Group::default();
    let scale_top = frame::heading(&mut head, width, &title, &subtitle(plan, extent));
    let axis = time_axis(plan, extent, width);
    let top = scale::draw(&mut head, plan, &axis, scale_top, extent.weeks > 1);
    let rows = rows(plan, &axis, extent.sizes, top);
    let bottom = rows.last().map_or(top, |row| row.frame.bottom + extent.sizes.signs);

    let mut groups = vec![draw::ground(plan, &axis, &rows, extent.sizes), head];
    for row in &rows {
        groups.extend(draw::row(plan, &axis, row, extent.sizes));
    }
    groups.push(scale::rules(plan, &axis, (scale_top, top, bottom)));
    let mut foot = Group::default();
    let height = legend::draw(&mut foot, &entries(plan, extent), width, bottom + 12.0) + MARGIN - 4.0;
    groups.push(foot);
    Picture { width, height, description: description(plan, &rows), title, groups }
}

fn time_axis(plan: &Plan, extent: Extent, width: f64) -> TimeAxis {
    let span = axis::weeks_span(&plan.clock, extent.first, extent.weeks);
    let closed = axis::shop_closed(plan, span);
    TimeAxis::new(span, &closed, frame::content_left(plan, width), width - RIGHT_MARGIN)
}

/// The rows of a week's picture as `width` pixels give them, in which `week` begins at height 0.
#[must_use]
pub fn week_rows(plan: &Plan, week: IsoWeek, width: u32) -> Vec<Row<'_>> {
    let extent = Extent { first: week, weeks: 1, sizes: WEEK };
    let axis = time_axis(plan, extent, f64::from(width).max(LEAST_WIDTH));
    rows(plan, &axis, WEEK, 0.0)
}

fn rows<'a>(plan: &'a Plan, axis: &TimeAxis, sizes: Sizes, top: f64) -> Vec<Row<'a>> {
    let late: BTreeSet<&str> =
        plan.orders.iter().filter(|order| order.is_late()).map(|order| order.id.as_str()).collect();
    let (left, right) = (axis.x(axis.span().0), axis.x(axis.span().1));
    let mut y = top;
    let mut rows = Vec::with_capacity(plan.cells.len());
    for cell in &plan.cells {
        let frame = Frame::new(left, y + sizes.lane, right, y + sizes.lane + sizes.bar);
        rows.push(Row { cell, frame, bars: bars::of_cell(cell, axis, &late) });
        y = frame.bottom + sizes.signs;
    }
    rows
}

fn subtitle(plan: &Plan, extent: Extent) -> String {
    let first = extent.first.monday();
    let after = (0..extent.weeks).fold(extent.first, |week, _| week.next()).monday();
    let last = after.pred_opt().unwrap_or(after);
    format!(
        "{} to {}, local time of {}; plan from {}",
        when::day(first),
        when::day(last),
        plan.clock.zone(),
        when::day(plan.start)
    )
}

fn entries(plan: &Plan, extent: Extent) -> Vec<Entry> {
    let mut entries = legend::work_entries(plan);
    let detailed = extent.weeks == 1;
    entries.push(Entry::new(Sample::Setup, "changing over"));
    if detailed {
        entries.push(Entry::new(Sample::Waiting, "changed over, waiting to run"));
    }
    entries.push(Entry::new(Sample::Still, "standing still, off shift"));
    entries.push(Entry::new(Sample::Off, "off shift"));
    entries.push(Entry::new(Sample::Late, "order will be late"));
    entries.push(Entry::new(Sample::UnderWay, "under way when the plan begins"));
    if detailed {
        entries.push(Entry::new(
            Sample::None,
            "Above a bar: tooling to put on, and order numbers that do not fit into it.",
        ));
    }
    entries.push(Entry::new(Sample::None, "Hours in which no cell works are drawn narrower."));
    entries
}

fn description(plan: &Plan, rows: &[Row<'_>]) -> String {
    let bars: usize = rows.iter().map(|row| row.bars.len()).sum();
    let late = rows.iter().flat_map(|row| &row.bars).filter(|bar| bar.late).count();
    format!(
        "{} cells from top to bottom, time from left to right; {bars} lots, {late} of them for late orders. \
         The dispatch lists say the same in words.",
        plan.cells.len()
    )
}

/// The ink of time off shift behind bars.
const OFF: Ink = Ink::Off;
