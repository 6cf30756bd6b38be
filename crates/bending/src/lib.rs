//! Bending knowledge: which processes can make this part, with what, how long, how good.
//!
//! Pure functions over round tube. This crate knows no cells' calendars, no orders, no files and
//! no scheduling; every number that a shop may want to change comes in through [`rules`].

pub mod blank;
pub mod cautions;
pub mod fit;
pub mod geometry;
pub mod material;
pub mod mechanics;
pub mod piece;
pub mod process;
pub mod rules;
pub mod section;
pub mod shape;
pub mod stock;
pub mod tooling;
pub mod tube;
