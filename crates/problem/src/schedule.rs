use crate::index::{OptionIdx, ToolIdx};
use elbowroom_units::Minute;

/// One operation, placed in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placement {
    /// Which option of which job.
    pub option: OptionIdx,
    /// When the setup begins; equal to `run_start` where there is none.
    pub setup_start: Minute,
    /// When the run begins.
    pub run_start: Minute,
    /// When the run ends and the cell is free.
    pub end: Minute,
}

/// An answer to a problem. Nothing is known of it until it has been verified.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Schedule {
    /// What it claims to be worth, in the problem's objective.
    pub objective: f64,
    /// A value that no valid schedule can beat, where one has been proved.
    pub lower_bound: Option<f64>,
    /// Tools bought, the committed ones not among them.
    pub purchases: Vec<ToolIdx>,
    /// Every operation of every chosen route, once.
    pub operations: Vec<Placement>,
}
