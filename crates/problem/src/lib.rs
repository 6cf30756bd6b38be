//! The scheduling problem as integers and intervals: the contract between shop and engine.
//!
//! Jobs take one of their routes; a route is a sequence of operations; an operation takes one of
//! its options: on a cell, with a setup, a run, tools and crews, or outside, for so many
//! minutes. What is valid and what it costs is written down in the crate's `CONTRACT.md`
//! and checked by the `verify` crate, which shares nothing with the engine.
//!
//! The words here are those of scheduling theory. This crate knows no tubes, files or clocks.
//!
//! * [`Problem`] is a problem whose every reference and interval has been checked
//!   ([`Problem::new`]); whoever holds one need not check again.
//! * [`Schedule`] is an answer that claims nothing yet.

mod check;
mod index;
mod model;
mod pairs;
mod schedule;

pub use check::{Fault, MAX_MINUTE};
pub use index::{CellIdx, CrewIdx, JobIdx, OptionIdx, ToolIdx};
pub use model::{
    Availability, Cell, CellWork, Changeover, Crew, HeadCount, Job, Objective, Operation, Parts, Pinned,
    Place, Problem, Route, Tool, Window, Work,
};
pub use pairs::Pairs;
pub use schedule::{Placement, Schedule};
