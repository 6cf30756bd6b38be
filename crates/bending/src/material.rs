//! What tubes are made of.

/// A tube material with the figures that bending needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Name in files, unique.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Yield strength in MPa.
    pub yield_mpa: f64,
    /// Tensile strength in MPa.
    pub tensile_mpa: f64,
    /// Modulus of elasticity in MPa.
    pub modulus_mpa: f64,
    /// Elongation at break in percent.
    pub elongation_percent: f64,
    /// Density in kg/m3.
    pub density_kg_m3: f64,
    /// Where the figures come from.
    pub source: String,
}
