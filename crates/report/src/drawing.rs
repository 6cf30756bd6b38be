//! A picture of a part: isometric, from above and from the side, with bend numbers, dimensions and
//! its rows.
//!
//! The part stands in its canonical placement: X along the first leg, Y to the side to which the
//! first bend turns, Z across both. The two projections share one scale.

mod dimensions;
mod numbers;
mod rows;
mod tube;
mod view;

use crate::clean;
use crate::picture::lettering::{Weight, fit_start};
use crate::picture::{Anchor, Frame, Group, Ink, Picture, Text};
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_planner::fit::PartFacts;
use elbowroom_units::quantity::plain;
use view::{Sheet, View};

/// Width of the picture in pixels.
const WIDTH: f64 = 1000.0;
/// Room at its sides.
const MARGIN: f64 = 24.0;
/// Where the drawings begin and end, below a heading and above the rows.
const BETWEEN: Heights = Heights { top: 64.0, bottom: 540.0 };
/// The same for a picture of the drawings alone.
const ALONE: Heights = Heights { top: 0.0, bottom: 400.0 };
/// Between the isometric drawing and the projections.
const MIDDLE: f64 = 500.0;

/// The upper and lower end of the drawings, in pixels.
#[derive(Clone, Copy)]
struct Heights {
    top: f64,
    bottom: f64,
}

/// The picture of a part.
#[must_use]
pub fn part(part: &PartFacts) -> Picture {
    let mut groups = vec![heading(part)];
    groups.extend(drawings(part, BETWEEN));
    let (list, height) =
        rows::list(part, Frame::new(MARGIN, BETWEEN.bottom + 16.0, WIDTH - MARGIN, BETWEEN.bottom + 16.0));
    groups.push(list);
    picture(part, (WIDTH, height + MARGIN), groups)
}

/// The drawings alone, for a page that says the rest in its own words.
#[must_use]
pub fn views(part: &PartFacts) -> Picture {
    picture(part, (WIDTH, ALONE.bottom), drawings(part, ALONE))
}

/// A small isometric drawing without numbers.
#[must_use]
pub fn thumbnail(part: &PartFacts) -> Picture {
    let (line, outer) = (Centreline::of(&part.shape), part.tube.tube.outer());
    let (width, height) = (240.0, 140.0);
    let sheet =
        Sheet::fitting(View::Isometric, &line, outer, Frame::new(6.0, 6.0, width - 6.0, height - 6.0));
    let mut group = Group::of(Vec::new());
    tube::draw(&mut group, &sheet, &line, outer);
    picture(part, (width, height), vec![group])
}

fn picture(part: &PartFacts, (width, height): (f64, f64), groups: Vec<Group>) -> Picture {
    Picture { width, height, title: title(part), description: description(part), groups }
}

fn drawings(part: &PartFacts, heights: Heights) -> Vec<Group> {
    let line = Centreline::of(&part.shape);
    let outer = part.tube.tube.outer();
    let [x, y, z] = part.size;
    let mut groups = Vec::new();
    for sheet in sheets(&line, part, heights) {
        let mut group = Group::of(Vec::new());
        tube::draw(&mut group, &sheet, &line, outer);
        let around = numbers::draw(&mut group, &sheet, &line, outer);
        match sheet.view {
            View::Isometric => {}
            View::Above => dimensions::draw(&mut group, &sheet, (x, y), around),
            View::Side => dimensions::draw(&mut group, &sheet, (x, z), around),
        }
        caption(&mut group, &sheet, heights);
        groups.push(group);
    }
    groups.push(axes(heights));
    groups
}

/// Id and name.
fn title(part: &PartFacts) -> String {
    if part.name == part.id { part.id.clone() } else { format!("{} {}", part.id, part.name) }
}

fn description(part: &PartFacts) -> String {
    let [x, y, z] = part.size.map(|side| plain(side.mm(), 1));
    format!(
        "Isometric view and two projections of a bent tube with {} bends; it fits into {x} x {y} x {z} mm. {}",
        part.shape.bends().len(),
        what(part)
    )
}

/// Tube, material and length.
fn what(part: &PartFacts) -> String {
    format!(
        "{}: {} x {} mm, {}. Centreline {} mm, {} kg",
        part.tube.id,
        plain(part.tube.tube.outer().mm(), 3),
        plain(part.tube.tube.wall().mm(), 3),
        part.material,
        plain(part.developed.mm(), 1),
        plain(part.mass_kg, 2)
    )
}

fn heading(part: &PartFacts) -> Group {
    let mut group = Group::of(Vec::new());
    let room = WIDTH - 2.0 * MARGIN;
    let fitting = |words: &str, size, weight| fit_start(&clean::plain(words), size, weight, room, 3);
    let name = fitting(&title(part), 16.0, Weight::Bold).unwrap_or_default();
    let facts = fitting(&what(part), 12.0, Weight::Regular).unwrap_or_default();
    group.text(Text::new((MARGIN, 24.0), name, 16.0).bold());
    group.text(Text::new((MARGIN, 44.0), facts, 12.0).ink(Ink::Quiet));
    group
}

/// The isometric drawing at the left, the projections above each other at the right. Heights are
/// shared out as the part needs them.
fn sheets(line: &Centreline, part: &PartFacts, heights: Heights) -> [Sheet; 3] {
    let outer = part.tube.tube.outer();
    let Heights { top, bottom } = heights;
    let left = Frame::new(MARGIN + 72.0, top + 36.0, MIDDLE - 16.0, bottom - 28.0);
    // Room for dimensions, numbers and captions around each projection.
    let (edge, between) = (84.0, 116.0);
    let right = Frame::new(MIDDLE + edge, top + 46.0, WIDTH - MARGIN - 28.0, bottom - 28.0);
    let [x, y, z] = part.size.map(elbowroom_units::Mm::mm);
    let scale = (right.width() / x).min((right.height() - between) / (y + z));
    let split = right.top + y * scale;
    let above = Frame { bottom: split, ..right };
    let side = Frame { top: split + between, bottom: split + between + z * scale, ..right };
    [
        Sheet::fitting(View::Isometric, line, outer, left),
        Sheet::scaled(View::Above, line, outer, above, scale),
        Sheet::scaled(View::Side, line, outer, side, scale),
    ]
}

fn caption(group: &mut Group, sheet: &Sheet, heights: Heights) {
    let at = match sheet.view {
        View::Isometric => (MARGIN, heights.top + 8.0),
        View::Above | View::Side => (MIDDLE + 16.0, sheet.frame.top - 38.0),
    };
    group.text(Text::new(at, sheet.view.name(), 12.0).bold());
}

/// The directions of the isometric drawing.
fn axes(heights: Heights) -> Group {
    let mut group = Group::of(Vec::new());
    let (x, y) = (MARGIN + 14.0, heights.bottom - 40.0);
    for (name, toward) in View::Isometric.axes() {
        let end = (x + 22.0 * toward.0, y + 22.0 * toward.1);
        let letter = (x + 31.0 * toward.0, y + 31.0 * toward.1);
        group.line(vec![(x, y), end], Ink::Quiet, 1.0);
        group.text(Text::new(letter, name, 11.0).ink(Ink::Quiet).anchor(Anchor::Middle));
    }
    group
}
