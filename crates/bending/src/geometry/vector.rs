//! Points and vectors in space.

use elbowroom_units::Mm;
use std::ops::{Add, Mul, Neg, Sub};

/// A place in space.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Along the first leg of a shape in canonical placement.
    pub x: Mm,
    /// Towards the side to which the first bend turns.
    pub y: Mm,
    /// Along the normal of the first bend's plane.
    pub z: Mm,
}

impl Point {
    /// The point at `x`, `y`, `z` millimetres.
    ///
    /// # Panics
    /// If a coordinate is not finite (see [`Mm::new`]).
    #[must_use]
    pub fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x: Mm::new(x), y: Mm::new(y), z: Mm::new(z) }
    }

    /// The coordinates in their order.
    #[must_use]
    pub fn coordinates(self) -> [Mm; 3] {
        [self.x, self.y, self.z]
    }

    /// The distance to another point.
    #[must_use]
    pub fn distance(self, other: Self) -> Mm {
        Mm::new((other - self).norm())
    }
}

/// A direction with a length, in millimetres where it is a difference of points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vector {
    /// Component along X.
    pub x: f64,
    /// Component along Y.
    pub y: f64,
    /// Component along Z.
    pub z: f64,
}

impl Vector {
    /// Along +X.
    pub const X: Self = Self { x: 1.0, y: 0.0, z: 0.0 };
    /// Along +Z.
    pub const Z: Self = Self { x: 0.0, y: 0.0, z: 1.0 };

    /// The components in their order.
    #[must_use]
    pub fn components(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Vector product.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self {
            x: self.y * other.z - self.z * other.y,
            y: self.z * other.x - self.x * other.z,
            z: self.x * other.y - self.y * other.x,
        }
    }

    /// Length.
    #[must_use]
    pub fn norm(self) -> f64 {
        self.x.hypot(self.y).hypot(self.z)
    }

    /// The vector of length 1 in the same direction; `None` for a vector of no length.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let norm = self.norm();
        (norm > 0.0 && norm.is_finite()).then(|| self * (1.0 / norm))
    }

    /// The vector turned about the unit vector `axis`, to which it is perpendicular, right-handed
    /// by `radians`.
    #[must_use]
    pub fn turned_about(self, axis: Self, radians: f64) -> Self {
        self * radians.cos() + axis.cross(self) * radians.sin()
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector { x: self.x.mm() - other.x.mm(), y: self.y.mm() - other.y.mm(), z: self.z.mm() - other.z.mm() }
    }
}

impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, step: Vector) -> Self {
        Self::new(self.x.mm() + step.x, self.y.mm() + step.y, self.z.mm() + step.z)
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { x: self.x + other.x, y: self.y + other.y, z: self.z + other.z }
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Vector {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self { x: self.x * factor, y: self.y * factor, z: self.z * factor }
    }
}
