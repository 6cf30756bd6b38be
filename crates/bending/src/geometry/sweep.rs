//! What a part sweeps while it is bent: a simple envelope, to warn of floor and machine.
//!
//! The tube is bent from its start; the formed end stands out in front of the head, the rest lies
//! straight behind it. At each bend the formed end turns about the bend's axis, in a horizontal
//! bend plane. Two figures follow: how far the formed end reaches below and above the bend plane
//! (it keeps that height through the turn), and how far from the axis it sweeps. The tube's half
//! diameter is included.
//!
//! Left out, so that the figures are a warning and no proof: the turn of the tube between bends,
//! the shape of the machine itself, and sag.

use super::centreline::{Centreline, Stretch};
use super::{Point, Vector};
use elbowroom_units::Mm;

/// What the formed end sweeps at one bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swept {
    /// The bend, counted from 1.
    pub bend: usize,
    /// Largest distance from the bend's axis.
    pub radius: Mm,
    /// Largest distance from the bend plane on the side of its normal.
    pub above: Mm,
    /// Largest distance from the bend plane on the other side.
    pub below: Mm,
}

/// The sweep at every bend of a tube of diameter `outer`, bent from its start.
#[must_use]
pub fn of(line: &Centreline, outer: Mm) -> Vec<Swept> {
    let mut formed: Vec<Point> = Vec::new();
    let mut found = Vec::new();
    for stretch in line.stretches() {
        formed.extend(places(stretch));
        if let (Some(curve), Some(centre)) = (stretch.curve, stretch.centre()) {
            found.push(swept(&formed, centre, curve.normal, curve.bend, outer / 2.0));
        }
    }
    found
}

fn swept(formed: &[Point], centre: Point, normal: Vector, bend: usize, half: Mm) -> Swept {
    let (mut square, mut above, mut below) = (0.0_f64, 0.0_f64, 0.0_f64);
    for place in formed {
        let out = *place - centre;
        let height = out.dot(normal);
        square = square.max(out.dot(out) - height * height);
        above = above.max(height);
        below = below.max(-height);
    }
    let with_tube = |distance: f64| Mm::new(distance) + half;
    Swept { bend, radius: with_tube(square.sqrt()), above: with_tube(above), below: with_tube(below) }
}

/// Places of a stretch to look at: a straight is farthest at its ends, an arc is looked at every
/// eighth.
fn places(stretch: &Stretch) -> impl Iterator<Item = Point> + '_ {
    let steps = if stretch.curve.is_some() { 8 } else { 1 };
    (0..=steps).map(move |i| stretch.at(f64::from(i) / f64::from(steps)))
}
