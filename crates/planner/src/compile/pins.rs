//! Work under way stands exactly where it is.

use super::calendars::Span;
use super::status::{Running, RunningPlace};
use elbowroom_problem::{OptionIdx, Pinned};
use elbowroom_shop::calendar::add_working_time;
use elbowroom_units::{Minute, Minutes};

/// A running step to be pinned.
pub(crate) struct PinAsked {
    option: OptionIdx,
    place: RunningPlace,
    remaining: Minutes,
}

impl PinAsked {
    pub(crate) fn new(option: OptionIdx, running: &Running) -> Self {
        Self { option, place: running.place.clone(), remaining: running.remaining }
    }

    /// From the first working minute of its cell; a vendor works on from minute 0.
    fn start(&self, windows: &[Vec<Span>]) -> Minute {
        match self.place {
            RunningPlace::Cell(cell) => windows[cell.get()].first().map_or(Minute::ZERO, |window| window.0),
            RunningPlace::Vendor(_) => Minute::ZERO,
        }
    }

    /// When the step will be finished.
    pub(crate) fn end(&self, windows: &[Vec<Span>]) -> Minute {
        let start = self.start(windows);
        match self.place {
            RunningPlace::Cell(cell) => {
                // Beyond the last window the time is only a guess; such a problem has no schedule.
                add_working_time(&windows[cell.get()], start, self.remaining)
                    .unwrap_or(start + self.remaining)
            }
            RunningPlace::Vendor(_) => start + self.remaining,
        }
    }

    pub(crate) fn pinned(&self, windows: &[Vec<Span>]) -> Pinned {
        let start = self.start(windows);
        Pinned { option: self.option, setup_start: start, run_start: start, end: self.end(windows) }
    }
}
