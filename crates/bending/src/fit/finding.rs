//! What is found about a part on a machine: rules broken (refusals) and things to watch (cautions).

use crate::piece::Marks;
use elbowroom_units::quantity::plain;
use elbowroom_units::{Deg, Mm};
use std::fmt;

/// A value or a limit, with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A length.
    Length(Mm),
    /// An angle.
    Angle(Deg),
    /// A ratio without a unit.
    Ratio(f64),
    /// A share in percent.
    Percent(f64),
    /// A moment in kN m.
    Moment(f64),
    /// A number of things.
    Count(usize),
    /// Marks on the surface.
    Marks(Marks),
    /// Something said in words.
    Words(&'static str),
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length(length) => write!(f, "{length}"),
            Self::Angle(angle) => write!(f, "{angle}"),
            Self::Ratio(ratio) => write!(f, "{}", plain(*ratio, 2)),
            Self::Percent(percent) => write!(f, "{} %", plain(*percent, 1)),
            Self::Moment(moment) => write!(f, "{} kN m", plain(*moment, 3)),
            Self::Count(count) => write!(f, "{count}"),
            Self::Marks(marks) => write!(f, "{}", marks.name()),
            Self::Words(words) => write!(f, "{words}"),
        }
    }
}

/// How a value stands to its limit where the rule is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// It is the limit or more.
    AtLeast,
    /// It is the limit or less.
    AtMost,
    /// It is the limit.
    Exactly,
}

impl Sense {
    const fn words(self) -> &'static str {
        match self {
            Self::AtLeast => "at least ",
            Self::AtMost => "at most ",
            Self::Exactly => "",
        }
    }
}

/// What a finding is about.
pub trait Subject: Copy + PartialEq {
    /// The measured thing, for people.
    fn name(self) -> &'static str;
    /// How the value must stand to the limit.
    fn sense(self) -> Sense;
    /// What would put it right.
    fn remedy(self) -> &'static str;
}

/// One thing found: what, at which bends, the value and its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding<S> {
    /// What it is about.
    pub subject: S,
    /// The bends concerned, counted from 1 as drawn; empty: the whole part.
    pub bends: Vec<usize>,
    /// The part's value.
    pub value: Amount,
    /// The limit.
    pub limit: Amount,
}

/// Why a machine cannot make a part by a way of bending.
pub type Refusal = Finding<Rule>;
/// Something to watch.
pub type Caution = Finding<Watch>;

impl<S: Subject> Finding<S> {
    /// What would put it right.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        self.subject.remedy()
    }
}

/// Shown as `bends 1 to 3: bend factor (CLR/OD) is 2.5, at least 3 is needed`.
impl<S: Subject> fmt::Display for Finding<S> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.bends.is_empty() {
            write!(f, "{}: ", bend_list(&self.bends))?;
        }
        let (name, sense) = (self.subject.name(), self.subject.sense().words());
        write!(f, "{name} is {}, {sense}{} is needed", self.value, self.limit)
    }
}

/// `bend 2`, `bends 1 to 3 and 7`.
fn bend_list(bends: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &bend in bends {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == bend => *last = bend,
            _ => runs.push((bend, bend)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|&(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first} and {last}"),
            _ => format!("{first} to {last}"),
        })
        .collect();
    format!("{} {}", if bends.len() == 1 { "bend" } else { "bends" }, words.join(" and "))
}

/// Collects findings; equal ones of several bends become one.
#[derive(Debug)]
pub(crate) struct Findings<S>(Vec<Finding<S>>);

impl<S: Subject> Findings<S> {
    pub(crate) fn new() -> Self {
        Self(Vec::new())
    }

    /// Notes something of the whole part.
    pub(crate) fn part(&mut self, subject: S, value: Amount, limit: Amount) {
        self.0.push(Finding { subject, bends: Vec::new(), value, limit });
    }

    /// Notes something of one bend, counted from 1.
    pub(crate) fn bend(&mut self, subject: S, bend: usize, value: Amount, limit: Amount) {
        let same = |f: &&mut Finding<S>| {
            f.subject == subject && f.value == value && f.limit == limit && !f.bends.is_empty()
        };
        match self.0.iter_mut().find(same) {
            Some(finding) => finding.bends.push(bend),
            None => self.0.push(Finding { subject, bends: vec![bend], value, limit }),
        }
    }

    pub(crate) fn extend(&mut self, more: Vec<Finding<S>>) {
        self.0.extend(more);
    }

    pub(crate) fn into_vec(self) -> Vec<Finding<S>> {
        self.0
    }
}

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
}

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
}
