//! Compiles a shop into a scheduling problem, has it solved and verified, and reads the schedule
//! back as a plan in the shop's own words.
//!
//! Nothing here reads a file, a clock or a random number that was not handed to it.

pub mod plan;
