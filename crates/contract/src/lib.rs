//! Problem and schedule files: the contract in its written form (JSON).
//!
//! [`read_problem`] and [`read_schedule`] read `elbowroom-problem/1` and `elbowroom-schedule/1`
//! strictly: an unknown, missing or repeated key, a number of the wrong kind or a name that
//! nobody has is a [`Fault`], and all faults of a file are found in one reading, each with its
//! place, its line and how to mend it. [`write_problem`] and [`write_schedule`] write what the
//! readers read.
//!
//! The JSON itself is read by a small parser of this crate, not by a general one, because every
//! fault needs the line of its value, `60` must be told from `60.0`, and a key written twice
//! must not vanish. This crate opens no files: it is handed their bytes.

mod fault;
mod intervals;
mod json;
mod json_text;
mod names;
mod near;
mod placed;
mod read_job;
mod read_problem;
mod read_schedule;
mod reader;
mod spot;
mod write;

pub use fault::Fault;
pub use read_problem::read_problem;
pub use read_schedule::read_schedule;
pub use write::{write_problem, write_schedule};

/// The value of the key `format` in a problem file.
pub const PROBLEM_FORMAT: &str = "elbowroom-problem/1";

/// The value of the key `format` in a schedule file.
pub const SCHEDULE_FORMAT: &str = "elbowroom-schedule/1";

#[cfg(test)]
mod json_tests;
