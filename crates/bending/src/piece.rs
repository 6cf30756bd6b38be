//! A part as bending sees it.

use crate::material::Material;
use crate::shape::Shape;
use crate::tube::Tube;
use elbowroom_units::Mm;

/// How much a bend's surface may be marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Marks {
    /// None that show after finishing.
    None,
    /// Light ones.
    Light,
    /// Those usual in the trade.
    Some,
}

impl Marks {
    /// The name used in files and shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Light => "light",
            Self::Some => "some",
        }
    }
}

/// What the customer asks of the bends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quality {
    /// Largest ovality, in percent of the nominal diameter: 100 (Dmax - Dmin)/Dnom; `None`: no need.
    pub max_ovality_percent: Option<f64>,
    /// Marks that may stay.
    pub marks: Marks,
    /// Whether the bore must be clean whatever the process.
    pub clean_inside: bool,
}

/// A part as bending sees it: tube, material, shape, and what is asked of the bends.
#[derive(Clone, Debug)]
pub struct Piece<'a> {
    /// The tube.
    pub tube: Tube,
    /// Its material.
    pub material: &'a Material,
    /// The bent shape.
    pub shape: &'a Shape,
    /// What is asked of the bends.
    pub quality: Quality,
    /// Length added at each end and cut off later.
    pub trim: Mm,
}
