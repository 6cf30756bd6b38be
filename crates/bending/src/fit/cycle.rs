//! Time of one piece on the machine.
//!
//! - Rotary draw: loading, and for each bend clamping, turning the die by the angle with its
//!   springback, turning it back, and feeding and turning the tube to the next bend (the longer of
//!   the two, for they happen together); with a mandrel slower bending and its moves; with stacked
//!   dies a level change where the radius changes.
//! - Twin head: the same by strokes, of two bends at once on symmetrical parts.
//! - Three-roll: loading, and for each pass setting the rolls and running the tube through.
//! - Free-form: loading, straights and arcs by their lengths, and ring moves.
//!
//! The form is that of the machines' motions; every coefficient is common practice and stands in
//! `config/times.toml`.

use super::direction::Direction;
use super::expect;
use super::machine::MachineLimits;
use super::study::Study;
use super::way::Way;
use crate::rules::{FreeFormTimes, RotaryDrawTimes, StartRules, ThreeRollTimes, TwinHeadTimes};
use crate::shape::Bend;
use elbowroom_units::{Deg, Mm, Seconds};

/// Time of one piece, at the machine's own speed.
pub(super) fn cycle(study: &Study, way: Way, machine: &MachineLimits, direction: Direction) -> Seconds {
    let times = &study.rules.times;
    let speed = machine.bend_speed_deg_s;
    let standard = match way {
        Way::Bare | Way::Plug | Way::Ball => rotary(study, way, &times.rotary_draw, speed, direction),
        Way::Compression => twin_head(study, &times.twin_head_compression, speed),
        Way::Rolls => three_roll(study, &times.three_roll),
        Way::FreeForm => free_form(study, &times.free_form),
    };
    if machine.speed_factor > 0.0 { standard / machine.speed_factor } else { standard }
}

/// What starting a lot costs.
pub(super) fn start<'a>(study: &Study<'a>, way: Way) -> &'a StartRules {
    let times = &study.rules.times;
    match way {
        Way::Bare => &times.rotary_draw.start_bare,
        Way::Plug | Way::Ball => &times.rotary_draw.start_mandrel,
        Way::Compression => &times.twin_head_compression.start,
        Way::Rolls => &times.three_roll.start,
        Way::FreeForm => &times.free_form.start,
    }
}

/// Strokes of a way of bending: each makes one bend, or two on a twin head.
pub(super) fn strokes(study: &Study, way: Way) -> usize {
    match way {
        Way::Compression => pairs(study).len(),
        _ => study.bends.len(),
    }
}

fn rotary(
    study: &Study,
    way: Way,
    times: &RotaryDrawTimes,
    speed: Option<f64>,
    direction: Direction,
) -> Seconds {
    let bends = study.approach(direction).shape.bends();
    let speed = speed.unwrap_or(times.bend_speed_deg_s);
    let (load, each, speed) = if way.has_mandrel() {
        (
            times.load_unload + times.mandrel_load,
            times.clamp + times.mandrel_per_bend,
            speed * times.mandrel_speed_share,
        )
    } else {
        (times.load_unload, times.clamp, speed)
    };
    let strokes: Seconds = loaded_angles(study, way)
        .map(|angle| each + turn(angle, speed) + turn(angle, times.return_speed_deg_s))
        .sum();
    load + strokes + bends.windows(2).map(|pair| between(study, times, &pair[0], &pair[1])).sum()
}

/// From one bend to the next: feed, turn, and change the die level where the radius changes.
fn between(study: &Study, times: &RotaryDrawTimes, bend: &Bend, next: &Bend) -> Seconds {
    let feed = travel(next.straight_before, times.feed_speed_mm_s);
    let rotate = turn(next.rotation.abs(), times.rotation_speed_deg_s);
    let same_die = bend.clr.near(next.clr, study.tolerance.length);
    feed.max(rotate) + if same_die { Seconds::ZERO } else { times.level_change }
}

fn twin_head(study: &Study, times: &TwinHeadTimes, speed: Option<f64>) -> Seconds {
    let speed = speed.unwrap_or(times.bend_speed_deg_s);
    let angles: Vec<Deg> = loaded_angles(study, Way::Compression).collect();
    let bends = study.piece.shape.bends();
    let mut time = times.load_unload;
    for (i, pair) in pairs(study).into_iter().enumerate() {
        let angle = angles[pair.0].max(angles[pair.1]);
        time += times.clamp + turn(angle, speed) + turn(angle, times.return_speed_deg_s);
        if i > 0 {
            time += travel(bends[pair.0].straight_before, times.feed_speed_mm_s);
        }
    }
    time
}

/// The bends (from 0) that a twin head makes in each stroke, outermost first; a bend alone is
/// paired with itself.
pub(super) fn pairs(study: &Study) -> Vec<(usize, usize)> {
    let count = study.bends.len();
    let rules = &study.rules.processes.twin_head_compression;
    if !study.symmetrical && !rules.independent_heads {
        return (0..count).map(|i| (i, i)).collect();
    }
    let mut pairs: Vec<(usize, usize)> = (0..count.div_ceil(2)).map(|i| (i, count - 1 - i)).collect();
    if heads_cannot_pass(study).is_some()
        && let Some((a, b)) = pairs.pop()
    {
        pairs.extend([(a, a), (b, b)]);
    }
    pairs
}

/// The straight between the two innermost bends, if they would be made at once and it is too short
/// for the heads.
pub(super) fn heads_cannot_pass(study: &Study) -> Option<Mm> {
    let count = study.bends.len();
    let rules = &study.rules.processes.twin_head_compression;
    let at_once = count.is_multiple_of(2) && (study.symmetrical || rules.independent_heads);
    let middle = at_once.then(|| study.piece.shape.bends()[count / 2].straight_before)?;
    (middle < rules.min_head_distance).then_some(middle)
}

fn three_roll(study: &Study, times: &ThreeRollTimes) -> Seconds {
    let pass = times.adjust + travel(study.piece.shape.developed_length(), times.feed_speed_mm_s);
    times.load_unload + pass * f64::from(times.passes)
}

fn free_form(study: &Study, times: &FreeFormTimes) -> Seconds {
    let shape = study.piece.shape;
    let arcs: Mm = shape.bends().iter().map(Bend::arc_length).sum();
    let straights: Mm = shape.straights().sum();
    times.load_unload
        + travel(arcs, times.arc_speed_mm_s)
        + travel(straights, times.straight_speed_mm_s)
        + times.ring_move * ring_moves(study) as f64
}

/// Changes between straight and arc, or of radius or plane from arc to arc.
fn ring_moves(study: &Study) -> usize {
    let bends = study.piece.shape.bends();
    let into_first = usize::from(bends[0].straight_before > Mm::ZERO);
    let out_of_last = usize::from(study.piece.shape.end_straight() > Mm::ZERO);
    let moves = |pair: &[Bend]| {
        let (bend, next) = (&pair[0], &pair[1]);
        if next.straight_before > Mm::ZERO {
            return 2;
        }
        let goes_on = study.coil || bend.clr == next.clr && next.rotation == Deg::ZERO;
        usize::from(!goes_on)
    };
    into_first + out_of_last + bends.windows(2).map(moves).sum::<usize>()
}

/// Angles to bend to, springback included.
fn loaded_angles(study: &Study, way: Way) -> impl Iterator<Item = Deg> {
    study.bends.iter().map(move |bend| bend.angle / (1.0 - expect::springback_share(study, way, bend)))
}

fn turn(angle: Deg, speed_deg_s: f64) -> Seconds {
    at_speed(angle.degrees(), speed_deg_s)
}

fn travel(length: Mm, speed_mm_s: f64) -> Seconds {
    at_speed(length.mm(), speed_mm_s)
}

/// Rules with a speed that is not positive are refused when they are read; here they cost no time.
fn at_speed(way: f64, speed: f64) -> Seconds {
    if speed > 0.0 { Seconds::new((way / speed).min(LONGEST)) } else { Seconds::ZERO }
}

/// A year: no motion takes longer, whatever speed was typed.
const LONGEST: f64 = 3.2e7;
