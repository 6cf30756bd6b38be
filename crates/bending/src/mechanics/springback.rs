//! Springback by beam theory of an elastic, ideally plastic tube.
//!
//! When the bending moment `M` is taken off, a bend of arc length `R theta` springs back by
//! `M R theta/(E I)`, the share `k = M R/(E I)` of its angle (engineering beam theory).
//! - With the whole section yielding, `M = Sy Z`: [`plastic_share`].
//! - For a thin tube whose outer fibres yield and whose middle stays elastic, with
//!   `s = Sy R/(E r)` and the radius `r` of the middle of the wall,
//!   `k = (2/pi)(asin s + s sqrt(1 - s^2))` for `s < 1`, and 1 (nothing stays bent) above:
//!   [`share`]. It is the tube's counterpart of the cubic formula for sheet, derived by
//!   integrating the elastic-plastic stress over the ring; for small `s` it tends to `4 s/pi`.
//!
//! Hardening and flattening are left out, so both are lower estimates; 1 to 5 degrees on 90 are
//! usual for steel (common practice).

use crate::material::Material;
use crate::section::Section;
use crate::tube::Tube;
use elbowroom_units::{Deg, Mm};
use std::f64::consts::FRAC_2_PI;

/// Share of the angle that springs back, the whole section yielding: `Sy Z R/(E I)`. Valid for
/// radii far below [`largest_radius`].
#[must_use]
pub fn plastic_share(tube: &Tube, material: &Material, clr: Mm) -> f64 {
    let section = Section::of(tube);
    material.yield_mpa * section.plastic_mm3 * clr.mm() / (material.modulus_mpa * section.inertia_mm4)
}

/// Share of the angle that springs back, 0 to 1, at any radius.
#[must_use]
pub fn share(tube: &Tube, material: &Material, clr: Mm) -> f64 {
    let middle = (tube.outer() - tube.wall()) / 2.0;
    share_of_ratio(material.yield_mpa * (clr / middle) / material.modulus_mpa)
}

/// The same from `s = Sy R/(E r)`.
#[must_use]
pub fn share_of_ratio(s: f64) -> f64 {
    if s >= 1.0 { 1.0 } else { FRAC_2_PI * (s.asin() + s * (1.0 - s * s).sqrt()) }
}

/// Radius above which nothing stays bent: `E (OD/2)/Sy`.
#[must_use]
pub fn largest_radius(tube: &Tube, material: &Material) -> Mm {
    tube.outer() / 2.0 * (material.modulus_mpa / material.yield_mpa)
}

/// Angle to bend to, so that `target` remains: `target/(1 - k)`. `None` if nothing stays bent.
#[must_use]
pub fn loaded_angle(target: Deg, share: f64) -> Option<Deg> {
    (share < 1.0).then(|| target / (1.0 - share))
}

/// Radius of the bend after release from a die of radius `die`: `R/(1 - k)`. `None` if nothing
/// stays bent.
#[must_use]
pub fn released_radius(die: Mm, share: f64) -> Option<Mm> {
    (share < 1.0).then(|| die / (1.0 - share))
}
