//! Things to watch on a part that can be made.

use super::blank::Blank;
use super::check;
use super::cycle;
use super::direction::Direction;
use super::expect::{BendExpected, Expected};
use super::finding::{Amount, Caution, Findings, Refusal};
use super::machine::{Hand, MachineLimits};
use super::rule::Rule;
use super::study::Study;
use super::watch::Watch;
use super::way::Way;
use crate::mechanics::Risk;
use elbowroom_units::Mm;

/// What the cautions of one assessment are made from.
pub(super) struct Scene<'s> {
    pub study: &'s Study<'s>,
    pub way: Way,
    pub machine: &'s MachineLimits,
    pub direction: Direction,
    pub blank: &'s Blank,
    pub expected: &'s Expected,
    pub unsupported: &'s [Refusal],
}

pub(super) fn cautions(scene: &Scene) -> Vec<Caution> {
    let mut found = Findings::new();
    grip(scene, &mut found);
    ends(scene, &mut found);
    machine(scene, &mut found);
    reach(scene, &mut found);
    for bend in &scene.expected.bends {
        metal(scene, bend, &mut found);
    }
    found.into_vec()
}

fn grip(scene: &Scene, found: &mut Findings<Watch>) {
    let limits = scene.study.rules.processes.limits(scene.way.process());
    let comfortable = scene.study.piece.tube.outer() * limits.comfortable_straight_od;
    for bend in &scene.study.bends {
        if let Some(straight) = bend.straight_between.filter(|straight| *straight < comfortable) {
            found.bend(
                Watch::ShortStraight,
                bend.number,
                Amount::Length(straight),
                Amount::Length(comfortable),
            );
        }
        if bend.bend_factor < limits.preferred_bend_factor * (1.0 - 1e-9) {
            let preferred = Amount::Ratio(limits.preferred_bend_factor);
            found.bend(Watch::TightRadius, bend.number, Amount::Ratio(bend.bend_factor), preferred);
        }
    }
}

fn ends(scene: &Scene, found: &mut Findings<Watch>) {
    let sides = [(&scene.blank.start, 1), (&scene.blank.end, scene.study.bends.len())];
    for (end, bend) in sides.into_iter().filter(|(end, _)| end.added() > Mm::ZERO) {
        found.bend(Watch::EndCutOff, bend, Amount::Length(end.straight), Amount::Length(end.need));
    }
}

fn machine(scene: &Scene, found: &mut Findings<Watch>) {
    let study = scene.study;
    match scene.way {
        Way::Bare | Way::Plug | Way::Ball => {
            if study.radii.len() > 1 {
                found.part(Watch::StackedDies, Amount::Count(study.radii.len()), Amount::Count(1));
            }
            mandrel_in_doubt(scene, found);
        }
        Way::Compression => {
            if let Some(straight) = cycle::heads_cannot_pass(study) {
                let need = study.rules.processes.twin_head_compression.min_head_distance;
                let bend = study.bends.len() / 2 + 1;
                found.bend(Watch::HeadsPass, bend, Amount::Length(straight), Amount::Length(need));
            }
        }
        Way::Rolls | Way::FreeForm => {}
    }
    let changes =
        study.sides.as_ref().map_or(0, |sides| sides.windows(2).filter(|pair| pair[0] != pair[1]).count());
    if scene.machine.hand != Hand::Both && changes > 0 {
        found.part(Watch::TurnedOver, Amount::Count(changes), Amount::Count(0));
    }
}

/// A mandrel is asked for only because the wall is somewhat thin.
fn mandrel_in_doubt(scene: &Scene, found: &mut Findings<Watch>) {
    let doubt = scene.study.rules.processes.rotary_draw.mandrel_doubt_wall_factor;
    let only_wall = matches!(scene.unsupported, [only] if only.subject == Rule::WallFactor);
    let wall_factor = scene.study.piece.tube.wall_factor();
    if only_wall && wall_factor <= doubt {
        let limit = scene.unsupported[0].limit;
        found.part(Watch::MandrelInDoubt, Amount::Ratio(wall_factor), limit);
    }
}

/// Floor and reach of a usual machine, where this one states none.
fn reach(scene: &Scene, found: &mut Findings<Watch>) {
    let limits = scene.study.rules.processes.limits(scene.way.process());
    for reach in check::reaches(scene.study, scene.machine, scene.direction) {
        if scene.machine.floor_clearance.is_none() && reach.down > limits.floor_clearance {
            let (value, limit) = (Amount::Length(reach.down), Amount::Length(limits.floor_clearance));
            found.bend(Watch::Floor, reach.bend, value, limit);
        }
        if scene.machine.swing_clearance.is_none() && reach.out > limits.swing_clearance {
            let (value, limit) = (Amount::Length(reach.out), Amount::Length(limits.swing_clearance));
            found.bend(Watch::Swing, reach.bend, value, limit);
        }
    }
}

fn metal(scene: &Scene, bend: &BendExpected, found: &mut Findings<Watch>) {
    let common = &scene.study.rules.processes.common;
    let forming = scene.way.forming(&scene.study.rules.processes);
    let elongation = scene.study.piece.material.elongation_percent;
    if bend.elongation_percent > elongation {
        let (value, limit) = (Amount::Percent(bend.elongation_percent), Amount::Percent(elongation));
        found.bend(Watch::Elongation, bend.bend, value, limit);
    }
    if bend.difficulty > common.simple_difficulty {
        let (value, limit) = (Amount::Ratio(bend.difficulty), Amount::Ratio(common.simple_difficulty));
        found.bend(Watch::Difficulty, bend.bend, value, limit);
    }
    if bend.wrinkling > Risk::Low {
        let severity = scene.study.bends[bend.bend - 1].severity;
        let (value, limit) = (Amount::Ratio(severity), Amount::Ratio(forming.wrinkling_watch_severity));
        found.bend(Watch::Wrinkling, bend.bend, value, limit);
    }
    let left = 100.0 - bend.thinning_percent;
    if left < common.thin_outside_percent - 1e-9 {
        let (value, limit) = (Amount::Percent(left), Amount::Percent(common.thin_outside_percent));
        found.bend(Watch::ThinOutside, bend.bend, value, limit);
    }
}
