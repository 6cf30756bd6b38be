//! Clock, signals and progress for a running search: what the engine must not know itself.

use crate::console;
use elbowroom_engine::{Progress, Watch};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Watches one search: counts its time, stops it on Ctrl-C, shows how it goes.
pub struct TerminalWatch {
    started: Instant,
    limit: Duration,
    cancelled: Arc<AtomicBool>,
    shown: Mutex<Option<Instant>>,
}

impl TerminalWatch {
    /// Starts the clock and catches Ctrl-C and termination from now on.
    pub fn start(limit: Duration) -> Self {
        let cancelled = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&cancelled);
        // If another handler is in place already, Ctrl-C ends the program as usual.
        let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
        Self { started: Instant::now(), limit, cancelled, shown: Mutex::new(None) }
    }

    /// The same clock and the same Ctrl-C, with another limit since the start.
    pub fn until(&self, limit: Duration) -> Until<'_> {
        Until { watch: self, limit }
    }

    /// Whether the user stopped the search.
    pub fn interrupted(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Whether half a second has passed since progress was last shown.
    fn due(&self) -> bool {
        let Ok(mut shown) = self.shown.lock() else { return false };
        let due = shown.is_none_or(|last| last.elapsed() >= Duration::from_millis(500));
        if due {
            *shown = Some(Instant::now());
        }
        due
    }
}

/// The same watch with another limit.
pub struct Until<'w> {
    watch: &'w TerminalWatch,
    limit: Duration,
}

impl Watch for Until<'_> {
    fn elapsed(&self) -> Duration {
        self.watch.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }
}

impl Watch for TerminalWatch {
    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.interrupted()
    }

    fn progress(&self, progress: &Progress) {
        if console::shows_progress() && self.due() {
            console::progress(&line(progress, self.limit));
        }
    }
}

/// One line about a running search.
fn line(progress: &Progress, limit: Duration) -> String {
    let mut text = format!(
        "searching {:.0} of {:.0} s: best {:.2}, {} late",
        progress.elapsed.as_secs_f64(),
        limit.as_secs_f64(),
        progress.best,
        progress.late_jobs
    );
    if let Some(bound) = progress.bound
        && progress.best > 0.0
    {
        text += &format!(
            ", at most {:.1}% above the best possible",
            100.0 * (1.0 - bound / progress.best).max(0.0)
        );
    }
    text
}
