//! A shape's centreline in space: exact straights and arcs, corner points for drawing, its box.

use super::{Point, Vector};
use crate::shape::Shape;
use elbowroom_units::{Deg, Mm};
use std::f64::consts::PI;

/// One stretch of a centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub start: Point,
    /// Direction there, of length 1.
    pub along: Vector,
    /// Its length along the tube.
    pub length: Mm,
    /// How it is curved; `None` for a straight.
    pub curve: Option<Curve>,
}

/// How an arc is curved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Which bend of the shape it is, counted from 1.
    pub bend: usize,
    /// Radius.
    pub clr: Mm,
    /// Angle.
    pub angle: Deg,
    /// Normal of the bend plane, of length 1; the bend turns right-handed about it.
    pub normal: Vector,
}

impl Stretch {
    /// The place at `share` (0 to 1) of its length.
    #[must_use]
    pub fn at(&self, share: f64) -> Point {
        match &self.curve {
            None => self.start + self.along * (self.length.mm() * share),
            Some(curve) => {
                let (sin, cos) = (curve.angle.radians() * share).sin_cos();
                let r = curve.clr.mm();
                self.start + self.along * (r * sin) + curve.left(self.along) * (r * (1.0 - cos))
            }
        }
    }

    /// The direction at `share` (0 to 1) of its length.
    #[must_use]
    pub fn direction_at(&self, share: f64) -> Vector {
        match &self.curve {
            None => self.along,
            Some(curve) => self.along.turned_about(curve.normal, curve.angle.radians() * share),
        }
    }

    /// Where it ends.
    #[must_use]
    pub fn end(&self) -> Point {
        self.at(1.0)
    }

    /// Centre of the arc; `None` for a straight.
    #[must_use]
    pub fn centre(&self) -> Option<Point> {
        self.curve.map(|curve| self.start + curve.left(self.along) * curve.clr.mm())
    }

    /// Corner points of equal chords that leave the stretch by no more than `sagitta`, ends included.
    pub(crate) fn corners(&self, sagitta: Mm) -> impl ExactSizeIterator<Item = Point> + '_ {
        let chords = self.chords(sagitta);
        (0..chords + 1).map(move |i| self.at(i as f64 / chords as f64))
    }

    /// Number of equal chords that leave the arc by no more than `sagitta`.
    fn chords(&self, sagitta: Mm) -> usize {
        let Some(curve) = &self.curve else { return 1 };
        // Rise of a chord over an angle a: R (1 - cos(a/2)).
        let half = (1.0 - sagitta / curve.clr).clamp(0.0, 1.0).acos();
        let chords = (curve.angle.radians() / (2.0 * half)).ceil();
        (chords as usize).clamp(1, MOST_CHORDS)
    }

    /// The shares at which a coordinate is extreme, ends included.
    fn extremes(&self, axis: usize) -> impl Iterator<Item = f64> {
        let (mut shares, mut count) = ([0.0, 1.0, 0.0, 0.0, 0.0, 0.0], 2);
        if let Some(curve) = &self.curve {
            let (u, left) = (self.along.components()[axis], curve.left(self.along).components()[axis]);
            // The coordinate's slope is u cos(a) + left sin(a), which vanishes twice a turn.
            let first = (-u).atan2(left);
            for turn in -1..=2 {
                let share = (first + f64::from(turn) * PI) / curve.angle.radians();
                if share > 0.0 && share < 1.0 {
                    shares[count] = share;
                    count += 1;
                }
            }
        }
        shares.into_iter().take(count)
    }
}

impl Curve {
    /// Direction from the start of the arc to its centre.
    fn left(&self, along: Vector) -> Vector {
        self.normal.cross(along)
    }
}

/// More chords in one arc serve nobody.
const MOST_CHORDS: usize = 720;

/// A shape's centreline in canonical placement.
#[derive(Clone, Debug, PartialEq)]
pub struct Centreline {
    stretches: Vec<Stretch>,
}

impl Centreline {
    /// The centreline of `shape`. Straights of no length are left out.
    #[must_use]
    pub fn of(shape: &Shape) -> Self {
        let mut stretches = Vec::with_capacity(2 * shape.bends().len() + 1);
        let (mut at, mut along, mut normal) = (Point::default(), Vector::X, Vector::Z);
        for (i, bend) in shape.bends().iter().enumerate() {
            at = add(&mut stretches, straight(at, along, bend.straight_before));
            normal = normal.turned_about(along, bend.rotation.radians());
            let curve = Curve { bend: i + 1, clr: bend.clr, angle: bend.angle, normal };
            at = add(
                &mut stretches,
                Stretch { start: at, along, length: bend.arc_length(), curve: Some(curve) },
            );
            along = along.turned_about(normal, bend.angle.radians());
        }
        add(&mut stretches, straight(at, along, shape.end_straight()));
        Self { stretches }
    }

    /// Its stretches from start to end.
    #[must_use]
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// Corner points of a chain of straight lines that leaves the centreline by no more than
    /// `sagitta`, for drawing.
    #[must_use]
    pub fn polyline(&self, sagitta: Mm) -> Vec<Point> {
        let mut points: Vec<Point> = self.stretches.first().map(|first| first.start).into_iter().collect();
        for stretch in &self.stretches {
            points.extend(stretch.corners(sagitta).skip(1));
        }
        points
    }

    /// Where to write the number of each bend: the middle of its arc.
    #[must_use]
    pub fn bend_middles(&self) -> Vec<(usize, Point)> {
        self.stretches.iter().filter_map(|s| s.curve.map(|curve| (curve.bend, s.at(0.5)))).collect()
    }

    /// Smallest box along the axes of the canonical placement that holds the centreline: lowest
    /// and highest corner.
    #[must_use]
    pub fn bounding_box(&self) -> (Point, Point) {
        self.surface_box(Mm::ZERO)
    }

    /// Smallest box along the axes of the canonical placement that holds a tube of diameter
    /// `outer`: lowest and highest corner.
    ///
    /// A round section across the direction `d` reaches `r sqrt(1 - d^2)` along an axis. Along an
    /// arc of a radius larger than `r` that sum is extreme only where the centreline is, or at the
    /// arc's ends (mathematics).
    #[must_use]
    pub fn surface_box(&self, outer: Mm) -> (Point, Point) {
        let mut low = [Mm::new(f64::MAX); 3];
        let mut high = [Mm::new(f64::MIN); 3];
        for stretch in &self.stretches {
            for axis in 0..3 {
                for share in stretch.extremes(axis) {
                    let value = stretch.at(share).coordinates()[axis];
                    let along = stretch.direction_at(share).components()[axis];
                    let reach = outer / 2.0 * (1.0 - along * along).max(0.0).sqrt();
                    low[axis] = low[axis].min(value - reach);
                    high[axis] = high[axis].max(value + reach);
                }
            }
        }
        (corner(low), corner(high))
    }
}

fn corner([x, y, z]: [Mm; 3]) -> Point {
    Point { x, y, z }
}

fn straight(start: Point, along: Vector, length: Mm) -> Stretch {
    Stretch { start, along, length, curve: None }
}

/// Adds a stretch unless it has no length, and says where it ends.
fn add(stretches: &mut Vec<Stretch>, stretch: Stretch) -> Point {
    let end = stretch.end();
    if stretch.length > Mm::ZERO {
        stretches.push(stretch);
    }
    end
}
