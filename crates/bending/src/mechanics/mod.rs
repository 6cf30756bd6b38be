//! What bending does to the tube: wall, roundness, springback, risk of wrinkles.
//!
//! Estimates for planning from closed formulas, each with its source where it stands. They assume
//! an ideal-plastic metal and a round section; the first article decides.

pub mod code;
pub mod difficulty;
pub mod ovality;
pub mod springback;
pub mod wall;

pub use difficulty::Risk;
