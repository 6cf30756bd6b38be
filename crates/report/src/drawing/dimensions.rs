//! Overall dimensions of a projection, over the tube's surface.

use super::view::{Sheet, View};
use crate::picture::{Anchor, Frame, Group, Ink, Point, Text};
use elbowroom_units::Mm;
use elbowroom_units::quantity::plain;

/// From the part to a line of dimension.
const AWAY: f64 = 16.0;
/// How far extension lines go beyond it.
const BEYOND: f64 = 5.0;
/// Half the length of the stroke that ends a line of dimension.
const STROKE: f64 = 4.0;

/// Height at the left; `size` is what the part measures to the right and up, `around` what tube and
/// numbers cover.
pub(super) fn draw(group: &mut Group, sheet: &Sheet, (right, up): (Mm, Mm), around: Frame) {
    let frame = sheet.frame;
    let x = around.left.min(frame.left) - AWAY;
    for y in [frame.top, frame.bottom] {
        group.line(vec![(frame.left - 4.0, y), (x - BEYOND, y)], Ink::Rule, 0.75);
    }
    measure(group, (x, frame.top), (x, frame.bottom));
    let middle = (frame.top + frame.bottom) / 2.0;
    group.text(Text::new((x - 10.0, middle), plain(up.mm(), 1), 12.0).anchor(Anchor::Middle).upwards());
    if sheet.view == View::Above {
        width(group, frame, right, around.bottom.max(frame.bottom) + AWAY);
    }
}

/// The length along X; both projections share it, and the upper one shows it.
fn width(group: &mut Group, frame: Frame, right: Mm, y: f64) {
    for x in [frame.left, frame.right] {
        group.line(vec![(x, frame.bottom + 4.0), (x, y + BEYOND)], Ink::Rule, 0.75);
    }
    measure(group, (frame.left, y), (frame.right, y));
    let middle = (frame.left + frame.right) / 2.0;
    group.text(Text::new((middle, y + 11.0), plain(right.mm(), 1), 12.0).anchor(Anchor::Middle));
}

/// A line with a slanting stroke at both ends.
fn measure(group: &mut Group, from: Point, to: Point) {
    group.line(vec![from, to], Ink::Text, 0.75);
    for (x, y) in [from, to] {
        group.line(vec![(x - STROKE, y + STROKE), (x + STROKE, y - STROKE)], Ink::Text, 1.0);
    }
}
