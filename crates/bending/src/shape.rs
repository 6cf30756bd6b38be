//! The bent shape of a part: straights and bends in their order.

use crate::geometry::{self, Point, arc};
use crate::tube::Tube;
use elbowroom_units::{Deg, Mm};

mod fault;

pub(crate) use fault::LARGEST;
pub use fault::ShapeFault;
use fault::{check_points, check_rows};

/// One bend of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Straight between the end of the bend before (or the tube's start) and this one's start.
    pub straight_before: Mm,
    /// Turn of the bend plane since the bend before, right-handed along the tube; 0 for the first.
    pub rotation: Deg,
    /// Radius of the tube's centreline.
    pub clr: Mm,
    /// Change of direction; more than 0.
    pub angle: Deg,
}

/// A bent shape that can exist as a line in space: at least one bend; every angle more than 0 and
/// less than 360 degrees; every radius more than 0; no straight less than 0; rotations more than
/// -180 to 180 degrees.
///
/// Whether a tube of some diameter can take it is another question: [`Shape::faults_with`].
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    bends: Vec<Bend>,
    end_straight: Mm,
}

impl Shape {
    /// A shape from its rows. Rotations are brought into the range above -180 to 180 degrees.
    ///
    /// # Errors
    /// Every row that is impossible, with its bend.
    pub fn from_rows(mut bends: Vec<Bend>, end_straight: Mm) -> Result<Self, Vec<ShapeFault>> {
        check_rows(&bends, end_straight)?;
        for bend in &mut bends {
            bend.rotation = geometry::half_open(bend.rotation);
        }
        Ok(Self { bends, end_straight })
    }

    /// A shape from the points where its centrelines meet, start and end included, with one radius
    /// for all bends or one for each.
    ///
    /// # Errors
    /// Every point, radius or leg that makes it impossible, with its bend.
    pub fn from_points(points: &[Point], radii: &[Mm]) -> Result<Self, Vec<ShapeFault>> {
        let radii = check_points(points, radii)?;
        let (bends, end_straight) = geometry::rows_from_points(points, &radii)?;
        Self::from_rows(bends, end_straight)
    }

    /// The bends, from the tube's start.
    #[must_use]
    pub fn bends(&self) -> &[Bend] {
        &self.bends
    }

    /// Straight after the last bend.
    #[must_use]
    pub fn end_straight(&self) -> Mm {
        self.end_straight
    }

    /// Every straight, from start to end: one more than there are bends.
    pub fn straights(&self) -> impl Iterator<Item = Mm> + '_ {
        self.bends.iter().map(|bend| bend.straight_before).chain([self.end_straight])
    }

    /// The points of the shape in canonical placement (see [`crate::geometry`]).
    ///
    /// # Errors
    /// If a bend turns by 180 degrees or more, where the centrelines do not meet: see
    /// [`Shape::with_wide_bends_halved`].
    pub fn points(&self) -> Result<Vec<Point>, ShapeFault> {
        geometry::points_from_rows(&self.bends, self.end_straight)
    }

    /// The same line in space with every bend of 180 degrees or more written as two of half the
    /// angle without a straight between them.
    #[must_use]
    pub fn with_wide_bends_halved(&self) -> Self {
        let mut bends = Vec::with_capacity(self.bends.len());
        for bend in &self.bends {
            if bend.angle < Deg::new(180.0) {
                bends.push(*bend);
            } else {
                let half = Bend { angle: bend.angle / 2.0, ..*bend };
                bends.push(half);
                bends.push(Bend { straight_before: Mm::ZERO, rotation: Deg::ZERO, ..half });
            }
        }
        Self { bends, end_straight: self.end_straight }
    }

    /// Length of the centreline: straights and arcs.
    #[must_use]
    pub fn developed_length(&self) -> Mm {
        self.straights().sum::<Mm>() + self.bends.iter().map(Bend::arc_length).sum()
    }

    /// The same part seen from its other end: rows in reverse order, rotations with their sign.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let straights: Vec<Mm> = self.straights().collect();
        let count = self.bends.len();
        let bends = (0..count)
            .map(|i| Bend {
                straight_before: straights[count - i],
                // The rotation between two bends is the same from either side.
                rotation: if i == 0 { Deg::ZERO } else { self.bends[count - i].rotation },
                ..self.bends[count - 1 - i]
            })
            .collect();
        Self { bends, end_straight: straights[0] }
    }

    /// The mirror image: every rotation changes its sign. Also the rows for a machine that counts
    /// rotations left-handed.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let mirror = |bend: &Bend| Bend { rotation: geometry::half_open(-bend.rotation), ..*bend };
        Self { bends: self.bends.iter().map(mirror).collect(), end_straight: self.end_straight }
    }

    /// Whether some bend begins where the one before ends: an arc of changing radius or plane.
    #[must_use]
    pub fn has_compound_arc(&self) -> bool {
        self.bends.iter().skip(1).any(|bend| bend.straight_before == Mm::ZERO)
    }

    /// The faults that this shape has in a tube: radii so tight that the inside of the bend
    /// vanishes.
    #[must_use]
    pub fn faults_with(&self, tube: &Tube) -> Vec<ShapeFault> {
        let outer = tube.outer();
        let tight = |(i, bend): (usize, &Bend)| {
            (bend.clr <= outer / 2.0).then_some(ShapeFault::RadiusInsideTube {
                bend: i + 1,
                clr: bend.clr,
                outer,
            })
        };
        self.bends.iter().enumerate().filter_map(tight).collect()
    }
}

impl Bend {
    /// Length of its centreline arc.
    #[must_use]
    pub fn arc_length(&self) -> Mm {
        arc::length(self.clr, self.angle)
    }
}
