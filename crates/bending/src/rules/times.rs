//! How long bending takes.

use super::tooling::ByKind;
use elbowroom_units::Seconds;

/// Times of bending: `config/times.toml`, table `bending`.
#[derive(Clone, Debug, PartialEq)]
pub struct BendTimes {
    /// Changing a cell over.
    pub setup: SetupRules,
    /// Washing after bending.
    pub wash: WashRules,
    /// Rotary draw.
    pub rotary_draw: RotaryDrawTimes,
    /// Twin-head compression.
    pub twin_head_compression: TwinHeadTimes,
    /// Three-roll.
    pub three_roll: ThreeRollTimes,
    /// Free-form.
    pub free_form: FreeFormTimes,
}

/// Changing a cell over.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupRules {
    /// Loading and checking another program.
    pub program: Seconds,
    /// Aligning, once if any tool changes.
    pub alignment: Seconds,
    /// Time for each tool.
    pub tools: ByKind<ToolTimes>,
}

/// Time to mount and to take off one tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToolTimes {
    /// Putting it on and setting it.
    pub on: Seconds,
    /// Taking it off and putting it back.
    pub off: Seconds,
}

/// Washing after bending.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WashRules {
    /// Washing time over bending time, where lubricant was inside the tube.
    pub share: f64,
    /// Washing time of a piece that was bent dry but must be clean inside.
    pub dry_piece: Seconds,
}

/// What starting a lot costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartRules {
    /// Checking the first piece.
    pub first_article: Seconds,
    /// More of it for each bend.
    pub first_article_per_bend: Seconds,
    /// Pieces spent on setting up.
    pub setup_pieces: u32,
    /// Pieces spoiled while running, in percent of the good ones.
    pub scrap_percent: f64,
}

/// Cycle of rotary draw bending.
#[derive(Clone, Debug, PartialEq)]
pub struct RotaryDrawTimes {
    /// Loading and unloading a piece.
    pub load_unload: Seconds,
    /// Clamping, unclamping and retracting, each bend.
    pub clamp: Seconds,
    /// Turning speed of the bend die.
    pub bend_speed_deg_s: f64,
    /// Turning speed on the way back.
    pub return_speed_deg_s: f64,
    /// Feeding speed of the carriage.
    pub feed_speed_mm_s: f64,
    /// Turning speed of the collet; feeding and turning happen together.
    pub rotation_speed_deg_s: f64,
    /// Moving to another level of stacked dies.
    pub level_change: Seconds,
    /// More loading and unloading with a mandrel.
    pub mandrel_load: Seconds,
    /// Advancing, extracting and lubricating the mandrel, each bend.
    pub mandrel_per_bend: Seconds,
    /// Bending speed with a mandrel over the speed without.
    pub mandrel_speed_share: f64,
    /// Starting a lot without a mandrel.
    pub start_bare: StartRules,
    /// Starting a lot with a mandrel.
    pub start_mandrel: StartRules,
}

/// Cycle of twin-head compression bending.
#[derive(Clone, Debug, PartialEq)]
pub struct TwinHeadTimes {
    /// Loading and unloading a piece.
    pub load_unload: Seconds,
    /// Clamping and retracting, each stroke of one or two bends.
    pub clamp: Seconds,
    /// Turning speed of the wiping arm.
    pub bend_speed_deg_s: f64,
    /// Turning speed on the way back.
    pub return_speed_deg_s: f64,
    /// Moving speed of the heads between strokes.
    pub feed_speed_mm_s: f64,
    /// Starting a lot.
    pub start: StartRules,
}

/// Cycle of three-roll bending.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreeRollTimes {
    /// Loading and unloading a piece.
    pub load_unload: Seconds,
    /// Passes through the rolls.
    pub passes: u32,
    /// Setting the rolls, each pass.
    pub adjust: Seconds,
    /// Speed of the tube in the rolls.
    pub feed_speed_mm_s: f64,
    /// Starting a lot.
    pub start: StartRules,
}

/// Cycle of free-form bending.
#[derive(Clone, Debug, PartialEq)]
pub struct FreeFormTimes {
    /// Loading and unloading a piece.
    pub load_unload: Seconds,
    /// Speed of the tube in arcs.
    pub arc_speed_mm_s: f64,
    /// Speed of the tube in straights.
    pub straight_speed_mm_s: f64,
    /// Moving the ring at the start and end of each arc.
    pub ring_move: Seconds,
    /// Starting a lot.
    pub start: StartRules,
}
