//! Watches for solves in tests.

use elbowroom_engine::{Progress, Watch};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// A watch without a clock: only the budget of search steps ends the solve.
pub struct Unhurried;

impl Watch for Unhurried {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(3600)
    }

    fn cancelled(&self) -> bool {
        false
    }
}

/// A watch by the clock on the wall, which notes every progress event down and can be told to stop.
pub struct WallClock {
    started: Instant,
    limit: Duration,
    stop: AtomicBool,
    seen: Mutex<Vec<Progress>>,
}

impl WallClock {
    /// The time begins now.
    #[must_use]
    pub fn new(limit: Duration) -> Self {
        Self { started: Instant::now(), limit, stop: AtomicBool::new(false), seen: Mutex::default() }
    }

    /// Asks the solve to stop.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// The events so far, in the order in which they came.
    #[must_use]
    pub fn seen(&self) -> Vec<Progress> {
        self.seen.lock().map(|seen| seen.clone()).unwrap_or_default()
    }
}

impl Watch for WallClock {
    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn progress(&self, progress: &Progress) {
        if let Ok(mut seen) = self.seen.lock() {
            seen.push(*progress);
        }
    }
}
