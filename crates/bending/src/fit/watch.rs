//! The things to watch on a part.

use super::finding::{Sense, Subject};

/// Something to watch that is no reason to refuse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Watch {
    /// The straight is shorter than is comfortable to grip.
    ShortStraight,
    /// The outside is stretched more than the material's elongation at break.
    Elongation,
    /// The bend is not simple.
    Difficulty,
    /// Wrinkles on the inside.
    Wrinkling,
    /// The wall on the outside becomes thin.
    ThinOutside,
    /// A mandrel may not be needed.
    MandrelInDoubt,
    /// The radius is not economical.
    TightRadius,
    /// An end is too short to hold: the blank is longer and cut after bending.
    EndCutOff,
    /// Stacked dies are needed for several radii.
    StackedDies,
    /// The two heads cannot pass: two bends are made one after the other.
    HeadsPass,
    /// The formed end reaches the floor of a usual machine.
    Floor,
    /// The formed end swings beyond the reach of a usual machine.
    Swing,
    /// The tube must be turned over between bends, because the head bends one way.
    TurnedOver,
}

impl Subject for Watch {
    fn name(self) -> &'static str {
        match self {
            Self::ShortStraight => "straight before it",
            Self::Elongation => "stretch of the outside",
            Self::Difficulty => "difficulty rating",
            Self::Wrinkling => "severity (wall factor over bend factor)",
            Self::ThinOutside => "wall left on the outside",
            Self::MandrelInDoubt => "wall factor (OD/wall)",
            Self::TightRadius => "bend factor (CLR/OD)",
            Self::EndCutOff => "straight at the end of the tube",
            Self::StackedDies => "number of bend dies stacked on the machine",
            Self::HeadsPass => "straight between the two heads",
            Self::Floor => "reach of the formed end below the tube's axis",
            Self::Swing => "reach of the formed end from the head",
            Self::TurnedOver => "number of changes of side",
        }
    }

    fn sense(self) -> Sense {
        match self {
            Self::ShortStraight
            | Self::ThinOutside
            | Self::TightRadius
            | Self::EndCutOff
            | Self::HeadsPass => Sense::AtLeast,
            _ => Sense::AtMost,
        }
    }

    fn remedy(self) -> &'static str {
        match self {
            Self::ShortStraight => "a serrated or profiled clamp may be needed",
            Self::Elongation => "watch for cracks; a softer temper or annealing helps",
            Self::Difficulty => "plan trial pieces",
            Self::Wrinkling => "watch the inside of the bend; a wiper or more balls help",
            Self::ThinOutside => "check the wall that is needed on the outside",
            Self::MandrelInDoubt => "some benders do without a mandrel here: try one piece",
            Self::TightRadius => "a larger radius is cheaper",
            Self::EndCutOff => "the blank is longer, and the end is cut off after bending",
            Self::StackedDies => "the machine must take so many levels",
            Self::HeadsPass => "the two bends are made one after the other",
            Self::Floor | Self::Swing => "look at the machine before planning it there",
            Self::TurnedOver => "the tube is turned over between bends",
        }
    }

    fn upper(self) -> &'static str {
        "usual"
    }

    fn lower(self) -> &'static str {
        match self {
            Self::EndCutOff | Self::HeadsPass => "needed",
            _ => "usual",
        }
    }
}
