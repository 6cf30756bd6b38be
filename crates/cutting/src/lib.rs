//! Cuts blanks out of bars: which lengths go on which bar, so that as little tube as possible is
//! used, with a bound that no cutting plan can beat.
//!
//! The one-dimensional cutting stock problem, over several bar lengths. Its linear relaxation is
//! solved by column generation (Gilmore and Gomory, Operations Research 9, 1961, and 11, 1963): a
//! column is a pattern for one bar, and the pattern that would help most is found by an exact
//! bounded knapsack of our own. Rounding, a small integer program and a greedy filling of what is
//! left turn the relaxation into whole bars.
//!
//! This crate knows lengths and counts, and nothing of tubes, orders, dates or files. It reads no
//! clock: the work is limited by counts, so that the same job always gives the same plan.

mod bound;
mod columns;
mod dive;
mod greedy;
mod job;
mod knapsack;
mod master;
mod plan;
mod program;
mod whole;

pub use job::{Blank, CuttingFault, CuttingJob, Saw, Stock};
pub use plan::{CuttingPlan, Layout, cut};
