//! Points to rows and rows to points, by the conventions of [`crate::geometry`].

use super::{Point, Vector, arc};
use crate::shape::{Bend, ShapeFault};
use elbowroom_units::{Deg, Mm};

/// A straight that is negative by no more than this is one of no length: the rounding of
/// coordinates written to a millionth of a millimetre.
const ROUNDING: f64 = 1e-6;

/// A bend of less than this is no bend.
pub(crate) const SMALLEST_ANGLE: f64 = 1e-6;

/// The points of bends that are known to be possible.
pub(crate) fn points_from_rows(bends: &[Bend], end_straight: Mm) -> Result<Vec<Point>, ShapeFault> {
    let mut at = Point::default();
    let (mut along, mut normal) = (Vector::X, Vector::Z);
    let mut before = Mm::ZERO;
    let mut points = vec![at];
    for (i, bend) in bends.iter().enumerate() {
        let setback = arc::setback(bend.clr, bend.angle)
            .ok_or(ShapeFault::NoIntersection { bend: i + 1, angle: bend.angle })?;
        at = at + along * (before + bend.straight_before + setback).mm();
        points.push(at);
        normal = normal.turned_about(along, bend.rotation.radians());
        along = along.turned_about(normal, bend.angle.radians());
        before = setback;
    }
    points.push(at + along * (before + end_straight).mm());
    Ok(points)
}

/// The rows that follow `points`, with one radius for each bend; `points` has at least three.
pub(crate) fn rows_from_points(points: &[Point], radii: &[Mm]) -> Result<(Vec<Bend>, Mm), Vec<ShapeFault>> {
    let legs = legs(points)?;
    let turns = turns(&legs)?;
    let mut faults = Vec::new();
    let mut bends = Vec::with_capacity(turns.len());
    let mut used = 0.0;
    for (i, turn) in turns.iter().enumerate() {
        let setback = radii[i].mm() * (turn.angle / 2.0).tan();
        let straight = straight(legs[i].length, used + setback, i + 1, &mut faults);
        let rotation = if i == 0 { 0.0 } else { rotation(turns[i - 1].normal, turn.normal, legs[i].along) };
        bends.push(Bend {
            straight_before: straight,
            rotation: half_open(Deg::from_radians(rotation)),
            clr: radii[i],
            angle: Deg::from_radians(turn.angle),
        });
        used = setback;
    }
    let end = straight(legs[turns.len()].length, used, turns.len() + 1, &mut faults);
    if faults.is_empty() { Ok((bends, end)) } else { Err(faults) }
}

/// A rotation in the range above -180 to 180 degrees.
#[must_use]
pub fn half_open(rotation: Deg) -> Deg {
    let turned = (rotation.degrees() + 180.0).rem_euclid(360.0) - 180.0;
    Deg::new(if turned <= -180.0 { 180.0 } else { turned })
}

struct Leg {
    along: Vector,
    length: f64,
}

fn legs(points: &[Point]) -> Result<Vec<Leg>, Vec<ShapeFault>> {
    let mut faults = Vec::new();
    let mut legs = Vec::with_capacity(points.len());
    for (i, pair) in points.windows(2).enumerate() {
        let step = pair[1] - pair[0];
        match step.unit() {
            Some(along) if step.norm() > ROUNDING => legs.push(Leg { along, length: step.norm() }),
            _ => faults.push(ShapeFault::RepeatedPoint { point: i + 2 }),
        }
    }
    if faults.is_empty() { Ok(legs) } else { Err(faults) }
}

struct Turn {
    angle: f64,
    normal: Vector,
}

fn turns(legs: &[Leg]) -> Result<Vec<Turn>, Vec<ShapeFault>> {
    let mut faults = Vec::new();
    let mut turns = Vec::with_capacity(legs.len());
    for (i, pair) in legs.windows(2).enumerate() {
        let cross = pair[0].along.cross(pair[1].along);
        let angle = cross.norm().atan2(pair[0].along.dot(pair[1].along));
        match cross.unit() {
            _ if angle.to_degrees() < SMALLEST_ANGLE => {
                faults.push(ShapeFault::CollinearPoint { bend: i + 1, point: i + 2 });
            }
            Some(normal) if angle.to_degrees() <= 180.0 - SMALLEST_ANGLE => {
                turns.push(Turn { angle, normal })
            }
            _ => faults.push(ShapeFault::FoldsBack { bend: i + 1, point: i + 2 }),
        }
    }
    if faults.is_empty() { Ok(turns) } else { Err(faults) }
}

fn rotation(before: Vector, after: Vector, along: Vector) -> f64 {
    before.cross(after).dot(along).atan2(before.dot(after))
}

/// What is left of a leg after its setbacks; `leg` counts from 1.
fn straight(length: f64, used: f64, leg: usize, faults: &mut Vec<ShapeFault>) -> Mm {
    let left = length - used;
    if left < -ROUNDING {
        faults.push(ShapeFault::SetbacksOverlap { leg, length: Mm::new(length), setbacks: Mm::new(used) });
    }
    Mm::new(left.max(0.0))
}
