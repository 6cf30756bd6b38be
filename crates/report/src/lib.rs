//! Plans for people: a summary, lists as text, CSV and HTML, a machine-time chart and a load chart.
//!
//! Everything is made in memory from a [`Plan`]; nothing here plans, reads a clock or writes a file.
//!
//! A list is first a [`table::Table`], then text or HTML; a chart is first a [`picture::Picture`],
//! then SVG or PNG. So the same words and the same marks reach every reader.

pub mod charts;
pub mod clean;
pub mod comparison;
pub mod drawing;
pub mod estimates;
pub mod html;
pub mod ics;
pub mod lists;
pub mod look_back;
pub mod picture;
pub mod promise;
pub mod sheets;
pub mod spreadsheet;
pub mod table;
pub mod text;
pub mod tooling;
pub mod when;
pub mod workbook;

use charts::{chance, load, machine_time};
use chrono::{DateTime, Utc};
use elbowroom_planner::fit::{Fit, PartFacts};
use elbowroom_planner::plan::{CellPlan, Plan};
use elbowroom_planner::sheets::CellSheet;
use elbowroom_units::Minute;
use picture::{Picture, png, svg};
use std::collections::BTreeSet;

/// How to render.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RenderOptions {
    /// Columns of text files; lists wrap to it.
    pub text_width: usize,
    /// Width of charts in pixels at their natural size; no chart is narrower than 360.
    pub chart_width: u32,
    /// When the plan was made, for calendars and workbook; `None`: its first minute, so that the
    /// same plan gives the same files whenever it is rendered.
    pub made: Option<DateTime<Utc>>,
    /// PNG pixels for one pixel of a chart; `None`: no PNG files.
    pub png_scale: Option<u32>,
}

impl Default for RenderOptions {
    fn default() -> Self {
        Self { text_width: 160, chart_width: 1200, made: None, png_scale: Some(2) }
    }
}

/// A file to write: its name, which is safe in any folder, and its content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutFile {
    /// Name without a folder; lower-case letters, digits, `-`, `.` and the `W` of a week.
    pub name: String,
    /// Content.
    pub bytes: Vec<u8>,
}

/// All files for people: lists as `.txt`, `.csv` and in one workbook, a calendar for each cell, charts
/// as `.svg` and `.png`, `report.html`.
///
/// One `machine-time-2026-W50` for every ISO week of the plan; `machine-time-overview` where there
/// are several.
#[must_use]
pub fn render(plan: &Plan, options: &RenderOptions) -> Vec<OutFile> {
    let mut files = text_files(plan, options.text_width);
    files.extend(csv_files(plan));
    files.extend(chart_files(&pictures(plan, options.chart_width), options.png_scale));
    let made = options.made.unwrap_or_else(|| plan.clock.local(Minute::ZERO).to_utc());
    files.push(out("lists.xlsx", workbook::workbook(plan, made)));
    files.extend(calendars(plan, made));
    files.extend(chance_files(plan, options));
    files.push(out("report.html", html::page(plan, options.chart_width)));
    files
}

/// Every chart as SVG and as PNG, each drawn on a thread of its own: packing the pixels of a PNG takes
/// longer than all else here.
fn chart_files(pictures: &[(String, Picture)], png_scale: Option<u32>) -> Vec<OutFile> {
    let draw = |(name, picture): &(String, Picture)| {
        let svg = out(format!("{name}.svg"), svg::document(picture));
        let png = png_scale.map(|scale| out(format!("{name}.png"), png::file(picture, scale)));
        std::iter::once(svg).chain(png).collect::<Vec<_>>()
    };
    std::thread::scope(|scope| {
        let drawn: Vec<_> = pictures.iter().map(|named| scope.spawn(move || draw(named))).collect();
        let files = drawn.into_iter().map(|files| files.join().expect("drawing in memory does not panic"));
        files.flatten().collect()
    })
}

/// How sure the promises are, where that has been asked: lists, and a chart with a panel for every
/// order. The chart can be very high, so there is no PNG of it.
fn chance_files(plan: &Plan, options: &RenderOptions) -> Vec<OutFile> {
    if plan.confidence.is_none() {
        return Vec::new();
    }
    let chart = chance::picture(plan, options.chart_width);
    let chart = chart.map(|picture| out("chances.svg", svg::document(&picture)));
    let lists = [
        out("chances.txt", text::chances(plan, options.text_width)),
        out("chances.csv", spreadsheet::chances(plan)),
    ];
    lists.into_iter().chain(chart).collect()
}

/// A dispatch sheet to print for every cell that has something to do: `sheet-draw-1.html` and so on.
#[must_use]
pub fn render_sheets(plan: &Plan, sheets: &[CellSheet<'_>]) -> Vec<OutFile> {
    let mut names = BTreeSet::new();
    let file = |sheet: &CellSheet<'_>| {
        out(format!("sheet-{}.html", unused(&mut names, &sheet.cell.id)), sheets::page(plan, sheet))
    };
    sheets.iter().map(file).collect()
}

/// The summary for a terminal of `width` columns.
#[must_use]
pub fn summary(plan: &Plan, width: usize) -> String {
    text::summary::text(plan, width)
}

/// A part held up to every bending cell, for a terminal of `width` columns.
#[must_use]
pub fn fit_text(fit: &Fit, width: usize) -> String {
    text::fit::text(fit, width)
}

/// A picture of a part as a stand-alone SVG document: isometric, from above, from the side.
#[must_use]
pub fn part_svg(part: &PartFacts) -> String {
    svg::document(&drawing::part(part))
}

fn out(name: impl Into<String>, content: impl Into<Vec<u8>>) -> OutFile {
    OutFile { name: name.into(), bytes: content.into() }
}

fn text_files(plan: &Plan, width: usize) -> Vec<OutFile> {
    vec![
        out("summary.txt", summary(plan, width.min(100))),
        out("dispatch.txt", text::dispatch(plan, width)),
        out("orders.txt", text::orders(plan, width)),
        out("tooling.txt", text::tooling(plan, width)),
        out("tube.txt", text::tube(plan, width)),
        out("no-tooling.txt", text::no_tooling(plan, width)),
        out("load.txt", text::load(plan, width)),
    ]
}

fn csv_files(plan: &Plan) -> Vec<OutFile> {
    vec![
        out("dispatch.csv", spreadsheet::dispatch(plan)),
        out("orders.csv", spreadsheet::orders(plan)),
        out("tooling.csv", spreadsheet::tooling(plan)),
        out("tube.csv", spreadsheet::tube(plan)),
        out("cutting.csv", spreadsheet::cutting(plan)),
        out("no-tooling.csv", spreadsheet::no_tooling(plan)),
        out("load.csv", spreadsheet::load(plan)),
    ]
}

/// A calendar for each cell that has something to do.
fn calendars(plan: &Plan, made: DateTime<Utc>) -> Vec<OutFile> {
    let mut names = BTreeSet::new();
    let busy = plan.cells.iter().filter(|cell| !cell.tasks.is_empty());
    let calendar = |cell: &CellPlan| {
        out(format!("calendar-{}.ics", unused(&mut names, &cell.id)), ics::calendar(plan, cell, made))
    };
    busy.map(calendar).collect()
}

/// An id as part of a file name that none of `names` has.
fn unused(names: &mut BTreeSet<String>, id: &str) -> String {
    let mut name = file_name(id);
    while !names.insert(name.clone()) {
        name.push('-');
    }
    name
}

/// An id as part of a file name: lower-case letters, digits and `-`.
fn file_name(id: &str) -> String {
    let safe = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    id.chars().take(60).map(safe).collect()
}

fn pictures(plan: &Plan, width: u32) -> Vec<(String, Picture)> {
    let weeks = machine_time::weeks(plan);
    let week = |&week| (format!("machine-time-{week}"), machine_time::week(plan, week, width));
    let mut pictures: Vec<_> = weeks.iter().map(week).collect();
    if weeks.len() > 1 {
        pictures.push(("machine-time-overview".to_owned(), machine_time::overview(plan, width)));
    }
    pictures.push(("load".to_owned(), load::picture(plan, width)));
    pictures
}
