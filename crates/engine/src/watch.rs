use std::time::Duration;

/// The engine's only view of time and of the person who waits. The engine reads no clock itself.
pub trait Watch: Sync {
    /// Time since the solve began.
    fn elapsed(&self) -> Duration;

    /// Time that the solve may take in all.
    fn limit(&self) -> Duration;

    /// Whether somebody asked to stop; the best plan so far is then returned at once.
    fn cancelled(&self) -> bool;

    /// Told now and then how the solve stands, and whenever a better plan is found. It may be
    /// called from any of the engine's threads.
    fn progress(&self, _: &Progress) {}
}

/// How a solve stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Objective of the best valid schedule so far.
    pub best: f64,
    /// A value that no valid schedule can beat, where one is proved so far.
    pub bound: Option<f64>,
    /// Time since the solve began.
    pub elapsed: Duration,
    /// Jobs of the best schedule that end after their due date.
    pub late_jobs: usize,
    /// Schedules looked at so far, by all threads.
    pub evaluations: u64,
}

/// Whether time is up or somebody asked to stop.
pub(crate) fn over(watch: &dyn Watch) -> bool {
    watch.cancelled() || watch.elapsed() >= watch.limit()
}
