//! What the fills, patterns and signs of a chart mean.

use super::{BODY, MARGIN};
use crate::picture::lettering::{self, Weight};
use crate::picture::{Frame, Group, Ink, Point, Text, band, hatch};
use elbowroom_planner::plan::Plan;
use elbowroom_shop::cell::WorkKind;

/// Width and height of a sample.
const SAMPLE: (f64, f64) = (30.0, 16.0);
/// From line to line.
const PITCH: f64 = 24.0;

/// A sample and its meaning.
#[derive(Clone, Debug)]
pub struct Entry {
    sample: Sample,
    words: String,
}

/// What is shown beside the words of a legend.
#[derive(Clone, Copy, Debug)]
pub enum Sample {
    /// A run of a kind of work.
    Work(WorkKind),
    /// Changing over.
    Setup,
    /// Changed over and waiting.
    Waiting,
    /// A run that stands still off shift.
    Still,
    /// Off shift.
    Off,
    /// A late order.
    Late,
    /// Work under way.
    UnderWay,
    /// Hours open.
    Available,
    /// More work than hours open.
    Over,
    /// A day that keeps a promise.
    Kept,
    /// A day that does not.
    Missed,
    /// The end of the promised day.
    Due,
    /// No sample, words alone.
    None,
}

impl Entry {
    /// A sample with its words.
    pub fn new(sample: Sample, words: impl Into<String>) -> Self {
        Self { sample, words: words.into() }
    }
}

/// One entry for each kind of work that the shop's cells do; all but bending count as one.
pub fn work_entries(plan: &Plan) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    for cell in &plan.cells {
        let words = match cell.work {
            WorkKind::Bend(process) => process.name(),
            _ => "other work",
        };
        if entries.iter().all(|entry| entry.words != words) {
            entries.push(Entry::new(Sample::Work(cell.work), words));
        }
    }
    entries
}

/// Adds the entries from `top` on, in as many lines as they need; answers where they end.
pub fn draw(group: &mut Group, entries: &[Entry], width: f64, top: f64) -> f64 {
    let (mut x, mut y) = (MARGIN, top);
    for entry in entries {
        let sample = if matches!(entry.sample, Sample::None) { 0.0 } else { SAMPLE.0 + 6.0 };
        let room = width - 2.0 * MARGIN - sample;
        let words = lettering::fit_start(&entry.words, BODY, Weight::Regular, room, 0).unwrap_or_default();
        let taken = sample + lettering::width(&words, BODY, Weight::Regular);
        if x > MARGIN && x + taken > width - MARGIN {
            (x, y) = (MARGIN, y + PITCH);
        }
        let frame = Frame::new(x, y, x + SAMPLE.0, y + SAMPLE.1);
        draw_sample(group, entry.sample, frame);
        group.text(Text::new((x + sample, y + SAMPLE.1 / 2.0), words, BODY));
        x += taken + 18.0;
    }
    y + PITCH
}

fn draw_sample(group: &mut Group, sample: Sample, frame: Frame) {
    let middle = (frame.left + frame.right) / 2.0;
    match sample {
        Sample::Work(work) => work_bar(group, frame, work),
        Sample::Setup => setup_bar(group, frame),
        Sample::Waiting => {
            group.area(frame, Ink::Setup);
            group.line(frame.outline(1.0), Ink::Text, 1.0);
        }
        Sample::Still => {
            group.area(frame, Ink::Still);
            group.line(frame.outline(1.0), Ink::OnWork, 1.0);
        }
        Sample::Off => group.area(frame, Ink::Off),
        Sample::Late => {
            group.area(frame, Ink::Other);
            group.line(frame.outline(LATE_FRAME), Ink::OnWork, LATE_FRAME);
            group.shape(triangle(middle - SIGN / 2.0, frame.top + 4.0), Ink::OnWork);
        }
        Sample::UnderWay => under_way_sign(group, middle - SIGN / 2.0, frame.top + 4.0),
        Sample::Available => {
            group.area(frame, Ink::Open);
            group.line(frame.outline(2.0), Ink::Text, 2.0);
        }
        Sample::Over => late_sign(group, middle - SIGN / 2.0, frame.top + 4.0),
        Sample::Kept => chance_bar(group, frame, true),
        Sample::Missed => chance_bar(group, frame, false),
        Sample::Due => group.line(vec![(middle, frame.top), (middle, frame.bottom)], Ink::Text, 2.0),
        Sample::None => {}
    }
}

/// Width and height of a sign.
pub const SIGN: f64 = 8.0;
/// Width of the line around a late order's bar.
pub const LATE_FRAME: f64 = 2.5;
/// Height of the band of pattern at the lower side of a bar.
const BAND: f64 = 6.0;

/// A bar of a run: fill, band of pattern, outline.
pub fn work_bar(group: &mut Group, frame: Frame, work: WorkKind) {
    group.area(frame, Ink::of_work(work));
    work_band(group, frame, work);
    group.line(frame.outline(1.0), Ink::OnWork, 1.0);
}

/// The band of pattern of a run.
pub fn work_band(group: &mut Group, frame: Frame, work: WorkKind) {
    if frame.width() > 3.0 {
        let inside = Frame::new(frame.left + 1.0, frame.bottom - BAND, frame.right - 1.0, frame.bottom - 1.0);
        band(group, inside, work);
    }
}

/// A bar of changing over: hatched.
pub fn setup_bar(group: &mut Group, frame: Frame) {
    group.area(frame, Ink::Setup);
    if frame.width() > 2.0 {
        group.marks.push(hatch(frame, 5.0, 1.0));
    }
    group.line(frame.outline(1.0), Ink::Text, 1.0);
}

/// A bar of days by which an order was finished: open where they keep its promise, else solid.
pub fn chance_bar(group: &mut Group, frame: Frame, kept: bool) {
    group.area(frame, if kept { Ink::Open } else { Ink::Text });
    group.line(frame.outline(1.0), Ink::Text, 1.0);
}

/// The sign of a late order: a full triangle on its base.
pub fn late_sign(group: &mut Group, x: f64, y: f64) {
    group.shape(triangle(x, y), Ink::Text);
}

fn triangle(x: f64, y: f64) -> Vec<Point> {
    vec![(x, y + SIGN), (x + SIGN / 2.0, y), (x + SIGN, y + SIGN)]
}

/// The sign of work under way: a full triangle that points on.
pub fn under_way_sign(group: &mut Group, x: f64, y: f64) {
    group.shape(vec![(x, y), (x + SIGN, y + SIGN / 2.0), (x, y + SIGN)], Ink::Text);
}
