//! The tube's cross section.
//!
//! Thick-walled circular tube, mathematics: with outside diameter `D` and bore `d`,
//! area `pi/4 (D^2 - d^2)`, second moment `I = pi/64 (D^4 - d^4)`, elastic modulus `S = 2 I/D`,
//! plastic modulus `Z = (D^3 - d^3)/6`. For a thin wall `Z/S` tends to `4/pi`, for a bar to
//! `16/(3 pi)`.

use crate::material::Material;
use crate::tube::Tube;
use elbowroom_units::Mm;
use std::f64::consts::PI;

/// Figures of a cross section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Area of metal in mm2.
    pub area_mm2: f64,
    /// Second moment of area in mm4.
    pub inertia_mm4: f64,
    /// Elastic section modulus in mm3.
    pub elastic_mm3: f64,
    /// Plastic section modulus in mm3.
    pub plastic_mm3: f64,
}

impl Section {
    /// The section of `tube`.
    #[must_use]
    pub fn of(tube: &Tube) -> Self {
        let (outer, inner) = (tube.outer().mm(), tube.inner().mm());
        let inertia = PI / 64.0 * (outer.powi(4) - inner.powi(4));
        Self {
            area_mm2: PI / 4.0 * (outer.powi(2) - inner.powi(2)),
            inertia_mm4: inertia,
            elastic_mm3: 2.0 * inertia / outer,
            plastic_mm3: (outer.powi(3) - inner.powi(3)) / 6.0,
        }
    }

    /// Plastic over elastic modulus.
    #[must_use]
    pub fn shape_factor(&self) -> f64 {
        self.plastic_mm3 / self.elastic_mm3
    }
}

/// Moment at which the whole section yields, in kN m: yield strength times plastic modulus.
#[must_use]
pub fn plastic_moment_kn_m(tube: &Tube, material: &Material) -> f64 {
    // 1 MPa mm3 = 1 N mm = 1e-6 kN m.
    material.yield_mpa * Section::of(tube).plastic_mm3 * 1e-6
}

/// Mass of a metre of tube in kg: density times area.
///
/// For steel of 7850 kg/m3 this is the handbooks' `0.02466 (D - t) t`.
#[must_use]
pub fn kg_per_metre(tube: &Tube, material: &Material) -> f64 {
    material.density_kg_m3 * Section::of(tube).area_mm2 * 1e-6
}

/// Mass of a length of tube in kg.
#[must_use]
pub fn mass_kg(tube: &Tube, material: &Material, length: Mm) -> f64 {
    kg_per_metre(tube, material) * length.metres()
}
