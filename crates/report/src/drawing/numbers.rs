//! Numbers of the bends, beside their arcs, and the word `start`.

use super::tube::{circle, closed};
use super::view::{Sheet, View};
use crate::picture::{Anchor, Frame, Group, Ink, Point, Text};
use elbowroom_bending::geometry::centreline::{Centreline, Stretch};
use elbowroom_units::Mm;

/// Radius of the circle around a number.
const RADIUS: f64 = 9.0;
/// Most bends that get a number each.
const MOST: usize = 14;
/// Gaps between tube and circle that are tried, the nearest first.
const GAPS: [f64; 4] = [5.0, 14.0, 26.0, 40.0];
/// Turns against the outward direction that are tried, in degrees.
const TURNS: [f64; 8] = [0.0, 25.0, -25.0, 50.0, -50.0, 90.0, -90.0, 180.0];

/// Places that are taken: circles and samples of the tube.
struct Taken {
    circles: Vec<Frame>,
    tube: Vec<Point>,
    half: f64,
}

/// Draws them; what they cover together with the tube comes back.
pub(super) fn draw(group: &mut Group, sheet: &Sheet, line: &Centreline, outer: Mm) -> Frame {
    let tube = line.stretches().iter().flat_map(|stretch| samples(sheet, stretch)).collect();
    let mut taken = Taken { circles: Vec::new(), tube, half: outer.mm() * sheet.scale / 2.0 };
    if sheet.view == View::Isometric {
        start(group, sheet, line, &mut taken);
    }
    let arcs: Vec<&Stretch> = line.stretches().iter().filter(|stretch| stretch.curve.is_some()).collect();
    for at in numbered(arcs.len()) {
        number(group, sheet, arcs[at], &mut taken);
    }
    taken.circles.iter().fold(sheet.frame, |all, circle| {
        Frame::new(
            all.left.min(circle.left),
            all.top.min(circle.top),
            all.right.max(circle.right),
            all.bottom.max(circle.bottom),
        )
    })
}

/// The bends (from 0) that get a number: all, or of many the first, the last and round numbers.
fn numbered(count: usize) -> impl Iterator<Item = usize> {
    let steps = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
    let step = steps.into_iter().find(|step| count <= step * MOST).unwrap_or(count.max(1));
    let between = (2..count).filter(move |bend| bend % step == 0 && (step == 1 || count - bend > step / 2));
    let ends = [1, count].into_iter().take(count);
    ends.chain(between).map(|bend| bend - 1)
}

fn samples(sheet: &Sheet, stretch: &Stretch) -> Vec<Point> {
    let steps = ((stretch.length.mm() * sheet.scale / 6.0).ceil() as usize).clamp(1, 200);
    (0..=steps).map(|i| sheet.at(stretch.at(i as f64 / steps as f64))).collect()
}

impl Taken {
    fn is_free(&self, centre: Point) -> bool {
        let frame = around(centre);
        let clear = self.half + RADIUS + 2.0;
        !self.circles.iter().any(|circle| circle.overlaps(&frame, 0.0))
            && !self.tube.iter().any(|at| (at.0 - centre.0).hypot(at.1 - centre.1) < clear)
    }
}

fn around((x, y): Point) -> Frame {
    Frame::new(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS)
}

/// A number beside its arc, with a line to it where it stands far off; left out where there is no
/// room.
fn number(group: &mut Group, sheet: &Sheet, arc: &Stretch, taken: &mut Taken) {
    let Some(curve) = &arc.curve else { return };
    let middle = sheet.at(arc.at(0.5));
    let outward = outward(sheet, arc);
    let tries = GAPS.iter().flat_map(|gap| TURNS.iter().map(move |turn| (*gap, *turn)));
    let place = |(gap, turn): (f64, f64)| {
        let (sin, cos) = turn.to_radians().sin_cos();
        let toward = (outward.0 * cos - outward.1 * sin, outward.0 * sin + outward.1 * cos);
        let far = taken.half + gap + RADIUS;
        (gap, (middle.0 + toward.0 * far, middle.1 + toward.1 * far))
    };
    let Some((gap, centre)) = tries.map(place).find(|(_, centre)| taken.is_free(*centre)) else { return };
    if gap > GAPS[0] {
        group.line(vec![middle, centre], Ink::Rule, 0.75);
    }
    let ring = circle(centre, RADIUS);
    group.shape(ring.clone(), Ink::Paper);
    group.line(closed(ring), Ink::Text, 1.0);
    group.text(Text::new(centre, curve.bend.to_string(), 11.0).bold().anchor(Anchor::Middle));
    taken.circles.push(around(centre));
}

/// The direction on paper from the arc's centre outwards; upwards where it is seen edge on.
fn outward(sheet: &Sheet, arc: &Stretch) -> Point {
    let toward = arc.centre().map_or((0.0, 0.0), |centre| sheet.step(arc.at(0.5) - centre));
    let length = toward.0.hypot(toward.1);
    if length > 0.5 { (toward.0 / length, toward.1 / length) } else { (0.0, -1.0) }
}

/// The word at the end of the tube from which bends are counted.
fn start(group: &mut Group, sheet: &Sheet, line: &Centreline, taken: &mut Taken) {
    let Some(first) = line.stretches().first() else { return };
    let at = sheet.at(first.start);
    let (dx, dy) = sheet.step(first.along);
    let length = dx.hypot(dy).max(1e-9);
    let back = taken.half + 6.0;
    let place = (at.0 - dx / length * back, at.1 - dy / length * back);
    let text = Text::new(place, "start", 11.0).ink(Ink::Quiet).anchor(Anchor::End);
    taken.circles.push(text.frame());
    group.text(text);
}
