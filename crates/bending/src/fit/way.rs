//! The ways of bending, where one process has several: rotary draw bare, with plug, with balls.

use crate::process::Process;
use crate::rules::{Forming, ProcessRules};
use std::fmt;

/// A way of bending a tube: the process, and what supports the bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    /// Rotary draw without a mandrel.
    Bare,
    /// Rotary draw with a plug mandrel.
    Plug,
    /// Rotary draw with a ball mandrel.
    Ball,
    /// Twin-head compression.
    Compression,
    /// Three-roll.
    Rolls,
    /// Free-form.
    FreeForm,
}

impl Way {
    /// The ways of a process, the least support first.
    #[must_use]
    pub const fn of(process: Process) -> &'static [Self] {
        match process {
            Process::RotaryDraw => &[Self::Bare, Self::Plug, Self::Ball],
            Process::TwinHeadCompression => &[Self::Compression],
            Process::ThreeRoll => &[Self::Rolls],
            Process::FreeForm => &[Self::FreeForm],
        }
    }

    /// The process that it belongs to.
    #[must_use]
    pub const fn process(self) -> Process {
        match self {
            Self::Bare | Self::Plug | Self::Ball => Process::RotaryDraw,
            Self::Compression => Process::TwinHeadCompression,
            Self::Rolls => Process::ThreeRoll,
            Self::FreeForm => Process::FreeForm,
        }
    }

    /// Whether a mandrel is in the tube.
    #[must_use]
    pub const fn has_mandrel(self) -> bool {
        matches!(self, Self::Plug | Self::Ball)
    }

    /// What it can do, by the shop's rules.
    #[must_use]
    pub fn forming(self, rules: &ProcessRules) -> &Forming {
        match self {
            Self::Bare => &rules.rotary_draw.bare,
            Self::Plug => &rules.rotary_draw.plug,
            Self::Ball => &rules.rotary_draw.ball,
            Self::Compression => &rules.twin_head_compression.forming,
            Self::Rolls => &rules.three_roll.forming,
            Self::FreeForm => &rules.free_form.forming,
        }
    }

    /// The name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bare => "rotary draw without mandrel",
            Self::Plug => "rotary draw with plug mandrel",
            Self::Ball => "rotary draw with ball mandrel",
            Self::Compression => "twin-head compression",
            Self::Rolls => "three-roll",
            Self::FreeForm => "free-form",
        }
    }
}

impl fmt::Display for Way {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}
