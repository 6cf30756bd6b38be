//! How the bends of a shape lie to each other: in one plane or not, to which side, symmetrical or
//! not, how many radii.

use crate::shape::{Bend, Shape};
use elbowroom_units::{Deg, Mm};

/// To which side a bend of a planar shape turns, compared with the first one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The same side as the first bend.
    Same,
    /// The opposite side.
    Opposite,
}

/// How near two lengths or angles must be to count as the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// For lengths and radii.
    pub length: Mm,
    /// For angles.
    pub angle: Deg,
}

/// The bends (counted from 1) that leave the plane of the bend before them.
#[must_use]
pub fn bends_out_of_plane(shape: &Shape, tolerance: Tolerance) -> Vec<usize> {
    let leaves = |bend: &Bend| !in_plane(bend.rotation, tolerance);
    shape.bends().iter().enumerate().filter(|(_, bend)| leaves(bend)).map(|(i, _)| i + 1).collect()
}

/// The side of every bend; `None` if the bends do not lie in one plane.
#[must_use]
pub fn sides(shape: &Shape, tolerance: Tolerance) -> Option<Vec<Side>> {
    let mut side = Side::Same;
    shape
        .bends()
        .iter()
        .map(|bend| {
            if !in_plane(bend.rotation, tolerance) {
                return None;
            }
            if bend.rotation.abs() > Deg::new(90.0) {
                side = side.other();
            }
            Some(side)
        })
        .collect()
}

impl Side {
    fn other(self) -> Self {
        match self {
            Self::Same => Self::Opposite,
            Self::Opposite => Self::Same,
        }
    }
}

fn in_plane(rotation: Deg, tolerance: Tolerance) -> bool {
    rotation.abs() <= tolerance.angle || Deg::new(180.0) - rotation.abs() <= tolerance.angle
}

/// Whether a planar shape is the mirror image of itself about its middle, so that two heads can
/// bend both halves at once.
#[must_use]
pub fn is_symmetrical(shape: &Shape, tolerance: Tolerance) -> bool {
    let Some(sides) = sides(shape, tolerance) else { return false };
    let straights: Vec<Mm> = shape.straights().collect();
    let bends = shape.bends();
    let n = bends.len();
    let straights_match = (0..=n).all(|i| straights[i].near(straights[n - i], tolerance.length));
    let bends_match = (0..n).all(|i| {
        let (a, b) = (&bends[i], &bends[n - 1 - i]);
        a.clr.near(b.clr, tolerance.length)
            && (a.angle - b.angle).abs() <= tolerance.angle
            && sides[i] == sides[n - 1 - i]
    });
    straights_match && bends_match
}

/// The different radii of a shape, in the order in which they first occur.
#[must_use]
pub fn radii(shape: &Shape, tolerance: Tolerance) -> Vec<Mm> {
    let mut radii: Vec<Mm> = Vec::new();
    for bend in shape.bends() {
        if !radii.iter().any(|r| r.near(bend.clr, tolerance.length)) {
            radii.push(bend.clr);
        }
    }
    radii
}

/// Whether the shape is a coil: arcs of one radius without straights between them, each turned by
/// the same small amount against the one before, so that one setting of three rolls makes it.
#[must_use]
pub fn is_coil(shape: &Shape, tolerance: Tolerance) -> bool {
    let Some(second) = shape.bends().get(1) else { return false };
    let alike = |bend: &Bend| {
        bend.straight_before <= tolerance.length
            && bend.clr.near(second.clr, tolerance.length)
            && (bend.rotation - second.rotation).abs() <= tolerance.angle
    };
    second.rotation.abs() < Deg::new(90.0)
        && shape.bends()[0].clr.near(second.clr, tolerance.length)
        && shape.bends()[1..].iter().all(alike)
}
