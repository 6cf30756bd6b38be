//! The rules that a part can break.

use super::finding::{Sense, Subject};

/// A rule that a part can break.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// The radius is half the tube's diameter or less.
    RadiusInsideTube,
    /// The radius is so large that the tube springs back altogether.
    RadiusElastic,
    /// The bend is too tight for the way of bending.
    BendFactor,
    /// The tube is too thin for the way of bending.
    WallFactor,
    /// Thin and tight together are too much for the way of bending.
    Severity,
    /// The tube is too large for the process.
    ProcessDiameter,
    /// The bend is too far for the process.
    Angle,
    /// The part has too many different radii for the process.
    Radii,
    /// The straight between two bends is too short to grip.
    StraightBetween,
    /// The bend leaves the plane.
    Plane,
    /// The bend turns the other way.
    Side,
    /// The process does not promise the roundness asked for.
    RoundnessPromise,
    /// The roundness expected is worse than that asked for.
    Roundness,
    /// The marks expected are worse than those allowed.
    Marks,
    /// The tube is too small for the machine.
    DiameterTooSmall,
    /// The tube is too large for the machine.
    DiameterTooLarge,
    /// The wall is too thick for the machine.
    Wall,
    /// The blank is too long for the machine.
    BlankLength,
    /// The radius is too small for the machine.
    RadiusTooSmall,
    /// The radius is too large for the machine.
    RadiusTooLarge,
    /// The machine is too weak.
    Moment,
    /// The part has too many bends for the machine.
    BendCount,
    /// The part runs into itself.
    SelfClash,
    /// The formed end runs into the tube still to be bent.
    TailClash,
    /// The formed end reaches the floor.
    Floor,
    /// The formed end swings into something.
    Swing,
}

impl Subject for Rule {
    fn name(self) -> &'static str {
        match self {
            Self::RadiusInsideTube => "centreline radius",
            Self::RadiusElastic => "radius at which the tube still stays bent",
            Self::BendFactor => "bend factor (CLR/OD)",
            Self::WallFactor => "wall factor (OD/wall)",
            Self::Severity => "severity (wall factor over bend factor)",
            Self::ProcessDiameter => "outside diameter, for this process,",
            Self::Angle => "bend angle",
            Self::Radii => "number of different radii",
            Self::StraightBetween => "straight before it",
            Self::Plane => "rotation out of the plane of the bend before",
            Self::Side => "side to which it turns",
            Self::RoundnessPromise => "ovality asked for",
            Self::Roundness => "ovality to expect",
            Self::Marks => "extent of marks to expect",
            Self::DiameterTooSmall | Self::DiameterTooLarge => "outside diameter",
            Self::Wall => "wall",
            Self::BlankLength => "blank",
            Self::RadiusTooSmall | Self::RadiusTooLarge => "radius, for this machine,",
            Self::Moment => "bending moment",
            Self::BendCount => "number of bends",
            Self::SelfClash => "distance of the tube's centreline from itself",
            Self::TailClash => "distance from the tube still to be bent",
            Self::Floor => "reach of the formed end below the tube's axis",
            Self::Swing => "reach of the formed end from the head",
        }
    }

    fn sense(self) -> Sense {
        match self {
            Self::RadiusInsideTube
            | Self::BendFactor
            | Self::StraightBetween
            | Self::RoundnessPromise
            | Self::DiameterTooSmall
            | Self::RadiusTooSmall
            | Self::SelfClash
            | Self::TailClash => Sense::AtLeast,
            Self::Plane | Self::Side => Sense::Exactly,
            _ => Sense::AtMost,
        }
    }

    fn remedy(self) -> &'static str {
        match self {
            Self::RadiusInsideTube => "check that the radius is that of the centreline, and make it larger",
            Self::RadiusElastic => "make the radius smaller, or the tube larger",
            Self::BendFactor => "make the radius larger, or choose a process for tighter bends",
            Self::WallFactor | Self::Severity => "take a thicker wall or a larger radius, or use a mandrel",
            Self::ProcessDiameter | Self::DiameterTooLarge | Self::DiameterTooSmall => {
                "choose another process or cell"
            }
            Self::Angle => "make it in two clampings, or choose another process",
            Self::Radii => "use one radius throughout, or choose free-form",
            Self::StraightBetween => {
                "lengthen the straight, allow a profiled clamp in the rules, or choose free-form"
            }
            Self::Plane | Self::Side => "choose a process that turns the tube between bends",
            Self::RoundnessPromise | Self::Roundness => "allow more ovality, or use a mandrel",
            Self::Marks => "allow marks, or lengthen the straights for a longer clamp",
            Self::Wall | Self::Moment => "choose a stronger cell",
            Self::BlankLength => "choose a longer cell, or make the part of two pieces",
            Self::RadiusTooSmall | Self::RadiusTooLarge => "choose another cell",
            Self::BendCount => "choose a cell with a larger program, or bend in two clampings",
            Self::SelfClash => "check rotations and straights",
            Self::TailClash | Self::Floor | Self::Swing => "bend from the other end, or in two clampings",
        }
    }

    fn upper(self) -> &'static str {
        "allowed"
    }

    fn lower(self) -> &'static str {
        "needed"
    }
}
