//! The geometry of a bent tube's centreline.
//!
//! # Conventions
//! A part is described in two ways that say the same:
//! - **points**: the start, one point for each bend where the two neighbouring centrelines meet,
//!   the end;
//! - **rows**: for each bend the straight before it (between tangent points), the rotation of the
//!   bend plane since the bend before, the radius and the angle; then the last straight.
//!
//! With `u(i)` the unit vector of leg `i` and `n(i) = u(i) x u(i+1)` the normal of bend plane `i`:
//! - the angle of bend `i` is `atan2(|u(i) x u(i+1)|, u(i) . u(i+1))`, the change of direction,
//!   0 to 180 degrees;
//! - the rotation of bend `i >= 2` is the signed angle from `n(i-1)` to `n(i)` about `u(i)`, with
//!   the right hand's thumb along the way from start to end:
//!   `atan2((n(i-1) x n(i)) . u(i), n(i-1) . n(i))`, more than -180 to 180 degrees. It equals the
//!   torsion angle of four points (IUPAC Gold Book, T06406). 0 is a U, 180 an S in one plane. The
//!   first bend has rotation 0.
//! - a shape made from rows is placed with its start at the origin, its first leg along +X and its
//!   first bend towards +Y, so that `n(1)` is +Z.
//!
//! All of this is mathematics; no source but the definitions above.

pub mod arc;
pub mod centreline;
pub mod clash;
pub mod coil;
mod convert;
pub mod layout;
pub mod sweep;
mod vector;

pub use convert::half_open;
pub(crate) use convert::{SMALLEST_ANGLE, points_from_rows, rows_from_points};
pub use vector::{Point, Vector};
