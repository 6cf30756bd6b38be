//! The tools that a part needs on a machine.
//!
//! Rotary draw: for each radius a bend die; for the diameter a clamp die, a pressure die and a
//! collet; for diameter and wall a mandrel; for each radius that asks for one a wiper die. Twin
//! head: for each radius the dies and shoes of both heads, counted as one tool. Three-roll: a roll
//! set for the diameter. Free-form: guide and ring for the diameter, whatever the radii.

use super::study::{BendFacts, Study};
use super::way::Way;
use crate::rules::RotaryDrawRules;
use crate::tooling::{ToolKind, ToolSpec};
use elbowroom_units::Mm;

/// Everything that must be mounted, in the order in which lists show it.
pub(super) fn needed(study: &Study, way: Way) -> Vec<ToolSpec> {
    let outer = study.piece.tube.outer();
    match way {
        Way::Bare | Way::Plug | Way::Ball => rotary(study, way),
        Way::Compression => study
            .radii
            .iter()
            .map(|&clr| ToolSpec::with_radius(ToolKind::CompressionDie, outer, clr))
            .collect(),
        Way::Rolls => vec![ToolSpec::for_diameter(ToolKind::RollSet, outer)],
        Way::FreeForm => vec![ToolSpec::for_diameter(ToolKind::Ring, outer)],
    }
}

fn rotary(study: &Study, way: Way) -> Vec<ToolSpec> {
    let outer = study.piece.tube.outer();
    let dies = study.radii.iter().map(|&clr| ToolSpec::with_radius(ToolKind::BendDie, outer, clr));
    let holders = [ToolKind::ClampDie, ToolKind::PressureDie, ToolKind::Collet];
    let mut tools: Vec<ToolSpec> =
        dies.chain(holders.map(|kind| ToolSpec::for_diameter(kind, outer))).collect();
    if way.has_mandrel() {
        let wipers = study.radii.iter().filter(|clr| needs_wiper(study, **clr));
        tools.push(ToolSpec::mandrel(outer, study.piece.tube.wall(), balls(study, way)));
        tools.extend(wipers.map(|&clr| ToolSpec::with_radius(ToolKind::WiperDie, outer, clr)));
    }
    tools
}

/// Whether bends of this radius need a wiper die.
fn needs_wiper(study: &Study, clr: Mm) -> bool {
    let tube = &study.piece.tube;
    let rules = &study.rules.processes.rotary_draw.wiper;
    let bend_factor = tube.bend_factor(clr);
    let tighter = |limit: f64| bend_factor <= limit * (1.0 + 1e-9);
    tighter(rules.max_bend_factor)
        || tube.wall_factor() > rules.thin_wall_factor && tighter(rules.thin_max_bend_factor)
}

/// Balls of the mandrel: those of the bend that needs most.
fn balls(study: &Study, way: Way) -> u32 {
    if way == Way::Plug {
        return 0;
    }
    let rules = &study.rules.processes.rotary_draw;
    let wall_factor = study.piece.tube.wall_factor();
    study.bends.iter().map(|bend| balls_of_bend(rules, wall_factor, bend)).max().unwrap_or(0)
}

fn balls_of_bend(rules: &RotaryDrawRules, wall_factor: f64, bend: &BendFacts) -> u32 {
    let step = rules.balls.iter().rev().find(|step| wall_factor > step.above_wall_factor);
    let tight = bend.bend_factor < rules.tight_bend_factor * (1.0 - 1e-9);
    step.map_or(1, |step| if tight { step.tight } else { step.wide })
}
