//! What codes ask of bends in pressure piping, for orientation only: the governing code and a
//! licensed engineer decide, never these figures.

/// Wall before bending as a multiple of the least wall required, by bend radius in nominal
/// diameters (for pipe: nominal size, not outside diameter): 1.25 at 3, 1.14 at 4, 1.08 at 5, 1.06
/// at 6 and more, straight lines between. `None` below 3, where the table says nothing.
///
/// Source: ASME B31.1 table 102.4.5, the same in UFC 4-159-01 table 5-4.
#[must_use]
pub fn wall_multiple(radius_in_diameters: f64) -> Option<f64> {
    const TABLE: [(f64, f64); 4] = [(3.0, 1.25), (4.0, 1.14), (5.0, 1.08), (6.0, 1.06)];
    if radius_in_diameters >= 6.0 {
        return Some(1.06);
    }
    TABLE.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&radius_in_diameters)).map(|pair| {
        let share = (radius_in_diameters - pair[0].0) / (pair[1].0 - pair[0].0);
        pair[0].1 + share * (pair[1].1 - pair[0].1)
    })
}

/// Factor `I` on the inside of a bend, by centreline radius over outside diameter:
/// `(4 R/D - 1)/(4 R/D - 2)`. Source: ASME B31.3-2016 para 304.2.1, equation 3d.
#[must_use]
pub fn inside_factor(bend_factor: f64) -> Option<f64> {
    (bend_factor > 0.5).then(|| (4.0 * bend_factor - 1.0) / (4.0 * bend_factor - 2.0))
}

/// Factor `I` on the outside of a bend: `(4 R/D + 1)/(4 R/D + 2)`. Source: ASME B31.3-2016 para
/// 304.2.1, equation 3e.
#[must_use]
pub fn outside_factor(bend_factor: f64) -> f64 {
    (4.0 * bend_factor + 1.0) / (4.0 * bend_factor + 2.0)
}

/// Wall before bending of a heat exchanger's U-tube over the wall wanted: `1 + OD/(4 CLR)`.
/// Source: TEMA RCB-2.31 as quoted in notes on U-tubes.
#[must_use]
pub fn u_tube_wall_factor(bend_factor: f64) -> f64 {
    1.0 + 1.0 / (4.0 * bend_factor)
}

/// How much a bend may be out of round by one code or custom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OvalityLimit {
    /// What it holds for.
    pub holds_for: &'static str,
    /// Most ovality in percent.
    pub percent: f64,
    /// Where it is written.
    pub source: &'static str,
}

/// Limits of ovality that a part may stand under, to compare with the ovality expected. Their bases
/// differ a little (nominal diameter, or the average measured before bending).
pub const OVALITY_LIMITS: [OvalityLimit; 5] = [
    OvalityLimit {
        holds_for: "ferrous pipe of schedule 40 and heavier, radius of 5 nominal diameters and more",
        percent: 8.0,
        source: "UFC 4-159-01; ASME B31.1 and PFI ES-24 from memory",
    },
    OvalityLimit {
        holds_for: "process piping under internal pressure",
        percent: 8.0,
        source: "ASME B31.3 para 332.2.1, from memory",
    },
    OvalityLimit {
        holds_for: "process piping under external pressure",
        percent: 3.0,
        source: "ASME B31.3 para 332.2.1, from memory",
    },
    OvalityLimit {
        holds_for: "U-tubes of heat exchangers",
        percent: 10.0,
        source: "TEMA RCB-2.31 as quoted in notes on U-tubes",
    },
    OvalityLimit { holds_for: "pipelines that must pass a pig", percent: 5.0, source: "common practice" },
];

/// Smallest bend factor of copper and copper alloy piping on ships. Source: class rules, excerpt.
pub const SHIP_COPPER_BEND_FACTOR: f64 = 3.0;
