//! Shared helpers of the end-to-end tests.

pub mod chance;
pub mod program;
pub mod referee;
pub mod serial_builder;
pub mod small_shop;
pub mod spoil;
pub mod trial_rules;
pub mod trial_shop;
