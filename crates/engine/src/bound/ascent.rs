//! Climbing to good multipliers: subgradient steps along an averaged direction.
//!
//! The volume algorithm (Barahona and Anbil, Mathematical Programming 87, 2000): steps start from the
//! best multipliers so far, along an exponential average of the violations, with a length after
//! Polyak that is scaled up while steps succeed and down while they fail. Nothing here has to be
//! right for the bound to hold: every evaluation proves its own value.

use super::meter::Meter;
use super::relaxation::{Relaxation, Workspace};

/// The state of a climb on one relaxation.
pub(crate) struct Ascent<'a> {
    relaxation: &'a Relaxation<'a>,
    work: Workspace,
    /// Where steps start from.
    center: Vec<f64>,
    value: f64,
    trial: Vec<f64>,
    direction: Vec<f64>,
    scale: f64,
    failures: u32,
}

/// Share of the newest violations in the direction.
const NEWEST: f64 = 0.1;
/// Failures in a row after which steps are shortened.
const PATIENCE: u32 = 12;
const SHORTEST: f64 = 1e-4;
const LONGEST: f64 = 2.0;

impl<'a> Ascent<'a> {
    /// Begins at `start`; `None` if some job cannot be made at all or `meter` says stop.
    pub(crate) fn new(
        relaxation: &'a Relaxation<'a>,
        start: Vec<f64>,
        scale: f64,
        meter: &Meter<'_>,
    ) -> Option<Self> {
        let mut work = Workspace::default();
        let value = relaxation.evaluate(&start, &mut work, meter)?;
        let (trial, direction) = (start.clone(), work.violation.clone());
        Some(Self { relaxation, work, center: start, value, trial, direction, scale, failures: 0 })
    }

    /// The best value so far, at [`Ascent::center`].
    pub(crate) fn value(&self) -> f64 {
        self.value
    }

    /// The multipliers that prove [`Ascent::value`].
    pub(crate) fn center(&self) -> &[f64] {
        &self.center
    }

    /// Whether steps have become too short to matter.
    pub(crate) fn is_settled(&self) -> bool {
        self.scale <= SHORTEST
    }

    /// The answers of the last evaluation.
    pub(crate) fn work(&self) -> &Workspace {
        &self.work
    }

    /// One evaluation, aiming at `target`. `None` if `meter` says stop.
    pub(crate) fn step(&mut self, target: f64, meter: &Meter<'_>) -> Option<()> {
        let rows = self.direction.iter().zip(&self.center);
        let norm: f64 = rows.filter(|(d, at)| **d > 0.0 || **at > 0.0).map(|(d, _)| d * d).sum();
        let ahead = (target - self.value).max(1e-6 * target.abs().max(1.0));
        let length = self.scale * ahead / norm.max(1e-9);
        for ((trial, at), d) in self.trial.iter_mut().zip(&self.center).zip(&self.direction) {
            *trial = (at + length * d).max(0.0);
        }
        let value = self.relaxation.evaluate(&self.trial, &mut self.work, meter)?;
        let rose = value > self.value;
        self.adapt(rose);
        if rose {
            self.value = value;
            self.center.copy_from_slice(&self.trial);
        }
        for (d, new) in self.direction.iter_mut().zip(&self.work.violation) {
            *d += NEWEST * (new - *d);
        }
        Some(())
    }

    /// Longer steps while the new violations point the same way, shorter ones after failures.
    fn adapt(&mut self, rose: bool) {
        if !rose {
            self.failures += 1;
            if self.failures >= PATIENCE {
                self.scale = (self.scale * 0.7).max(SHORTEST);
                self.failures = 0;
            }
            return;
        }
        self.failures = 0;
        let along: f64 = self.direction.iter().zip(&self.work.violation).map(|(d, new)| d * new).sum();
        if along > 0.0 {
            self.scale = (self.scale * 1.05).min(LONGEST);
        }
    }
}
