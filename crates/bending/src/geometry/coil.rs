//! Coils.
//!
//! A helix of mean radius `r` and pitch `p` has, with `b = p/(2 pi)`, curvature `r/(r^2 + b^2)`
//! and torsion `b/(r^2 + b^2)` everywhere (mathematics), and its length is
//! `turns sqrt((pi D)^2 + p^2)`. As a shape it is a chain of short arcs without straights, each
//! turned against the one before by the torsion over its length.

use crate::shape::{Bend, LARGEST, Shape, ShapeFault};
use elbowroom_units::{Deg, Mm};
use std::f64::consts::{PI, TAU};

/// A coil around a straight axis. Its diameter is more than a micrometre and, like its pitch, at most
/// 10 km; its turns are at least a thousandth and at most ten thousand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    mean_diameter: Mm,
    pitch: Mm,
    turns: f64,
}

/// Arcs of one turn: short enough that their chain follows the helix within a hundredth of its radius.
const ARCS_PER_TURN: f64 = 12.0;

impl Coil {
    /// A coil whose centreline has the diameter `mean_diameter`, seen along the axis, and advances
    /// by `pitch` in each of its `turns`, which need not be whole. A pitch of 0 is a flat ring.
    ///
    /// # Errors
    /// If diameter, pitch or turns are out of range.
    pub fn new(mean_diameter: Mm, pitch: Mm, turns: f64) -> Result<Self, ShapeFault> {
        let possible = mean_diameter > Mm::new(1e-3)
            && mean_diameter.max(pitch.abs()) <= Mm::new(LARGEST)
            && (1e-3..=1e4).contains(&turns);
        if possible {
            Ok(Self { mean_diameter, pitch, turns })
        } else {
            Err(ShapeFault::NoCoil { mean_diameter, pitch, turns })
        }
    }

    /// Length of the centreline: `turns sqrt((pi D)^2 + p^2)`.
    #[must_use]
    pub fn length(&self) -> Mm {
        Mm::new(self.turns * self.turn_length())
    }

    /// Radius of curvature of the centreline: `(r^2 + b^2)/r`, a little more than half the diameter.
    #[must_use]
    pub fn clr(&self) -> Mm {
        let (r, b) = self.radius_and_advance();
        Mm::new((r * r + b * b) / r)
    }

    /// The coil as a shape, with straights at its ends.
    ///
    /// # Errors
    /// If a straight is negative, or the coil of such a pitch is hardly bent at all.
    pub fn shape(&self, first_straight: Mm, end_straight: Mm) -> Result<Shape, Vec<ShapeFault>> {
        let arcs = (self.turns * ARCS_PER_TURN).ceil().max(1.0);
        let (r, b) = self.radius_and_advance();
        let step = self.length().mm() / arcs;
        let arc = Bend {
            straight_before: Mm::ZERO,
            rotation: Deg::from_radians(step * b / (r * r + b * b)),
            clr: self.clr(),
            angle: Deg::from_radians(step * r / (r * r + b * b)),
        };
        let mut bends = vec![arc; arcs as usize];
        bends[0] = Bend { straight_before: first_straight, rotation: Deg::ZERO, ..arc };
        Shape::from_rows(bends, end_straight)
    }

    fn turn_length(&self) -> f64 {
        (PI * self.mean_diameter.mm()).hypot(self.pitch.mm())
    }

    fn radius_and_advance(&self) -> (f64, f64) {
        (self.mean_diameter.mm() / 2.0, self.pitch.mm() / TAU)
    }
}
