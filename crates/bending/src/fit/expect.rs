//! The quality to expect.

use super::check;
use super::study::{BendFacts, Study};
use super::way::Way;
use crate::mechanics::{Risk, difficulty, ovality, wall};
use crate::piece::Marks;
use elbowroom_units::{Deg, Mm};

/// The quality to expect of a bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendExpected {
    /// The bend, counted from 1 as drawn.
    pub bend: usize,
    /// Thinning of the wall on the outside, in percent of the tube's wall.
    pub thinning_percent: f64,
    /// Thickening of the wall on the inside, in percent of the tube's wall.
    pub thickening_percent: f64,
    /// Stretch of the outermost fibre in percent.
    pub elongation_percent: f64,
    /// Shift of the neutral axis towards the inside, by theory.
    pub neutral_axis_shift: Mm,
    /// Ovality in percent of the nominal diameter.
    pub ovality_percent: f64,
    /// Angle lost when the bend is released: bend this much further.
    pub springback: Deg,
    /// Radius of the tool that leaves the radius drawn after release.
    pub tool_radius: Mm,
    /// Risk of wrinkles on the inside.
    pub wrinkling: Risk,
    /// Difficulty rating; 7 or less is called simple.
    pub difficulty: f64,
}

/// The quality to expect of a piece. The figures of the whole piece are those of its worst bend.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// Each bend that has an inside.
    pub bends: Vec<BendExpected>,
    /// Largest thinning of the wall, in percent.
    pub thinning_percent: f64,
    /// Largest thickening of the wall, in percent.
    pub thickening_percent: f64,
    /// Largest ovality, in percent of the nominal diameter.
    pub ovality_percent: f64,
    /// Largest springback.
    pub springback: Deg,
    /// Highest risk of wrinkles.
    pub wrinkling: Risk,
    /// Marks on the surface.
    pub marks: Marks,
    /// Bending moment needed, in kN m.
    pub moment_kn_m: f64,
}

/// Ovality to expect of a bend.
pub(super) fn ovality_percent(study: &Study, way: Way, bend: &BendFacts) -> f64 {
    let forming = way.forming(&study.rules.processes);
    ovality::expected_percent(forming, bend.bend_factor, study.piece.tube.wall_factor())
}

/// Marks to expect: those of a short clamp where some straight is shorter than comfortable.
pub(super) fn marks(study: &Study, way: Way) -> Marks {
    let limits = study.rules.processes.limits(way.process());
    let comfortable = study.piece.tube.outer() * limits.comfortable_straight_od;
    let short = study.bends.iter().filter_map(|bend| bend.straight_between).any(|s| s < comfortable);
    if short { limits.marks_on_short_straight } else { limits.marks }
}

/// Share of the angle that springs back, corrected by the rules; less than 1.
pub(super) fn springback_share(study: &Study, way: Way, bend: &BendFacts) -> f64 {
    let factor = study.rules.processes.limits(way.process()).springback_factor;
    (bend.springback_share * factor).clamp(0.0, MOST_SPRINGBACK)
}

/// A bend that loses more than this share is refused by the plain theory long before.
const MOST_SPRINGBACK: f64 = 0.9;

pub(super) fn quality(study: &Study, way: Way) -> Expected {
    let bends: Vec<BendExpected> =
        study.bends.iter().filter_map(|bend| bend_quality(study, way, bend)).collect();
    let worst = |of: fn(&BendExpected) -> f64| bends.iter().map(of).fold(0.0, f64::max);
    Expected {
        thinning_percent: worst(|bend| bend.thinning_percent),
        thickening_percent: worst(|bend| bend.thickening_percent),
        ovality_percent: worst(|bend| bend.ovality_percent),
        springback: Deg::new(worst(|bend| bend.springback.degrees())),
        wrinkling: bends.iter().map(|bend| bend.wrinkling).max().unwrap_or(Risk::Low),
        marks: marks(study, way),
        moment_kn_m: check::moment_kn_m(study, way.process()),
        bends,
    }
}

fn bend_quality(study: &Study, way: Way, bend: &BendFacts) -> Option<BendExpected> {
    let tube = &study.piece.tube;
    let share = springback_share(study, way, bend);
    Some(BendExpected {
        bend: bend.number,
        thinning_percent: wall::thinning_percent(bend.bend_factor)?,
        thickening_percent: wall::thickening_percent(bend.bend_factor)?,
        elongation_percent: wall::elongation_percent(bend.bend_factor)?,
        neutral_axis_shift: wall::neutral_axis_shift(bend.clr, tube.outer(), tube.wall()),
        ovality_percent: ovality_percent(study, way, bend),
        springback: bend.angle * (share / (1.0 - share)),
        tool_radius: bend.clr * (1.0 - share),
        wrinkling: difficulty::wrinkling(way.forming(&study.rules.processes), bend.severity),
        difficulty: difficulty::rating(tube.wall_factor(), bend.bend_factor, bend.angle),
    })
}
