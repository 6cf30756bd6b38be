//! What each process can do.

use crate::piece::Marks;
use crate::process::Process;
use elbowroom_units::{Deg, Mm};
use std::collections::BTreeMap;

/// Limits and quality of every process: `config/processes.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct ProcessRules {
    /// What holds for every process.
    pub common: CommonRules,
    /// Rotary draw bending, with and without a mandrel.
    pub rotary_draw: RotaryDrawRules,
    /// Twin-head compression bending.
    pub twin_head_compression: TwinHeadRules,
    /// Three-roll bending.
    pub three_roll: ThreeRollRules,
    /// Push-through free-form bending.
    pub free_form: FreeFormRules,
}

impl ProcessRules {
    /// The limits that every process has.
    #[must_use]
    pub fn limits(&self, process: Process) -> &Limits {
        match process {
            Process::RotaryDraw => &self.rotary_draw.limits,
            Process::TwinHeadCompression => &self.twin_head_compression.limits,
            Process::ThreeRoll => &self.three_roll.limits,
            Process::FreeForm => &self.free_form.limits,
        }
    }
}

/// What holds for every process.
#[derive(Clone, Debug, PartialEq)]
pub struct CommonRules {
    /// Lengths and radii that differ by no more than this are the same: one die, one symmetry.
    pub same_length: Mm,
    /// Angles that differ by no more than this are the same: one plane, one symmetry.
    pub same_angle: Deg,
    /// Gap that the finished tube keeps from itself.
    pub self_clearance: Mm,
    /// Difficulty rating up to which a bend counts as simple.
    pub simple_difficulty: f64,
    /// Wall that must be left on the outside of a bend, in percent of the tube's, below which a
    /// caution is shown.
    pub thin_outside_percent: f64,
}

/// Limits that every process has.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Largest outside diameter usual for the process; `None`: the machine decides.
    pub max_od: Option<Mm>,
    /// Largest angle of one bend; `None`: no limit.
    pub max_angle: Option<Deg>,
    /// Most different radii in one part; `None`: any number.
    pub max_radii: Option<u32>,
    /// Smallest straight between two bends, in outside diameters; shorter is refused.
    pub straight_between_od: f64,
    /// Straight between two bends that needs no special grip, in outside diameters.
    pub comfortable_straight_od: f64,
    /// Straight needed before the first bend; if it is shorter, the blank is made longer.
    pub first_straight_od: f64,
    /// Straight needed after the last bend; if it is shorter, the blank is made longer.
    pub last_straight_od: f64,
    /// Bend factor (CLR/OD) from which bending is economical; a caution below.
    pub preferred_bend_factor: f64,
    /// Marks left where every straight is comfortable.
    pub marks: Marks,
    /// Marks left where a straight is shorter than comfortable.
    pub marks_on_short_straight: Marks,
    /// Bending moment needed over the plastic moment.
    pub moment_factor: f64,
    /// Springback expected over that of beam theory.
    pub springback_factor: f64,
    /// Length of tube used in a bend over the length of its centreline arc.
    pub arc_factor: f64,
    /// The same for single materials, by material id.
    pub arc_factor_by_material: BTreeMap<String, f64>,
    /// Share of the theoretical shift of the neutral axis that shortens the blank: 0 to 1.
    pub neutral_axis_share: f64,
    /// Height of the tube's axis over floor or bed, where the cell does not state one.
    pub floor_clearance: Mm,
    /// Free radius around the bending head, where the cell does not state one.
    pub swing_clearance: Mm,
}

/// What one way of supporting the tube can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Forming {
    /// Smallest bend factor CLR/OD.
    pub min_bend_factor: f64,
    /// Largest wall factor OD/wall; `None`: no limit.
    pub max_wall_factor: Option<f64>,
    /// Largest severity (wall factor over bend factor); `None`: no limit.
    pub max_severity: Option<f64>,
    /// Smallest ovality in percent that may be asked for.
    pub finest_ovality_percent: f64,
    /// Ovality in percent of a bend of CLR = OD in a tube of wall factor 20.
    pub ovality_percent_at_1d: f64,
    /// Exponent of (wall factor/20) in the ovality.
    pub ovality_wall_exponent: f64,
    /// Ovality in percent that remains at any radius.
    pub ovality_floor_percent: f64,
    /// Severity above which wrinkles must be watched for.
    pub wrinkling_watch_severity: f64,
    /// Severity above which wrinkles are likely.
    pub wrinkling_high_severity: f64,
    /// Whether lubricant goes inside the tube.
    pub lubricated_inside: bool,
}

/// Rotary draw bending.
#[derive(Clone, Debug, PartialEq)]
pub struct RotaryDrawRules {
    /// Limits whatever the support.
    pub limits: Limits,
    /// Without a mandrel.
    pub bare: Forming,
    /// With a plug mandrel.
    pub plug: Forming,
    /// With a ball mandrel.
    pub ball: Forming,
    /// When a wiper die is needed.
    pub wiper: WiperRules,
    /// Balls by wall factor, lowest first.
    pub balls: Vec<BallStep>,
    /// Bend factor below which a ball mandrel takes the larger number of balls.
    pub tight_bend_factor: f64,
    /// Wall factor up to which some benders do without a mandrel; a remark between this and the
    /// limit of `bare`.
    pub mandrel_doubt_wall_factor: f64,
}

/// When a wiper die is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct WiperRules {
    /// At this bend factor and tighter, whatever the wall.
    pub max_bend_factor: f64,
    /// A wall factor above this is thin.
    pub thin_wall_factor: f64,
    /// At this bend factor and tighter, where the wall is thin.
    pub thin_max_bend_factor: f64,
}

/// Number of mandrel balls of tubes above a wall factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BallStep {
    /// Holds above this wall factor, up to the next step's.
    pub above_wall_factor: f64,
    /// Balls in wide bends.
    pub wide: u32,
    /// Balls in tight bends.
    pub tight: u32,
}

/// Twin-head compression bending.
#[derive(Clone, Debug, PartialEq)]
pub struct TwinHeadRules {
    /// Limits.
    pub limits: Limits,
    /// What it can do.
    pub forming: Forming,
    /// Smallest straight between two bends made at once, for the two heads to pass.
    pub min_head_distance: Mm,
    /// Whether the heads make two bends at once although the part is not symmetrical.
    pub independent_heads: bool,
}

/// Three-roll bending.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreeRollRules {
    /// Limits.
    pub limits: Limits,
    /// What it can do.
    pub forming: Forming,
    /// End that stays flat (about half the distance of the outer rolls) and is cut off, each side.
    pub flat_end: Mm,
}

/// Push-through free-form bending.
#[derive(Clone, Debug, PartialEq)]
pub struct FreeFormRules {
    /// Limits.
    pub limits: Limits,
    /// What it can do.
    pub forming: Forming,
}
