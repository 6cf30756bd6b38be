//! How hard a bend is.
//!
//! - Severity: wall factor over bend factor, `(OD/t)/(CLR/OD)`, as defined on a tooling maker's
//!   page; the bands (no mandrel below 5, plug from 5 to 8, ball mandrel above 8) are common
//!   practice.
//! - Difficulty rating: `(2 Kr + 0.2 OD/t + B/180)/(CLR/OD)` with `Kr = 2` and the angle `B` in
//!   degrees; 7 or less is called simple (W. Q. Tingley III, a rule of thumb).

use crate::rules::Forming;
use elbowroom_units::Deg;

/// Tingley's constant for round tube.
const KR: f64 = 2.0;

/// How likely something is to go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Risk {
    /// Not to be expected.
    Low,
    /// To be watched.
    Watch,
    /// To be expected.
    High,
}

impl Risk {
    /// The word for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Watch => "watch",
            Self::High => "high",
        }
    }
}

/// Wall factor over bend factor.
#[must_use]
pub fn severity(wall_factor: f64, bend_factor: f64) -> f64 {
    wall_factor / bend_factor
}

/// Difficulty rating; 7 or less is called simple.
#[must_use]
pub fn rating(wall_factor: f64, bend_factor: f64, angle: Deg) -> f64 {
    (2.0 * KR + 0.2 * wall_factor + angle.degrees() / 180.0) / bend_factor
}

/// Risk of wrinkles on the inside of a bend of some severity.
#[must_use]
pub fn wrinkling(forming: &Forming, severity: f64) -> Risk {
    if severity > forming.wrinkling_high_severity {
        Risk::High
    } else if severity > forming.wrinkling_watch_severity {
        Risk::Watch
    } else {
        Risk::Low
    }
}
