//! What tools cost, and which tool serves for which.

use crate::tooling::ToolKind;
use elbowroom_units::{Minutes, Mm, Money};

/// Prices, lead times and tolerances of tools: `config/tooling.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolingRules {
    /// When a tool serves for another.
    pub matching: MatchRules,
    /// Price and lead time of a tool that nobody has offered yet.
    pub default: ByKind<ToolDefault>,
}

/// When a tool serves for what a part asks; differences are of tool less need.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MatchRules {
    /// Diameters that differ by no more than this are the same.
    pub same_od: Mm,
    /// Radii that differ by no more than this are the same.
    pub same_clr: Mm,
    /// Walls that differ by no more than this are the same.
    pub same_wall: Mm,
    /// A tool cut for a tube larger by no more than this may be tried.
    pub od_oversize: Mm,
    /// A radius that differs by no more than this, in percent, may be tried.
    pub clr_percent: f64,
    /// A mandrel made for a wall thicker by no more than this (so thinner itself) may be tried.
    pub mandrel_wall_excess: Mm,
    /// How many balls more than needed a mandrel may have.
    pub extra_balls: u32,
}

/// Price and lead time of a tool that nobody has offered yet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToolDefault {
    /// Price of one tool.
    pub price: Money,
    /// Calendar time from order to arrival.
    pub lead: Minutes,
}

/// One value for each kind of tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByKind<T> {
    /// For bend dies.
    pub bend_die: T,
    /// For clamp dies.
    pub clamp_die: T,
    /// For pressure dies.
    pub pressure_die: T,
    /// For mandrels.
    pub mandrel: T,
    /// For wiper dies.
    pub wiper_die: T,
    /// For collets.
    pub collet: T,
    /// For the compression dies of both heads together.
    pub compression_die: T,
    /// For roll sets.
    pub roll_set: T,
    /// For guide and ring together.
    pub ring: T,
}

impl<T> ByKind<T> {
    /// The key of a kind in files: the name of its field here.
    #[must_use]
    pub const fn key(kind: ToolKind) -> &'static str {
        match kind {
            ToolKind::BendDie => "bend_die",
            ToolKind::ClampDie => "clamp_die",
            ToolKind::PressureDie => "pressure_die",
            ToolKind::Mandrel => "mandrel",
            ToolKind::WiperDie => "wiper_die",
            ToolKind::Collet => "collet",
            ToolKind::CompressionDie => "compression_die",
            ToolKind::RollSet => "roll_set",
            ToolKind::Ring => "ring",
        }
    }

    /// The value for one kind.
    #[must_use]
    pub fn of(&self, kind: ToolKind) -> &T {
        match kind {
            ToolKind::BendDie => &self.bend_die,
            ToolKind::ClampDie => &self.clamp_die,
            ToolKind::PressureDie => &self.pressure_die,
            ToolKind::Mandrel => &self.mandrel,
            ToolKind::WiperDie => &self.wiper_die,
            ToolKind::Collet => &self.collet,
            ToolKind::CompressionDie => &self.compression_die,
            ToolKind::RollSet => &self.roll_set,
            ToolKind::Ring => &self.ring,
        }
    }
}
