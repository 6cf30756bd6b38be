//! Wall and stretch of a bend, from the ratio of lengths.
//!
//! With the neutral line at the centreline and no strain around the circumference, a fibre at
//! distance `y` from the centreline is stretched by `y/R` and its wall thinned in the same ratio.
//! Source: W. Q. Tingley III, guide to rotary draw tube bending, bending formulas
//! (`thinning = (Ro - R)/Ro`); the inside by the same mathematics.
//!
//! `bend_factor` is CLR/OD. At 0.5 and less the inside of the bend vanishes: `None`.

use elbowroom_units::{Deg, Mm};

/// Thinning on the outside of the bend in percent of the wall: `100/(2 CLR/OD + 1)`.
#[must_use]
pub fn thinning_percent(bend_factor: f64) -> Option<f64> {
    possible(bend_factor).map(|factor| 100.0 / (2.0 * factor + 1.0))
}

/// Thickening on the inside of the bend in percent of the wall: `100/(2 CLR/OD - 1)`.
#[must_use]
pub fn thickening_percent(bend_factor: f64) -> Option<f64> {
    possible(bend_factor).map(|factor| 100.0 / (2.0 * factor - 1.0))
}

/// Stretch of the outermost fibre in percent: `100 OD/(2 CLR)`; also the measure of longitudinal
/// strain used with the European pressure directive (Sloderbach and Pajak, 2015).
#[must_use]
pub fn elongation_percent(bend_factor: f64) -> Option<f64> {
    possible(bend_factor).map(|factor| 50.0 / factor)
}

/// Wall left on the outside: `t R/(R + OD/2)`.
#[must_use]
pub fn outside_wall(wall: Mm, bend_factor: f64) -> Option<Mm> {
    thinning_percent(bend_factor).map(|percent| wall * (1.0 - percent / 100.0))
}

/// Wall grown on the inside: `t R/(R - OD/2)`.
#[must_use]
pub fn inside_wall(wall: Mm, bend_factor: f64) -> Option<Mm> {
    thickening_percent(bend_factor).map(|percent| wall * (1.0 + percent / 100.0))
}

/// Wall left on the outside where radii are measured to the middle of the wall:
/// `t R/(R + (OD - t)/2)`. A little more than [`outside_wall`].
#[must_use]
pub fn outside_wall_at_middle(wall: Mm, clr: Mm, outer: Mm) -> Mm {
    wall * (clr / (clr + (outer - wall) / 2.0))
}

/// Shift of the neutral axis towards the inside of the bend: `R - sqrt(R^2 - r^2)` with the radius
/// `r` of the middle of the wall, as for ideal-plastic pure bending of a wide strip, whose neutral
/// radius is `sqrt(Ri Ro)` (textbooks on sheet forming, from memory; its use for tube is common
/// practice). Zero if the radius is too tight for a bend.
#[must_use]
pub fn neutral_axis_shift(clr: Mm, outer: Mm, wall: Mm) -> Mm {
    let (bend, middle) = (clr.mm(), (outer - wall).mm() / 2.0);
    if bend <= middle { Mm::ZERO } else { Mm::new(bend - (bend * bend - middle * middle).sqrt()) }
}

/// Length of tube that a bend uses: the arc at the neutral axis moved inwards by `share` of
/// [`neutral_axis_shift`], times the factor found on first articles.
#[must_use]
pub fn length_used(clr: Mm, angle: Deg, shift: Mm, share: f64, arc_factor: f64) -> Mm {
    (clr - shift * share) * (angle.radians() * arc_factor)
}

fn possible(bend_factor: f64) -> Option<f64> {
    (bend_factor > 0.5 && bend_factor.is_finite()).then_some(bend_factor)
}
