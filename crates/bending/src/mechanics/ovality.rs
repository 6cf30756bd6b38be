//! Roundness of a bend.
//!
//! Two measures are in use and differ a little, so every report must name its own: with the
//! nominal diameter as base, `100 (Dmax - Dmin)/Dnom` (ASME B16.49-2017), which this program uses;
//! and with the mean one, `100 * 2 (Dmax - Dmin)/(Dmax + Dmin)` (the style of EN 13480-4, from
//! memory).
//!
//! The estimate `a * OD/CLR * (wall factor/20)^b`, not less than a floor, has the form of a U-tube
//! producer's allowance, 20 % x OD/CLR but not less than 5 %; its dependence on the wall and its
//! coefficients for each process are common practice and stand in `config/processes.toml`.

use crate::rules::Forming;
use elbowroom_units::Mm;

/// Ovality in percent of the nominal diameter.
#[must_use]
pub fn of_nominal_percent(largest: Mm, smallest: Mm, nominal: Mm) -> f64 {
    100.0 * ((largest - smallest) / nominal)
}

/// Ovality in percent of the mean of largest and smallest diameter.
#[must_use]
pub fn of_mean_percent(largest: Mm, smallest: Mm) -> f64 {
    200.0 * ((largest - smallest) / (largest + smallest))
}

/// Allowance of one producer of U-tubes, in percent of the nominal diameter: `20 OD/CLR`, at least 5.
#[must_use]
pub fn u_tube_allowance_percent(bend_factor: f64) -> f64 {
    (20.0 / bend_factor).max(5.0)
}

/// Ovality to expect, in percent of the nominal diameter.
#[must_use]
pub fn expected_percent(forming: &Forming, bend_factor: f64, wall_factor: f64) -> f64 {
    let by_wall = (wall_factor / 20.0).powf(forming.ovality_wall_exponent);
    let estimate = forming.ovality_percent_at_1d / bend_factor * by_wall;
    // An oval of more than 100 % is no tube any more, and rules a shop typed may overflow.
    if estimate.is_nan() { 100.0 } else { estimate.max(forming.ovality_floor_percent).min(100.0) }
}
