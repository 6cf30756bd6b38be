//! What is mounted on a machine to bend a tube.

use elbowroom_units::Mm;
use std::fmt;

/// A kind of bending tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ToolKind {
    /// Turns with the tube; one for each outside diameter and centreline radius.
    BendDie,
    /// Holds the tube to the bend die.
    ClampDie,
    /// Follows the tube along the tangent.
    PressureDie,
    /// Supports the bore; one for each outside diameter and wall.
    Mandrel,
    /// Keeps the inside of the bend from wrinkling.
    WiperDie,
    /// Holds and turns the tail of the tube between bends.
    Collet,
    /// Fixed die and wiping shoe of a compression head.
    CompressionDie,
    /// Three rolls of a tube size.
    RollSet,
    /// Guide and moving ring of a free-form head, for a tube size.
    Ring,
}

impl ToolKind {
    /// Every kind, in the order in which lists show them.
    pub const ALL: [Self; 9] = [
        Self::BendDie,
        Self::ClampDie,
        Self::PressureDie,
        Self::Mandrel,
        Self::WiperDie,
        Self::Collet,
        Self::CompressionDie,
        Self::RollSet,
        Self::Ring,
    ];

    /// The name used in files and shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::BendDie => "bend die",
            Self::ClampDie => "clamp die",
            Self::PressureDie => "pressure die",
            Self::Mandrel => "mandrel",
            Self::WiperDie => "wiper die",
            Self::Collet => "collet",
            Self::CompressionDie => "compression die",
            Self::RollSet => "roll set",
            Self::Ring => "ring",
        }
    }

    /// Whether one such tool serves a single centreline radius.
    #[must_use]
    pub const fn has_radius(self) -> bool {
        matches!(self, Self::BendDie | Self::WiperDie | Self::CompressionDie)
    }

    /// Whether one such tool serves a single wall.
    #[must_use]
    pub const fn has_wall(self) -> bool {
        matches!(self, Self::Mandrel)
    }
}

impl fmt::Display for ToolKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// The dimensions of a tool, or those that a part asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToolSpec {
    /// What it is.
    pub kind: ToolKind,
    /// The tube's outside diameter it is cut for.
    pub od: Mm,
    /// The centreline radius, for kinds that have one.
    pub clr: Option<Mm>,
    /// The tube's wall, for kinds that have one.
    pub wall: Option<Mm>,
    /// Number of mandrel balls; 0 is a plug mandrel and every other kind.
    pub balls: u32,
}

impl ToolSpec {
    /// A tool that fits every radius and wall of a tube diameter.
    #[must_use]
    pub fn for_diameter(kind: ToolKind, od: Mm) -> Self {
        Self { kind, od, clr: None, wall: None, balls: 0 }
    }

    /// A tool for one radius.
    #[must_use]
    pub fn with_radius(kind: ToolKind, od: Mm, clr: Mm) -> Self {
        Self { clr: Some(clr), ..Self::for_diameter(kind, od) }
    }

    /// A mandrel; without balls it is a plug.
    #[must_use]
    pub fn mandrel(od: Mm, wall: Mm, balls: u32) -> Self {
        Self { wall: Some(wall), balls, ..Self::for_diameter(ToolKind::Mandrel, od) }
    }
}

/// Shown as `bend die 38.1 mm, CLR 114.3 mm` or `mandrel 38.1 mm, wall 1.651 mm, 3 balls`.
impl fmt::Display for ToolSpec {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.kind, self.od)?;
        if let Some(clr) = self.clr {
            write!(f, ", CLR {clr}")?;
        }
        if let Some(wall) = self.wall {
            write!(f, ", wall {wall}")?;
        }
        match (self.kind, self.balls) {
            (ToolKind::Mandrel, 0) => write!(f, ", plug"),
            (ToolKind::Mandrel, 1) => write!(f, ", 1 ball"),
            (ToolKind::Mandrel, balls) => write!(f, ", {balls} balls"),
            _ => Ok(()),
        }
    }
}
