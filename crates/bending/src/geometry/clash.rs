//! Whether a tube runs into itself.
//!
//! Two places of a tube clash if their centrelines come nearer than one diameter although they lie
//! far apart along the tube. How far: a centreline bends nowhere more tightly than half a diameter
//! `d` (tighter is refused before), and by Schur's comparison theorem a line that bends nowhere
//! more tightly than `d/2` has, over a length `s`, a chord of at least that of the circle of that
//! radius, `d sin(s/d)`. Up to `s = pi d/2` this grows, and reaches `d` there. So places nearer
//! along the tube than `pi d/2` are neighbours, and every other pair nearer than `d` is a clash.
//!
//! Arcs are replaced by chords; what they may hide is taken off the gap, so that a part is never
//! refused wrongly. A clash shallower than 4 % of a diameter may be missed.

use super::centreline::{Centreline, Stretch};
use super::{Point, Vector};
use elbowroom_units::Mm;
use std::f64::consts::FRAC_PI_2;

/// Largest distance between arc and chord, as a share of the tube's diameter.
const CHORD_SHARE: f64 = 0.02;

/// Two places of a tube that are too near to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clash {
    /// Bend at or after which the first place lies (0: before the first bend).
    pub after_bend: usize,
    /// Bend at or after which the second place lies.
    pub and_bend: usize,
    /// Distance of the centrelines there.
    pub distance: Mm,
}

/// The closest clash of a tube of diameter `outer` with itself, if its centrelines come nearer
/// than `outer` plus `gap`.
#[must_use]
pub fn with_itself(line: &Centreline, outer: Mm, gap: Mm) -> Option<Clash> {
    let links = links(line.stretches(), outer);
    let neighbours = outer.mm() * FRAC_PI_2;
    let mut closest: Option<Clash> = None;
    for (i, first) in links.iter().enumerate() {
        for second in links[i + 1..].iter().filter(|second| second.from - first.to >= neighbours) {
            note(&mut closest, first, second, limit(outer, gap));
        }
    }
    closest
}

/// The first bend (counted from 1), in the order of the line, after which the formed end comes too
/// near to the tube that is still straight behind it, with the closest clash there.
#[must_use]
pub fn with_tail(line: &Centreline, outer: Mm, gap: Mm) -> Option<(usize, Clash)> {
    let links = links(line.stretches(), outer);
    let neighbours = outer.mm() * FRAC_PI_2;
    let total = links.last()?.to;
    line.stretches().iter().filter_map(|stretch| Some((stretch, stretch.curve?.bend))).find_map(
        |(stretch, bend)| {
            let formed = links.partition_point(|link| link.bend < bend || link.bend == bend && link.curved);
            let from = links[..formed].last()?.to;
            let step = stretch.direction_at(1.0) * (total - from);
            let tail = Link { start: stretch.end(), step, from, to: total, bend, curved: false };
            let mut closest = None;
            for link in links[..formed].iter().take_while(|link| from - link.to >= neighbours) {
                note(&mut closest, link, &tail, limit(outer, gap));
            }
            closest.map(|clash| (bend, clash))
        },
    )
}

/// A chord of the centreline, with the lengths along the tube at which it begins and ends.
struct Link {
    start: Point,
    step: Vector,
    from: f64,
    to: f64,
    /// The bend at which, or after which, it lies; 0 before the first.
    bend: usize,
    /// Whether it belongs to the bend and not to the straight after it.
    curved: bool,
}

fn limit(outer: Mm, gap: Mm) -> f64 {
    (outer + gap).mm() - 2.0 * CHORD_SHARE * outer.mm()
}

fn links(stretches: &[Stretch], outer: Mm) -> Vec<Link> {
    let mut links = Vec::new();
    let (mut from, mut bend) = (0.0, 0);
    for stretch in stretches {
        bend = stretch.curve.map_or(bend, |curve| curve.bend);
        let corners: Vec<Point> = stretch.corners(outer * CHORD_SHARE).collect();
        let length = stretch.length.mm() / (corners.len() - 1) as f64;
        for pair in corners.windows(2) {
            let (start, step, curved) = (pair[0], pair[1] - pair[0], stretch.curve.is_some());
            links.push(Link { start, step, from, to: from + length, bend, curved });
            from += length;
        }
    }
    links
}

fn note(closest: &mut Option<Clash>, first: &Link, second: &Link, limit: f64) {
    // Most pairs are far apart; their middles tell so without the exact distance.
    let middles = second.start - first.start + (second.step - first.step) * 0.5;
    let reach = (first.to - first.from + second.to - second.from) / 2.0 + limit;
    if middles.dot(middles) > reach * reach {
        return;
    }
    let distance = segment_distance(first, second);
    if distance < limit && closest.is_none_or(|clash| distance < clash.distance.mm()) {
        *closest = Some(Clash { after_bend: first.bend, and_bend: second.bend, distance: Mm::new(distance) });
    }
}

/// Smallest distance of two line segments: the interior solution if there is one, else the best of
/// the four end points.
fn segment_distance(a: &Link, b: &Link) -> f64 {
    let between = a.start - b.start;
    let (aa, bb, ab) = (a.step.dot(a.step), b.step.dot(b.step), a.step.dot(b.step));
    let (ad, bd) = (a.step.dot(between), b.step.dot(between));
    let denominator = aa * bb - ab * ab;
    if denominator > 1e-12 * aa * bb {
        let (s, t) = ((ab * bd - bb * ad) / denominator, (aa * bd - ab * ad) / denominator);
        if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
            return (between + a.step * s - b.step * t).norm();
        }
    }
    let ends = [
        point_distance(a.start, b),
        point_distance(a.start + a.step, b),
        point_distance(b.start, a),
        point_distance(b.start + b.step, a),
    ];
    ends.into_iter().fold(f64::INFINITY, f64::min)
}

fn point_distance(point: Point, link: &Link) -> f64 {
    let to_point = point - link.start;
    let length = link.step.dot(link.step);
    let share = if length > 0.0 { (to_point.dot(link.step) / length).clamp(0.0, 1.0) } else { 0.0 };
    (to_point - link.step * share).norm()
}
