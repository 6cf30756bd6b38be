//! Load: hours of work against hours open, cells down, weeks across.

use super::{BODY, LEAST_WIDTH, MARGIN, NAME, SMALL, axis, frame, legend};
use crate::picture::lettering::{self, Weight};
use crate::picture::{Anchor, Frame, Group, Ink, Picture, Text};
use elbowroom_planner::plan::{CellPlan, Load, Plan};
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_units::Minutes;
use legend::{Entry, Sample};

/// Height of a cell's row, and of the bar in it.
const ROW: f64 = 46.0;
const BAR: f64 = 20.0;
/// Narrowest panel of a week; where more weeks come, they go on below.
const LEAST_PANEL: f64 = 150.0;
/// Room between panels.
const GAP: f64 = 16.0;

/// Work and open hours of one cell in one week, in pixels from the panel's left side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadBar {
    /// Where running ends.
    pub run: f64,
    /// Where changing over, stacked on running, ends.
    pub work: f64,
    /// Where the open hours end.
    pub open: f64,
    /// Whether there is more work than open hours.
    pub over: bool,
}

impl LoadBar {
    /// The bar of a load where an hour takes `pixels`.
    #[must_use]
    pub fn new(load: &Load, pixels: f64) -> Self {
        let length = |time: Minutes| time.hours().max(0.0) * pixels;
        let work = load.run + load.setup;
        Self { run: length(load.run), work: length(work), open: length(load.open), over: work > load.open }
    }
}

/// The load of every cell in every week of the plan, `width` pixels wide.
#[must_use]
pub fn picture(plan: &Plan, width: u32) -> Picture {
    let width = f64::from(width).max(LEAST_WIDTH);
    let weeks = axis::weeks_of(plan);
    let title = format!("{}: hours of work and hours open, {}", plan.shop, named(&weeks));
    let mut group = Group::default();
    let subtitle = "Per cell and ISO week: running and changing over against the hours the cell is open.";
    let mut y = frame::heading(&mut group, width, &title, subtitle) + 6.0;
    let grid = Grid::new(plan, width, &weeks);
    for band in weeks.chunks(grid.panels) {
        y = draw_band(&mut group, plan, &grid, band, y);
    }
    let height = legend::draw(&mut group, &entries(plan), width, y + 8.0) + MARGIN - 4.0;
    Picture { width, height, description: description(plan), title, groups: vec![group] }
}

fn named(weeks: &[IsoWeek]) -> String {
    match weeks {
        [one] => format!("week {one}"),
        [first, .., last] => format!("weeks {first} to {last}"),
        [] => String::new(),
    }
}

/// Where panels lie and how long an hour is.
struct Grid {
    left: f64,
    panels: usize,
    panel: f64,
    most_hours: f64,
}

impl Grid {
    fn new(plan: &Plan, width: f64, weeks: &[IsoWeek]) -> Self {
        let left = frame::content_left(plan, width);
        let room = width - MARGIN - left;
        let panels = (((room + GAP) / (LEAST_PANEL + GAP)) as usize).clamp(1, weeks.len().max(1));
        let panel = (room - GAP * (panels as f64 - 1.0)) / panels as f64;
        let hours = |load: &Load| load.open.max(load.run + load.setup).hours();
        let shown = plan.loads.iter().filter(|load| weeks.iter().any(|week| is_of(load, *week)));
        let most_hours = shown.map(hours).fold(1.0, f64::max);
        Self { left, panels, panel, most_hours }
    }

    fn panel_left(&self, i: usize) -> f64 {
        self.left + i as f64 * (self.panel + GAP)
    }

    fn pixels(&self) -> f64 {
        self.panel / self.most_hours
    }
}

/// A band of weeks beside each other from `top` on; answers where it ends.
fn draw_band(group: &mut Group, plan: &Plan, grid: &Grid, weeks: &[IsoWeek], top: f64) -> f64 {
    let rows_top = top + 38.0;
    let bottom = rows_top + ROW * plan.cells.len() as f64;
    for (i, &week) in weeks.iter().enumerate() {
        let left = grid.panel_left(i);
        group.area(Frame::new(left, rows_top, left + grid.panel, bottom), Ink::Off);
        draw_scale(group, grid, left, (rows_top, bottom));
        group.text(Text::new((left, top + 8.0), week.to_string(), NAME).bold());
    }
    for (row, cell) in plan.cells.iter().enumerate() {
        let y = rows_top + ROW * row as f64;
        frame::cell_name(group, cell, y + ROW / 2.0, grid.left, 3);
        for (i, &week) in weeks.iter().enumerate() {
            draw_load(group, grid, load_of(plan, cell, week), (grid.panel_left(i), y), cell);
        }
        group.line(vec![(MARGIN, y + ROW), (grid.panel_left(weeks.len()) - GAP, y + ROW)], Ink::Rule, 1.0);
    }
    bottom + 14.0
}

/// Hours above a panel, and their lines through it.
fn draw_scale(group: &mut Group, grid: &Grid, left: f64, (top, bottom): (f64, f64)) {
    let step = hour_step(grid.pixels());
    let mut hours = 0.0;
    while hours <= grid.most_hours {
        let x = left + hours * grid.pixels();
        group.line(vec![(x, top - 4.0), (x, bottom)], Ink::Grid, 1.0);
        let words = if hours == 0.0 { "0 h".to_owned() } else { format!("{hours:.0}") };
        let half = lettering::width(&words, SMALL, Weight::Regular) / 2.0;
        let at = (x.clamp(left + half, left + grid.panel - half), top - 11.0);
        group.text(Text::new(at, words, SMALL).ink(Ink::Quiet).anchor(Anchor::Middle));
        hours += step;
    }
}

/// The closest round step whose labels keep apart.
fn hour_step(pixels_per_hour: f64) -> f64 {
    let fits = |step: &f64| step * pixels_per_hour >= 34.0;
    [1.0, 2.0, 4.0, 8.0, 16.0, 24.0, 40.0, 80.0].into_iter().find(fits).unwrap_or(160.0)
}

fn load_of<'a>(plan: &'a Plan, cell: &CellPlan, week: IsoWeek) -> Option<&'a Load> {
    plan.loads.iter().find(|load| load.cell == cell.id && is_of(load, week))
}

fn is_of(load: &Load, week: IsoWeek) -> bool {
    load.week == (week.year(), week.number())
}

fn draw_load(group: &mut Group, grid: &Grid, load: Option<&Load>, (left, y): (f64, f64), cell: &CellPlan) {
    let Some(load) = load.filter(|load| load.open > Minutes::ZERO || load.run + load.setup > Minutes::ZERO)
    else {
        group.text(Text::new((left + 4.0, y + ROW / 2.0), "closed, no work", BODY).ink(Ink::Quiet));
        return;
    };
    let bar = LoadBar::new(load, grid.pixels());
    let top = y + ROW - BAR - 4.0;
    let part = |from: f64, to: f64| Frame::new(left + from, top, left + to, top + BAR);
    group.area(part(0.0, bar.open), Ink::Open);
    if bar.run > 0.0 {
        legend::work_bar(group, part(0.0, bar.run), cell.work);
    }
    if bar.work > bar.run {
        legend::setup_bar(group, part(bar.run, bar.work));
    }
    let width = if bar.over { legend::LATE_FRAME } else { 1.0 };
    group.line(part(0.0, bar.work).outline(width), Ink::Text, width);
    group.line(part(0.0, bar.open).outline(2.0), Ink::Text, 2.0);
    draw_figures(group, grid, load, bar, (left, y + 11.0));
}

/// The figures above a bar; a cell with too much work gets the sign and says by how much.
fn draw_figures(group: &mut Group, grid: &Grid, load: &Load, bar: LoadBar, (left, y): (f64, f64)) {
    let mut x = left + 3.0;
    if bar.over {
        legend::late_sign(group, x, y - 5.0);
        x += legend::SIGN + 4.0;
    }
    let forms = figures(load);
    let room = left + grid.panel - x;
    let fits = |form: &&String| lettering::width(form, BODY, Weight::Bold) <= room;
    let words = forms.iter().find(fits).or(forms.last()).cloned().unwrap_or_default();
    let text = Text::new((x, y), words, BODY);
    group.text(if bar.over { text.bold() } else { text });
}

/// Ways of saying a load, the fullest first.
fn figures(load: &Load) -> Vec<String> {
    let work = load.run + load.setup;
    let (done, open) = (work.hours(), load.open.hours());
    if work > load.open {
        let over = (work - load.open).hours();
        return vec![
            format!("{done:.1} of {open:.1} h: {over:.1} h too many"),
            format!("{over:.1} h too many"),
            format!("+{over:.0} h"),
        ];
    }
    let share = 100.0 * done / open;
    let mut forms = vec![
        format!("{done:.1} of {open:.1} h ({share:.0} %)"),
        format!("{done:.0} of {open:.0} h"),
        format!("{share:.0} %"),
    ];
    if load.setup > Minutes::ZERO {
        forms.insert(0, format!("{}, changing over {:.1} h", forms[0], load.setup.hours()));
    }
    forms
}

fn entries(plan: &Plan) -> Vec<Entry> {
    let mut entries = legend::work_entries(plan);
    entries.push(Entry::new(Sample::Setup, "changing over"));
    entries.push(Entry::new(Sample::Available, "hours open"));
    entries.push(Entry::new(Sample::Over, "more work than hours open"));
    entries
}

fn description(plan: &Plan) -> String {
    let over = plan.loads.iter().filter(|load| load.run + load.setup > load.open).count();
    format!(
        "One bar for each of {} cells and every week; in {over} cases there is more work than open hours.",
        plan.cells.len()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(run: i64, setup: i64, open: i64) -> Load {
        Load {
            cell: "rd-1".into(),
            week: (2026, 50),
            run: Minutes::new(run),
            setup: Minutes::new(setup),
            open: Minutes::new(open),
        }
    }

    #[test]
    fn bars_stack_changing_over_on_running() {
        let bar = LoadBar::new(&load(600, 120, 960), 10.0);
        assert_eq!(bar, LoadBar { run: 100.0, work: 120.0, open: 160.0, over: false });
        assert!(LoadBar::new(&load(900, 61, 960), 10.0).over);
        assert!(!LoadBar::new(&load(900, 60, 960), 10.0).over);
    }

    #[test]
    fn figures_say_what_is_too_much() {
        assert_eq!(figures(&load(900, 180, 960))[0], "18.0 of 16.0 h: 2.0 h too many");
        assert_eq!(figures(&load(600, 120, 960))[1], "12.0 of 16.0 h (75 %)");
    }
}
