//! One bend: arc, setback, chord and friends.
//!
//! Mathematics of the circle; `R` is the centreline radius, `theta` the bend angle.

use elbowroom_units::{Deg, Mm};

/// Length of the centreline arc: `R theta`.
#[must_use]
pub fn length(clr: Mm, angle: Deg) -> Mm {
    clr * angle.radians()
}

/// Setback, from tangent point to intersection of the centrelines: `R tan(theta/2)`.
/// `None` for 180 degrees and more, where the centrelines do not meet ahead.
#[must_use]
pub fn setback(clr: Mm, angle: Deg) -> Option<Mm> {
    (angle < Deg::new(180.0)).then(|| clr * (angle.radians() / 2.0).tan())
}

/// Chord between the tangent points: `2 R sin(theta/2)`.
#[must_use]
pub fn chord(clr: Mm, angle: Deg) -> Mm {
    clr * (2.0 * (angle.radians() / 2.0).sin())
}

/// External distance, from the intersection of the centrelines to the arc: `R (1/cos(theta/2) - 1)`.
/// `None` for 180 degrees and more.
#[must_use]
pub fn external(clr: Mm, angle: Deg) -> Option<Mm> {
    (angle < Deg::new(180.0)).then(|| clr * (1.0 / (angle.radians() / 2.0).cos() - 1.0))
}

/// Rise (middle ordinate), from the chord to the arc: `R (1 - cos(theta/2))`.
#[must_use]
pub fn rise(clr: Mm, angle: Deg) -> Mm {
    clr * (1.0 - (angle.radians() / 2.0).cos())
}

/// Gain: two setbacks less the arc, the tube saved by rounding the corner.
/// `None` for 180 degrees and more.
#[must_use]
pub fn gain(clr: Mm, angle: Deg) -> Option<Mm> {
    setback(clr, angle).map(|setback| setback * 2.0 - length(clr, angle))
}

/// Radius of an arc from its chord and rise, as measured on a finished part:
/// `(c^2/4 + h^2)/(2 h)`. `None` if the rise is not positive.
#[must_use]
pub fn radius_from_chord_and_rise(chord: Mm, rise: Mm) -> Option<Mm> {
    let (c, h) = (chord.mm(), rise.mm());
    (h > 0.0).then(|| Mm::new((c * c / 4.0 + h * h) / (2.0 * h)))
}

/// Centreline radius of a bend dimensioned to its inside.
#[must_use]
pub fn clr_from_inside(inside: Mm, outer_diameter: Mm) -> Mm {
    inside + outer_diameter / 2.0
}

/// Radius of the inside of a bend.
#[must_use]
pub fn inside_radius(clr: Mm, outer_diameter: Mm) -> Mm {
    clr - outer_diameter / 2.0
}

/// Radius of the outside of a bend.
#[must_use]
pub fn outside_radius(clr: Mm, outer_diameter: Mm) -> Mm {
    clr + outer_diameter / 2.0
}
