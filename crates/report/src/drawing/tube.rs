//! The tube itself: short pieces, those farther from whoever looks first.

use super::view::Sheet;
use crate::picture::{Group, Ink, Point};
use elbowroom_bending::geometry::centreline::{Centreline, Stretch};
use elbowroom_bending::geometry::{Point as Place, Vector};
use elbowroom_units::Mm;

/// Width of the outline in pixels.
const OUTLINE: f64 = 1.0;
/// Thinner than this, in pixels, the tube is a line.
const THINNEST: f64 = 3.0;
/// Corners of a round end.
const ROUND: usize = 24;

/// A piece of a stretch between two shares of its length.
struct Piece<'a> {
    stretch: &'a Stretch,
    from: f64,
    to: f64,
}

pub(super) fn draw(group: &mut Group, sheet: &Sheet, line: &Centreline, outer: Mm) {
    let width = outer.mm() * sheet.scale;
    if width < THINNEST {
        let points = line.polyline(outer * 0.05).into_iter().map(|place| sheet.at(place)).collect();
        return group.line(points, Ink::Text, THINNEST - 1.0);
    }
    let mut pieces: Vec<Piece> = line.stretches().iter().flat_map(|stretch| pieces(stretch, outer)).collect();
    pieces.sort_by(|a, b| a.nearness(sheet).total_cmp(&b.nearness(sheet)));
    for piece in &pieces {
        piece.draw(group, sheet, width);
        for end in cut_ends(line, piece) {
            let ring = ring(sheet, piece.stretch.at(end), piece.stretch.direction_at(end), outer.mm() / 2.0);
            group.shape(ring.clone(), Ink::Paper);
            group.line(closed(ring), Ink::Text, OUTLINE);
        }
    }
}

/// Arcs in steps of at most 15 degrees, straights in steps of some diameters, so that what crosses
/// is sorted rightly.
fn pieces(stretch: &Stretch, outer: Mm) -> impl Iterator<Item = Piece<'_>> {
    let steps = match &stretch.curve {
        Some(curve) => curve.angle.degrees() / 15.0,
        None => stretch.length / (outer * 4.0),
    };
    let steps = (steps.ceil() as usize).clamp(1, 48);
    let share = move |step: usize| step as f64 / steps as f64;
    (0..steps).map(move |step| Piece { stretch, from: share(step), to: share(step + 1) })
}

/// The shares of a piece's stretch at which the tube is cut off.
fn cut_ends(line: &Centreline, piece: &Piece<'_>) -> Vec<f64> {
    let stretches = line.stretches();
    let is = |other: Option<&Stretch>| other.is_some_and(|other| std::ptr::eq(other, piece.stretch));
    let start = (piece.from == 0.0 && is(stretches.first())).then_some(0.0);
    let end = (piece.to == 1.0 && is(stretches.last())).then_some(1.0);
    start.into_iter().chain(end).collect()
}

impl Piece<'_> {
    fn middle(&self) -> f64 {
        (self.from + self.to) / 2.0
    }

    fn nearness(&self, sheet: &Sheet) -> f64 {
        sheet.nearness(self.stretch.at(self.middle()))
    }

    fn draw(&self, group: &mut Group, sheet: &Sheet, width: f64) {
        let points = self.points(sheet);
        if self.is_end_on(sheet) {
            return self.draw_end_on(group, sheet, width);
        }
        group.line(lengthened(points.clone(), OUTLINE / 2.0), Ink::Text, width + OUTLINE);
        group.line(lengthened(points, 2.0 * OUTLINE), Ink::Off, width - OUTLINE);
    }

    /// Whether whoever looks sees it almost along its length.
    fn is_end_on(&self, sheet: &Sheet) -> bool {
        let (dx, dy) = sheet.step(self.stretch.direction_at(self.middle()));
        dx.hypot(dy) < 0.2 * sheet.scale
    }

    fn draw_end_on(&self, group: &mut Group, sheet: &Sheet, width: f64) {
        let centre = sheet.at(self.stretch.at(self.middle()));
        let disc = circle(centre, width / 2.0);
        group.shape(disc.clone(), Ink::Off);
        group.line(closed(disc), Ink::Text, OUTLINE);
    }

    fn points(&self, sheet: &Sheet) -> Vec<Point> {
        let corners = if self.stretch.curve.is_some() { 6 } else { 1 };
        let share = |i: usize| self.from + (self.to - self.from) * i as f64 / corners as f64;
        (0..=corners).map(|i| sheet.at(self.stretch.at(share(i)))).collect()
    }
}

/// A line longer by so many pixels at both ends, so that no gap shows between two pieces.
fn lengthened(mut points: Vec<Point>, by: f64) -> Vec<Point> {
    let outwards = move |end: Point, inner: Point| {
        let (dx, dy) = (end.0 - inner.0, end.1 - inner.1);
        let length = dx.hypot(dy).max(1e-9);
        (end.0 + dx / length * by, end.1 + dy / length * by)
    };
    if let [first, second, ..] = points[..] {
        points[0] = outwards(first, second);
    }
    if let [.., before, last] = points[..] {
        let at = points.len() - 1;
        points[at] = outwards(last, before);
    }
    points
}

/// The outline of a cut end, as it is seen.
fn ring(sheet: &Sheet, centre: Place, along: Vector, radius: f64) -> Vec<Point> {
    let helper = if along.z.abs() < 0.9 { Vector::Z } else { Vector::X };
    let across = along.cross(helper).unit().unwrap_or(Vector::X);
    let corner = |i: usize| {
        let turn = std::f64::consts::TAU * i as f64 / ROUND as f64;
        sheet.at(centre + across.turned_about(along, turn) * radius)
    };
    (0..ROUND).map(corner).collect()
}

/// A circle on paper.
pub(super) fn circle(centre: Point, radius: f64) -> Vec<Point> {
    let corner = |i: usize| {
        let (sin, cos) = (std::f64::consts::TAU * i as f64 / ROUND as f64).sin_cos();
        (centre.0 + radius * cos, centre.1 + radius * sin)
    };
    (0..ROUND).map(corner).collect()
}

/// The same points, back to the first.
pub(super) fn closed(mut points: Vec<Point>) -> Vec<Point> {
    points.extend(points.first().copied());
    points
}
