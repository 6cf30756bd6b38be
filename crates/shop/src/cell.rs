//! Cells: bending cells and all other work centres.

use crate::calendar::DatedSpan;
use elbowroom_bending::process::Process;
use elbowroom_units::{Mm, RatePerMinute};
use std::fmt;

/// What a cell does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorkKind {
    /// Bends by one process.
    Bend(Process),
    /// Cuts tube to length.
    Cut,
    /// Takes the burr off cut ends.
    Deburr,
    /// Takes lubricant out and off.
    Wash,
    /// Expands, reduces, flares or beads ends.
    EndForm,
    /// Welds.
    Weld,
    /// Inspects a finished lot.
    Inspect,
}

impl WorkKind {
    /// The name used in files and shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bend(process) => process.name(),
            Self::Cut => "cut",
            Self::Deburr => "deburr",
            Self::Wash => "wash",
            Self::EndForm => "end-form",
            Self::Weld => "weld",
            Self::Inspect => "inspect",
        }
    }
}

impl fmt::Display for WorkKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

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

/// What a bending cell can hold and do; `None`: no limit stated.
#[derive(Clone, Debug, PartialEq)]
pub struct BendLimits {
    /// Smallest and largest outside diameter.
    pub od: (Mm, Mm),
    /// Thickest wall.
    pub max_wall: Option<Mm>,
    /// Longest blank.
    pub max_length: Option<Mm>,
    /// Smallest and largest centreline radius.
    pub clr: Option<(Mm, Mm)>,
    /// Bending moment that the machine can exert, in kN m.
    pub max_moment_kn_m: Option<f64>,
    /// Which way it bends.
    pub hand: Hand,
    /// Most bends in one part.
    pub max_bends: Option<usize>,
    /// Height of the tube's axis over floor or bed; `None`: the process's usual one, as a caution.
    pub floor_clearance: Option<Mm>,
    /// Free radius around the bending head; `None`: the process's usual one, as a caution.
    pub swing_clearance: Option<Mm>,
    /// Bending speed in degrees per second, where it differs from the process's standard.
    pub bend_speed_deg_s: Option<f64>,
}

/// A machine or work place that does one lot at a time.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Name, unique.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What it does.
    pub work: WorkKind,
    /// Limits, for a bending cell.
    pub limits: Option<BendLimits>,
    /// Id of its calendar.
    pub calendar: String,
    /// Closures of this cell alone.
    pub closed: Vec<DatedSpan>,
    /// Money for running.
    pub run_rate: RatePerMinute,
    /// Money for changing over.
    pub setup_rate: RatePerMinute,
    /// Crew that changes it over.
    pub setup_crew: Option<String>,
    /// Crew that runs it.
    pub run_crew: Option<String>,
    /// Ids of the tools that are on it now.
    pub mounted: Vec<String>,
    /// Part whose program ran last.
    pub mounted_program: Option<String>,
    /// How many times as fast as the standard times; more than 0.
    pub speed_factor: f64,
}
