//! Why there can be no such shape.

use super::Bend;
use crate::geometry::{Point, SMALLEST_ANGLE};
use elbowroom_units::{Deg, Mm};
use std::fmt;

/// Largest length in mm: 10 km, beyond any tube and far below where arithmetic loses a micrometre.
pub(crate) const LARGEST: f64 = 1e7;

/// Why there can be no such shape. Bends, legs and points count from 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ShapeFault {
    /// There is nothing to bend.
    NoBends,
    /// The angle is not more than 0 and less than 360 degrees.
    AngleOutOfRange {
        /// The bend.
        bend: usize,
        /// What was given.
        angle: Deg,
    },
    /// The radius is not more than 0, or beyond any tube.
    RadiusOutOfRange {
        /// The bend.
        bend: usize,
        /// What was given.
        clr: Mm,
    },
    /// A straight is negative, or beyond any tube.
    StraightOutOfRange {
        /// The bend that it lies before; `None`: it is the last one.
        before: Option<usize>,
        /// What was given.
        length: Mm,
    },
    /// The first bend has a rotation, but nothing to turn against.
    FirstRotation {
        /// What was given.
        rotation: Deg,
    },
    /// There are fewer than three points.
    TooFewPoints {
        /// How many there are.
        points: usize,
    },
    /// The number of radii is neither one nor that of the bends.
    RadiusCount {
        /// How many there are.
        radii: usize,
        /// How many bends there are.
        bends: usize,
    },
    /// A coordinate is beyond any tube.
    PointOutOfRange {
        /// The point.
        point: usize,
    },
    /// A point is the same as the one before it.
    RepeatedPoint {
        /// The later of the two.
        point: usize,
    },
    /// A point lies on the line of its neighbours: a bend of 0 degrees.
    CollinearPoint {
        /// The bend at the point.
        bend: usize,
        /// The point.
        point: usize,
    },
    /// The line turns back on itself: a bend of 180 degrees, which points cannot describe.
    FoldsBack {
        /// The bend at the point.
        bend: usize,
        /// The point.
        point: usize,
    },
    /// The setbacks of the bends at the ends of a leg need more than its length.
    SetbacksOverlap {
        /// The leg.
        leg: usize,
        /// Its length.
        length: Mm,
        /// What the setbacks need.
        setbacks: Mm,
    },
    /// The bend turns by 180 degrees or more, so that points cannot describe it.
    NoIntersection {
        /// The bend.
        bend: usize,
        /// Its angle.
        angle: Deg,
    },
    /// The radius is half the tube's diameter or less, so that the inside of the bend vanishes.
    RadiusInsideTube {
        /// The bend.
        bend: usize,
        /// Its radius.
        clr: Mm,
        /// The tube's outside diameter.
        outer: Mm,
    },
    /// A coil's diameter, pitch or number of turns is out of range.
    NoCoil {
        /// Its diameter.
        mean_diameter: Mm,
        /// Its pitch.
        pitch: Mm,
        /// Its turns.
        turns: f64,
    },
}

impl ShapeFault {
    /// The bend at fault, counted from 1; `None` where the fault belongs to no single bend.
    #[must_use]
    pub fn bend(&self) -> Option<usize> {
        match *self {
            Self::AngleOutOfRange { bend, .. }
            | Self::RadiusOutOfRange { bend, .. }
            | Self::CollinearPoint { bend, .. }
            | Self::FoldsBack { bend, .. }
            | Self::NoIntersection { bend, .. }
            | Self::RadiusInsideTube { bend, .. } => Some(bend),
            Self::StraightOutOfRange { before, .. } => before,
            Self::SetbacksOverlap { leg, .. } => Some(leg),
            Self::FirstRotation { .. } => Some(1),
            _ => None,
        }
    }

    /// What would put it right.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::NoBends => "give at least one bend".to_owned(),
            Self::AngleOutOfRange { .. } => {
                "give the change of direction, more than 0 and less than 360 deg; write full turns as a coil"
                    .to_owned()
            }
            Self::RadiusOutOfRange { .. } => "give the radius of the centreline".to_owned(),
            Self::StraightOutOfRange { .. } => {
                "give the straight between the tangent points, not between the corners".to_owned()
            }
            Self::FirstRotation { .. } => "leave the rotation of the first bend out".to_owned(),
            Self::TooFewPoints { .. } => "give start, one point for each bend, and end".to_owned(),
            Self::RadiusCount { bends: 1, .. } => "give one radius".to_owned(),
            Self::RadiusCount { bends, .. } => format!("give one radius for all bends, or {bends}"),
            Self::PointOutOfRange { .. } => "check the unit of the coordinates".to_owned(),
            Self::RepeatedPoint { .. } | Self::CollinearPoint { .. } => "leave the point out".to_owned(),
            Self::FoldsBack { .. } | Self::NoIntersection { .. } => {
                "write the bend as two of half the angle, with no straight between them".to_owned()
            }
            Self::SetbacksOverlap { length, setbacks, .. } => {
                format!("lengthen the leg by {}, or make the radius smaller", *setbacks - *length)
            }
            Self::RadiusInsideTube { outer, .. } => {
                format!(
                    "make the radius larger than {}; check that it is that of the centreline",
                    *outer / 2.0
                )
            }
            Self::NoCoil { .. } => "give a diameter of more than 0 and up to 10 000 turns".to_owned(),
        }
    }
}

impl fmt::Display for ShapeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoBends => write!(f, "the shape has no bend"),
            Self::AngleOutOfRange { bend, angle } => {
                write!(f, "bend {bend}: the angle is {angle}; it must be more than 0 and less than 360 deg")
            }
            Self::RadiusOutOfRange { bend, clr } => {
                write!(f, "bend {bend}: the radius is {clr}; it must be more than 0 and at most 10 km")
            }
            Self::StraightOutOfRange { before, length } => {
                match before {
                    Some(bend) => write!(f, "bend {bend}: the straight before it")?,
                    None => write!(f, "the straight after the last bend")?,
                }
                write!(f, " is {length}; it must be 0 or more and at most 10 km")
            }
            Self::FirstRotation { rotation } => {
                write!(f, "bend 1: the rotation is {rotation}, but there is no bend before it")
            }
            Self::TooFewPoints { points } => {
                write!(f, "there {}; a bend needs at least 3", counted(*points, "point", "points"))
            }
            Self::RadiusCount { radii, bends } => {
                write!(
                    f,
                    "there {} for {}",
                    counted(*radii, "radius", "radii"),
                    count(*bends, "bend", "bends")
                )
            }
            Self::PointOutOfRange { point } => write!(f, "point {point} is more than 10 km away"),
            Self::RepeatedPoint { point } => write!(f, "point {point} is the same as the point before it"),
            Self::CollinearPoint { bend, point } => {
                write!(f, "bend {bend}: point {point} lies on the line of its neighbours, a bend of 0 deg")
            }
            Self::FoldsBack { bend, point } => {
                write!(f, "bend {bend}: the line turns back on itself at point {point}, a bend of 180 deg")
            }
            Self::SetbacksOverlap { leg, length, setbacks } => {
                write!(
                    f,
                    "bend {leg}: the leg before it is {length}, but the bends at its ends need {setbacks}, "
                )?;
                write!(f, "which leaves a straight of {}", *length - *setbacks)
            }
            Self::NoIntersection { bend, angle } => {
                write!(
                    f,
                    "bend {bend}: the angle is {angle}; at 180 deg and more its centrelines do not meet"
                )
            }
            Self::RadiusInsideTube { bend, clr, outer } => {
                write!(
                    f,
                    "bend {bend}: the radius is {clr}, but half of the tube's diameter is {}",
                    *outer / 2.0
                )
            }
            Self::NoCoil { mean_diameter, pitch, turns } => {
                write!(f, "a coil of {mean_diameter} diameter, {pitch} pitch and {turns} turns cannot be")
            }
        }
    }
}

impl std::error::Error for ShapeFault {}

/// `1 bend`, `2 bends`.
fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

/// `is 1 bend`, `are 2 bends`.
fn counted(number: usize, one: &str, more: &str) -> String {
    format!("{} {}", if number == 1 { "is" } else { "are" }, count(number, one, more))
}

pub(super) fn check_rows(bends: &[Bend], end_straight: Mm) -> Result<(), Vec<ShapeFault>> {
    let mut faults = Vec::new();
    if bends.is_empty() {
        faults.push(ShapeFault::NoBends);
    }
    for (i, row) in bends.iter().enumerate() {
        check_row(i + 1, row, &mut faults);
    }
    check_straight(None, end_straight, &mut faults);
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

fn check_row(bend: usize, row: &Bend, faults: &mut Vec<ShapeFault>) {
    check_straight(Some(bend), row.straight_before, faults);
    let angle = row.angle.degrees();
    if !(SMALLEST_ANGLE..360.0).contains(&angle) {
        faults.push(ShapeFault::AngleOutOfRange { bend, angle: row.angle });
    }
    if row.clr <= Mm::ZERO || row.clr > Mm::new(LARGEST) {
        faults.push(ShapeFault::RadiusOutOfRange { bend, clr: row.clr });
    }
    if bend == 1 && row.rotation != Deg::ZERO {
        faults.push(ShapeFault::FirstRotation { rotation: row.rotation });
    }
}

fn check_straight(before: Option<usize>, length: Mm, faults: &mut Vec<ShapeFault>) {
    if length < Mm::ZERO || length > Mm::new(LARGEST) {
        faults.push(ShapeFault::StraightOutOfRange { before, length });
    }
}

/// The radius of every bend, if points and radii are fit to be converted.
pub(super) fn check_points(points: &[Point], radii: &[Mm]) -> Result<Vec<Mm>, Vec<ShapeFault>> {
    if points.len() < 3 {
        return Err(vec![ShapeFault::TooFewPoints { points: points.len() }]);
    }
    let bends = points.len() - 2;
    let mut faults = Vec::new();
    if radii.len() != 1 && radii.len() != bends {
        faults.push(ShapeFault::RadiusCount { radii: radii.len(), bends });
    }
    for (i, point) in points.iter().enumerate() {
        if point.coordinates().iter().any(|c| c.abs() > Mm::new(LARGEST)) {
            faults.push(ShapeFault::PointOutOfRange { point: i + 1 });
        }
    }
    for (i, &clr) in radii.iter().enumerate() {
        if clr <= Mm::ZERO || clr > Mm::new(LARGEST) {
            faults.push(ShapeFault::RadiusOutOfRange { bend: i + 1, clr });
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(if radii.len() == 1 { vec![radii[0]; bends] } else { radii.to_vec() })
}
