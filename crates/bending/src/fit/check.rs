//! The rules: what a way of bending, a process, a machine and the customer refuse.

use super::blank::Blank;
use super::direction::Direction;
use super::expect;
use super::finding::{Amount, Findings, Refusal};
use super::machine::{Hand, MachineLimits};
use super::rule::Rule;
use super::study::{BendFacts, Study};
use super::way::Way;
use crate::geometry::layout::Side;
use crate::process::Process;
use elbowroom_units::{Deg, Mm};

/// What bars a way of bending: tightness, thinness, roundness.
pub(super) fn way(study: &Study, way: Way) -> Vec<Refusal> {
    let mut found = Findings::new();
    let forming = way.forming(&study.rules.processes);
    let wall_factor = study.piece.tube.wall_factor();
    if let Some(most) = forming.max_wall_factor.filter(|most| wall_factor > *most) {
        found.part(Rule::WallFactor, Amount::Ratio(wall_factor), Amount::Ratio(most));
    }
    for bend in &study.bends {
        if bend.is_open() && below(bend.bend_factor, forming.min_bend_factor) {
            let limit = Amount::Ratio(forming.min_bend_factor);
            found.bend(Rule::BendFactor, bend.number, Amount::Ratio(bend.bend_factor), limit);
        }
        if let Some(most) = forming.max_severity.filter(|most| below(*most, bend.severity)) {
            found.bend(Rule::Severity, bend.number, Amount::Ratio(bend.severity), Amount::Ratio(most));
        }
    }
    found.extend(roundness(study, way));
    found.into_vec()
}

/// A ratio of two lengths that were written in decimals must not fail by its last binary digit.
fn below(value: f64, limit: f64) -> bool {
    value < limit * (1.0 - 1e-9)
}

fn roundness(study: &Study, way: Way) -> Vec<Refusal> {
    let mut found = Findings::new();
    let Some(asked) = study.piece.quality.max_ovality_percent else { return Vec::new() };
    let forming = way.forming(&study.rules.processes);
    if below(asked, forming.finest_ovality_percent) {
        let limit = Amount::Percent(forming.finest_ovality_percent);
        found.part(Rule::RoundnessPromise, Amount::Percent(asked), limit);
        return found.into_vec();
    }
    // The estimate means nothing for a bend that cannot be made this way at all.
    for bend in study.bends.iter().filter(|bend| !below(bend.bend_factor, forming.min_bend_factor)) {
        let expected = expect::ovality_percent(study, way, bend);
        if below(asked, expected) {
            found.bend(Rule::Roundness, bend.number, Amount::Percent(expected), Amount::Percent(asked));
        }
    }
    found.into_vec()
}

/// What is impossible by any process.
pub(super) fn piece(study: &Study) -> Vec<Refusal> {
    let mut found = Findings::new();
    let half = study.piece.tube.outer() / 2.0;
    for bend in &study.bends {
        if !bend.is_open() {
            found.bend(Rule::RadiusInsideTube, bend.number, Amount::Length(bend.clr), Amount::Length(half));
        }
        if bend.springback_share >= 1.0 {
            let largest =
                crate::mechanics::springback::largest_radius(&study.piece.tube, study.piece.material);
            found.bend(Rule::RadiusElastic, bend.number, Amount::Length(bend.clr), Amount::Length(largest));
        }
    }
    if let Some(clash) = study.clash {
        let need = study.piece.tube.outer() + study.rules.processes.common.self_clearance;
        let (value, limit) = (Amount::Length(clash.distance), Amount::Length(need));
        found.bend(Rule::SelfClash, clash.after_bend.max(1), value, limit);
        if clash.and_bend > clash.after_bend.max(1) {
            found.bend(Rule::SelfClash, clash.and_bend, value, limit);
        }
    }
    found.into_vec()
}

/// What a process refuses whatever the machine.
pub(super) fn process(study: &Study, process: Process, hand: Hand) -> Vec<Refusal> {
    let limits = study.rules.processes.limits(process);
    let outer = study.piece.tube.outer();
    let mut found = Findings::new();
    if let Some(most) = limits.max_od.filter(|most| outer > *most + rounding()) {
        found.part(Rule::ProcessDiameter, Amount::Length(outer), Amount::Length(most));
    }
    if let Some(most) = limits.max_radii.filter(|most| study.radii.len() > *most as usize) {
        found.part(Rule::Radii, Amount::Count(study.radii.len()), Amount::Count(most as usize));
    }
    let need = outer * limits.straight_between_od;
    for bend in &study.bends {
        if let Some(most) = limits.max_angle.filter(|most| bend.angle > *most + Deg::new(1e-6)) {
            found.bend(Rule::Angle, bend.number, Amount::Angle(bend.angle), Amount::Angle(most));
        }
        if let Some(straight) = bend.straight_between.filter(|straight| *straight + rounding() < need) {
            found.bend(Rule::StraightBetween, bend.number, Amount::Length(straight), Amount::Length(need));
        }
    }
    if matches!(process, Process::TwinHeadCompression | Process::ThreeRoll) {
        found.extend(one_plane(study, process, hand));
    }
    found.into_vec()
}

/// Lengths from different units must not fail by their last binary digit.
fn rounding() -> Mm {
    Mm::new(1e-6)
}

/// Heads and rolls that do not turn the tube bend in one plane, and one hand to one side.
fn one_plane(study: &Study, process: Process, hand: Hand) -> Vec<Refusal> {
    let mut found = Findings::new();
    if process == Process::ThreeRoll && study.coil {
        return Vec::new();
    }
    let Some(sides) = &study.sides else {
        for bend in crate::geometry::layout::bends_out_of_plane(study.piece.shape, study.tolerance) {
            let rotation = study.piece.shape.bends()[bend - 1].rotation;
            found.bend(Rule::Plane, bend, Amount::Angle(rotation), Amount::Words("0° or 180°"));
        }
        return found.into_vec();
    };
    if hand != Hand::Both {
        for (bend, _) in study.bends.iter().zip(sides).filter(|(_, side)| **side == Side::Opposite) {
            let limit = Amount::Words("that of the first bend");
            found.bend(Rule::Side, bend.number, Amount::Words("the other"), limit);
        }
    }
    found.into_vec()
}

/// What a machine refuses.
pub(super) fn machine(study: &Study, machine: &MachineLimits, blank: &Blank) -> Vec<Refusal> {
    let mut found = Findings::new();
    let tube = &study.piece.tube;
    let (low, high) = machine.od;
    if tube.outer() + rounding() < low {
        found.part(Rule::DiameterTooSmall, Amount::Length(tube.outer()), Amount::Length(low));
    }
    if tube.outer() > high + rounding() {
        found.part(Rule::DiameterTooLarge, Amount::Length(tube.outer()), Amount::Length(high));
    }
    if let Some(most) = machine.max_wall.filter(|most| tube.wall() > *most + rounding()) {
        found.part(Rule::Wall, Amount::Length(tube.wall()), Amount::Length(most));
    }
    if let Some(most) = machine.max_length.filter(|most| blank.length > *most + rounding()) {
        found.part(Rule::BlankLength, Amount::Length(blank.length), Amount::Length(most));
    }
    let moment = moment_kn_m(study, machine.process);
    if let Some(most) = machine.max_moment_kn_m.filter(|most| moment > *most) {
        found.part(Rule::Moment, Amount::Moment(moment), Amount::Moment(most));
    }
    if let Some(most) = machine.max_bends.filter(|most| study.bends.len() > *most) {
        found.part(Rule::BendCount, Amount::Count(study.bends.len()), Amount::Count(most));
    }
    if let Some(range) = machine.clr {
        study.bends.iter().for_each(|bend| radius_range(bend, range, &mut found));
    }
    found.into_vec()
}

fn radius_range(bend: &BendFacts, (low, high): (Mm, Mm), found: &mut Findings<Rule>) {
    let clr = Amount::Length(bend.clr);
    if bend.clr + rounding() < low {
        found.bend(Rule::RadiusTooSmall, bend.number, clr, Amount::Length(low));
    }
    if bend.clr > high + rounding() {
        found.bend(Rule::RadiusTooLarge, bend.number, clr, Amount::Length(high));
    }
}

/// Bending moment that a process needs, in kN m.
pub(super) fn moment_kn_m(study: &Study, process: Process) -> f64 {
    study.plastic_moment_kn_m * study.rules.processes.limits(process).moment_factor
}

/// What bars bending from one end: the tail, and floor and reach where the machine states them.
pub(super) fn approach(study: &Study, machine: &MachineLimits, direction: Direction) -> Vec<Refusal> {
    let mut found = Findings::new();
    let approach = study.approach(direction);
    // A coil leaves the rolls sideways; only heads that draw or push meet their own tail.
    if matches!(machine.process, Process::RotaryDraw | Process::FreeForm)
        && let Some((bend, clash)) = approach.tail_clash
    {
        let need = study.piece.tube.outer() + study.rules.processes.common.self_clearance;
        found.bend(Rule::TailClash, bend, Amount::Length(clash.distance), Amount::Length(need));
    }
    for reach in reaches(study, machine, direction) {
        if let Some(most) = machine.floor_clearance.filter(|most| reach.down > *most) {
            found.bend(Rule::Floor, reach.bend, Amount::Length(reach.down), Amount::Length(most));
        }
        if let Some(most) = machine.swing_clearance.filter(|most| reach.out > *most) {
            found.bend(Rule::Swing, reach.bend, Amount::Length(reach.out), Amount::Length(most));
        }
    }
    found.into_vec()
}

/// How far the formed end reaches at one bend.
pub(super) struct Reach {
    pub bend: usize,
    /// Below the tube's axis.
    pub down: Mm,
    /// From the bend's axis.
    pub out: Mm,
}

/// The reach at every bend. A right-hand head, turning the tube clockwise seen from above, has the
/// normal of the bend plane upwards; a left-hand head downwards; one with both hands chooses.
pub(super) fn reaches(study: &Study, machine: &MachineLimits, direction: Direction) -> Vec<Reach> {
    let down = |above, below| match machine.hand {
        Hand::Right => below,
        Hand::Left => above,
        Hand::Both => Mm::min(above, below),
    };
    let (first, second) = match machine.process {
        // Each head bends one half of the part from its own end.
        Process::TwinHeadCompression => {
            let half = study.bends.len().div_ceil(2);
            let from_start = study.from_start.swept.iter().filter(|at| at.bend <= half);
            let from_end = study.from_end.swept.iter().filter(|at| at.bend > half);
            (from_start.collect::<Vec<_>>(), from_end.collect::<Vec<_>>())
        }
        _ => (study.approach(direction).swept.iter().collect(), Vec::new()),
    };
    let reach = |at: &crate::geometry::sweep::Swept| Reach {
        bend: at.bend,
        down: down(at.above, at.below),
        out: at.radius,
    };
    first.into_iter().chain(second).map(reach).collect()
}
