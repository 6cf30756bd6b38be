//! How the time for a plan is shared out.

use std::time::Duration;

/// How the time for a plan is shared out between searching and saying how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// The search ends.
    pub search: Duration,
    /// Seconds for saying how sure the plan is, and for trying out remedies.
    pub sure: f64,
    /// Remedies are tried until then; reasons, courses and charts need the rest.
    pub remedies: Duration,
}

impl Shares {
    /// The shares of so many seconds in all.
    #[must_use]
    pub fn of(seconds: f64) -> Self {
        let (rest, sure) = ((0.1 * seconds).min(1.0), (0.15 * seconds).min(3.0));
        let until = Duration::from_secs_f64;
        Self { search: until(seconds - rest - sure), sure, remedies: until(seconds - rest) }
    }
}
