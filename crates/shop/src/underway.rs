//! Work already under way when the plan starts.

use elbowroom_units::Minutes;

/// How far an order has come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Underway {
    /// Id of the order.
    pub order: String,
    /// Names of the steps that are finished.
    pub done: Vec<String>,
    /// The step that is running.
    pub running: Option<RunningStep>,
}

/// A step that is running at plan start.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunningStep {
    /// Name of the step.
    pub step: String,
    /// Id of the cell or vendor it runs on.
    pub cell: String,
    /// Time left: working time on a cell; with a vendor, time from the plan's minute 0 until it is back.
    pub remaining: Minutes,
    /// Nobody reported it: it was to be sent out by now, so it is taken as sent.
    pub presumed: bool,
}
