//! What a bending machine can hold and do.

use crate::process::Process;
use elbowroom_units::Mm;

/// Which way a bending head turns the tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Left only.
    Left,
    /// Right only.
    Right,
    /// Both in one clamping.
    Both,
}

/// What a bending machine can hold and do; `None`: no limit stated.
#[derive(Clone, Debug, PartialEq)]
pub struct MachineLimits {
    /// How it bends.
    pub process: Process,
    /// Smallest and largest outside diameter.
    pub od: (Mm, Mm),
    /// Thickest wall.
    pub max_wall: Option<Mm>,
    /// Longest blank.
    pub max_length: Option<Mm>,
    /// Smallest and largest centreline radius.
    pub clr: Option<(Mm, Mm)>,
    /// Bending moment that it can exert, in kN m.
    pub max_moment_kn_m: Option<f64>,
    /// Which way it bends.
    pub hand: Hand,
    /// Most bends in one part.
    pub max_bends: Option<usize>,
    /// Height of the tube's axis over floor or bed; `None`: the process's usual one, as a caution.
    pub floor_clearance: Option<Mm>,
    /// Free radius around the bending head; `None`: the process's usual one, as a caution.
    pub swing_clearance: Option<Mm>,
    /// Bending speed in degrees per second, where it differs from the process's standard; used by
    /// processes that turn the tube around a die.
    pub bend_speed_deg_s: Option<f64>,
    /// How many times as fast as the standard times; more than 0.
    pub speed_factor: f64,
}

impl MachineLimits {
    /// A machine that takes every tube: nothing but the process limits it.
    #[must_use]
    pub fn unlimited(process: Process) -> Self {
        Self {
            process,
            od: (Mm::ZERO, Mm::new(1e6)),
            max_wall: None,
            max_length: None,
            clr: None,
            max_moment_kn_m: None,
            hand: Hand::Both,
            max_bends: None,
            floor_clearance: None,
            swing_clearance: None,
            bend_speed_deg_s: None,
            speed_factor: 1.0,
        }
    }
}
