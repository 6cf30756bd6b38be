//! Shared helpers of the end-to-end tests.

pub mod program;
