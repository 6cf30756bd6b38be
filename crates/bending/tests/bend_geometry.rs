//! Bend geometry against published formulas and worked examples: check values.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{bend, check, deg, mm, rules, shape, tube};
use elbowroom_bending::blank::{Sawing, Yield};
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::geometry::coil::Coil;
use elbowroom_bending::geometry::{Point, arc};
use elbowroom_bending::section;
use elbowroom_bending::shape::{Shape, ShapeFault};
use elbowroom_units::Mm;

const MATHS: (&str, &str) = ("mathematics", "computed");

#[track_caller]
fn maths(id: &str, found: f64, wanted: f64, tolerance: f64) {
    check(id, MATHS.0, MATHS.1, found, wanted, tolerance);
}

fn points(list: &[(f64, f64, f64)]) -> Vec<Point> {
    list.iter().map(|&(x, y, z)| Point::new(x, y, z)).collect()
}

fn from_points(list: &[(f64, f64, f64)], radii: &[f64]) -> Shape {
    let radii: Vec<Mm> = radii.iter().map(|&r| mm(r)).collect();
    Shape::from_points(&points(list), &radii).unwrap()
}

#[track_caller]
fn list(id: &str, found: impl IntoIterator<Item = f64>, wanted: &[f64], tolerance: f64) {
    let found: Vec<f64> = found.into_iter().collect();
    assert_eq!(found.len(), wanted.len(), "{id}: {found:?}");
    for (found, wanted) in found.iter().zip(wanted) {
        maths(id, *found, *wanted, tolerance);
    }
}

fn legs(shape: &Shape) -> Vec<f64> {
    shape.points().unwrap().windows(2).map(|pair| pair[0].distance(pair[1]).mm()).collect()
}

fn angles(shape: &Shape) -> Vec<f64> {
    shape.bends().iter().map(|b| b.angle.degrees()).collect()
}

fn rotations(shape: &Shape) -> Vec<f64> {
    shape.bends().iter().map(|b| b.rotation.degrees()).collect()
}

fn straights(shape: &Shape) -> Vec<f64> {
    shape.straights().map(Mm::mm).collect()
}

fn setbacks(shape: &Shape) -> Vec<f64> {
    shape.bends().iter().map(|b| arc::setback(b.clr, b.angle).unwrap().mm()).collect()
}

#[test]
fn one_bend() {
    // are the formulas; their values for R = 100 (A-02 also in tube
    // bending notes, read).
    let rows: [(&str, f64, [f64; 6]); 8] = [
        ("A-07", 15.0, [26.179939, 13.165250, 26.105238, 0.862896, 0.855514, 0.150561]),
        ("A-08", 30.0, [52.359878, 26.794919, 51.763809, 3.527618, 3.407417, 1.229961]),
        ("A-09", 45.0, [78.539816, 41.421356, 76.536686, 8.239220, 7.612047, 4.302896]),
        ("A-10", 60.0, [104.719755, 57.735027, 100.0, 15.470054, 13.397460, 10.750299]),
        ("A-11", 90.0, [157.079633, 100.0, 141.421356, 41.421356, 29.289322, 42.920367]),
        ("A-12", 120.0, [209.439510, 173.205081, 173.205081, 100.0, 50.0, 136.970651]),
        ("A-13", 135.0, [235.619449, 241.421356, 184.775907, 161.312593, 61.731657, 247.223263]),
        ("A-14", 150.0, [261.799388, 373.205081, 193.185165, 286.370331, 74.118095, 484.610774]),
    ];
    for (id, angle, wanted) in rows {
        let (r, a) = (mm(100.0), deg(angle));
        let found = [
            arc::length(r, a),
            arc::setback(r, a).unwrap(),
            arc::chord(r, a),
            arc::external(r, a).unwrap(),
            arc::rise(r, a),
            arc::gain(r, a).unwrap(),
        ];
        list(id, found.map(Mm::mm), &wanted, 1e-6);
    }
}

#[test]
fn half_turns() {
    let (r, half_turn) = (mm(50.0), deg(180.0));
    maths("A-15", arc::length(r, half_turn).mm(), 157.079633, 1e-6);
    maths("A-15", arc::chord(r, half_turn).mm(), 100.0, 1e-6);
    assert_eq!(arc::setback(r, half_turn), None, "A-15");
    let hairpin = shape(&[(150.0, 0.0, 50.0, 180.0)], 150.0);
    assert_eq!(hairpin.points(), Err(ShapeFault::NoIntersection { bend: 1, angle: half_turn }), "A-15");
    let halved = hairpin.with_wide_bends_halved();
    list("A-16", straights(&halved), &[150.0, 0.0, 150.0], 1e-6);
    list("A-16", legs(&halved), &[200.0, 100.0, 200.0], 1e-6);
    maths("A-16", halved.developed_length().mm(), 457.079633, 1e-6);
    let drawn = from_points(&[(0., 0., 0.), (200., 0., 0.), (200., 100., 0.), (0., 100., 0.)], &[50.0]);
    list("A-16", straights(&drawn), &[150.0, 0.0, 150.0], 1e-6);
}

#[test]
fn radii_of_one_bend() {
    // The shop's constant 0.01745 (tube bending notes, read) is a little short of pi/180.
    let short = 0.01745 * 90.0 * 100.0;
    let exact = arc::length(mm(100.0), deg(90.0)).mm();
    check("A-17", "tube bending notes", "read + computed", short / exact - 1.0, -1.886e-4, 1e-6);
    let (outer, clr) = (mm(38.1), mm(76.2));
    maths("A-18", arc::inside_radius(clr, outer).mm(), 57.15, 1e-9);
    maths("A-18", arc::outside_radius(clr, outer).mm(), 95.25, 1e-9);
    maths("A-19", arc::clr_from_inside(mm(57.15), outer).mm(), 76.2, 1e-9);
    let lengths = [arc::inside_radius(clr, outer), clr, arc::outside_radius(clr, outer)];
    list("A-20", lengths.map(|r| arc::length(r, deg(90.0)).mm()), &[89.771010, 119.694680, 149.618350], 1e-6);
    let t = tube(38.1, 1.651);
    check("A-21", "Tingley", "read + computed", t.bend_factor(clr), 2.0, 1e-6);
    check("A-21", "Tingley", "read + computed", t.wall_factor(), 23.076923, 1e-6);
    // By the real diameter, always; nominal sizes would give 3.0 here.
    let pipe = tube(60.325, 3.9116);
    check("A-22", "UFC 4-159-01 note", "read + computed", pipe.bend_factor(mm(152.4)), 2.526316, 1e-6);
    let radius = arc::radius_from_chord_and_rise(mm(141.421356), mm(29.289322)).unwrap();
    maths("A-23", radius.mm(), 100.0, 1e-5);
    assert_eq!(arc::radius_from_chord_and_rise(mm(100.0), Mm::ZERO), None);
}

#[test]
fn coil() {
    let coil = Coil::new(mm(300.0), mm(40.0), 5.0).unwrap();
    maths("A-24", coil.length().mm(), 4716.631203, 1e-6);
    let shape = coil.shape(mm(100.0), mm(50.0)).unwrap();
    maths("A-24", shape.developed_length().mm(), 4716.631203 + 150.0, 1e-6);
    // The chain of arcs advances along the coil's axis by the pitch in each turn: after whole turns
    // its direction is that of the start.
    let line =
        elbowroom_bending::geometry::centreline::Centreline::of(&coil.shape(Mm::ZERO, Mm::ZERO).unwrap());
    let end = line.stretches().last().unwrap();
    let advance = Point::default().distance(end.end()).mm();
    maths("A-24 advance", advance, 200.0, 1.5);
}

fn g3() -> Shape {
    let list = [(0., 0., 0.), (200., 0., 0.), (300., 100., 100.), (300., 300., 100.), (100., 400., 200.)];
    from_points(&list, &[40.0, 40.0, 60.0])
}

#[test]
fn points_to_rows() {
    let g1 = from_points(&[(0., 0., 0.), (300., 0., 0.), (300., 200., 0.), (300., 200., 250.)], &[50.0]);
    list("A-30", legs(&g1), &[300.0, 200.0, 250.0], 1e-6);
    list("A-31", angles(&g1), &[90.0, 90.0], 1e-8);
    list("A-32", rotations(&g1), &[0.0, 90.0], 1e-8);
    list("A-33", setbacks(&g1), &[50.0, 50.0], 1e-6);
    list("A-34", straights(&g1), &[250.0, 100.0, 200.0], 1e-6);
    maths("A-35", g1.developed_length().mm(), 707.079633, 1e-6);

    let g2 = from_points(&[(0., 0., 0.), (250., 0., 0.), (400., 150., 0.), (400., 150., 300.)], &[60.0]);
    list("A-36", legs(&g2), &[250.0, 212.132034, 300.0], 1e-6);
    list("A-37", angles(&g2), &[45.0, 90.0], 1e-8);
    list("A-38", rotations(&g2), &[0.0, 90.0], 1e-8);
    list("A-39", setbacks(&g2), &[24.852814, 60.0], 1e-6);
    list("A-40", straights(&g2), &[225.147186, 127.279221, 240.0], 1e-6);
    maths("A-41", g2.developed_length().mm(), 733.798076, 1e-6);

    list("A-42", legs(&g3()), &[200.0, 173.205081, 200.0, 244.948974], 1e-6);
    list("A-43", angles(&g3()), &[54.735610317, 54.735610317, 65.905157448], 1e-8);
    list("A-44", rotations(&g3()), &[0.0, -60.0, 71.565051177], 1e-8);
    list("A-45", setbacks(&g3()), &[20.705524, 20.705524, 38.893891], 1e-6);
    list("A-46", straights(&g3()), &[179.294476, 131.794034, 140.400585, 206.055083], 1e-6);
    maths("A-47", g3().developed_length().mm(), 802.985227, 1e-6);
}

#[track_caller]
fn same_points(id: &str, shape: &Shape, wanted: &[(f64, f64, f64)]) {
    let found = shape.points().unwrap();
    assert_eq!(found.len(), wanted.len(), "{id}");
    for (found, wanted) in found.iter().zip(points(wanted)) {
        maths(id, found.distance(wanted).mm(), 0.0, 2e-6);
    }
}

fn g4() -> Shape {
    shape(&[(120.0, 0.0, 75.0, 60.0), (80.0, 30.0, 75.0, 90.0), (100.0, -45.0, 75.0, 120.0)], 90.0)
}

fn g5() -> Shape {
    shape(&[(100.0, 0.0, 76.2, 60.0), (0.0, 90.0, 127.0, 40.0)], 100.0)
}

#[test]
fn rows_to_points() {
    let wanted = [
        (0.0, 0.0, 0.0),
        (200.0, 0.0, 0.0),
        (300.0, 141.421356, 0.0),
        (300.0, 282.842712, -141.421356),
        (100.0, 424.264069, -141.421356),
    ];
    same_points("A-50", &g3(), &wanted);
    let drawn =
        points(&[(0., 0., 0.), (200., 0., 0.), (300., 100., 100.), (300., 300., 100.), (100., 400., 200.)]);
    let placed = g3().points().unwrap();
    for i in 0..5 {
        for j in 0..5 {
            let (a, b) = (drawn[i].distance(drawn[j]).mm(), placed[i].distance(placed[j]).mm());
            maths("A-51", a, b, 1e-9);
        }
    }
    let wanted = [
        (0.0, 0.0, 0.0),
        (163.301270, 0.0, 0.0),
        (262.451905, 171.733938, 0.0),
        (33.774047, 303.761160, 152.451905),
        (-9.404343, 173.194740, -19.145654),
    ];
    same_points("A-52", &g4(), &wanted);
    list("A-53", legs(&g4()), &[163.301270, 198.301270, 304.903811, 219.903811], 1e-6);
    maths("A-54", g4().developed_length().mm(), 743.429174, 1e-6);
    let wanted = [
        (0.0, 0.0, 0.0),
        (143.994091, 0.0, 0.0),
        (189.103246, 78.131349, 0.0),
        (245.110371, 175.138536, 93.991117),
    ];
    same_points("A-58", &g5(), &wanted);
    list("A-59", legs(&g5()), &[143.994091, 90.218310, 146.224220], 1e-6);
    maths("A-59", g5().developed_length().mm(), 368.459179, 1e-6);
    assert!(g5().has_compound_arc(), "A-58 is a part for free-form only");
}

#[test]
fn planar_parts() {
    let s = from_points(&[(0., 0., 0.), (200., 0., 0.), (200., 200., 0.), (400., 200., 0.)], &[50.0]);
    list("A-55", angles(&s), &[90.0, 90.0], 1e-8);
    list("A-55", rotations(&s), &[0.0, 180.0], 0.0);
    list("A-55", straights(&s), &[150.0, 100.0, 150.0], 1e-6);
    maths("A-55", s.developed_length().mm(), 557.079633, 1e-6);
    let u = from_points(&[(0., 0., 0.), (200., 0., 0.), (200., 200., 0.), (0., 200., 0.)], &[50.0]);
    list("A-56", rotations(&u), &[0.0, 0.0], 0.0);
    maths("A-56", u.developed_length().mm(), 557.079633, 1e-6);
    let inch = 25.4;
    let offset = from_points(
        &[
            (38.5202 * inch, -14.0264 * inch, 0.0),
            (45.3142 * inch, -14.0264 * inch, 0.0),
            (45.3142 * inch, -17.5214 * inch, 0.9654 * inch),
            (48.6822 * inch, -17.5214 * inch, 0.9654 * inch),
        ],
        &[0.5 * inch],
    );
    let source = ("a public question on an offset", "read + computed");
    for (found, wanted) in legs(&offset).into_iter().zip([6.794000, 3.625882, 3.368000]) {
        check("A-57", source.0, source.1, found / inch, wanted, 1e-6);
    }
    list("A-57", rotations(&offset), &[0.0, 180.0], 1e-6);
    check("A-57", source.0, source.1, offset.developed_length().mm() / inch, 13.358679, 1e-6);
}

#[track_caller]
fn alike(id: &str, found: &Shape, wanted: &Shape, tolerance: f64) {
    list(id, straights(found), &straights(wanted), tolerance);
    list(id, angles(found), &angles(wanted), tolerance);
    list(id, rotations(found), &rotations(wanted), tolerance);
    list(
        id,
        found.bends().iter().map(|b| b.clr.mm()),
        &wanted.bends().iter().map(|b| b.clr.mm()).collect::<Vec<_>>(),
        tolerance,
    );
}

#[test]
fn symmetries_of_the_description() {
    let g1 = from_points(&[(0., 0., 0.), (300., 0., 0.), (300., 200., 0.), (300., 200., 250.)], &[50.0]);
    let g2 = from_points(&[(0., 0., 0.), (250., 0., 0.), (400., 150., 0.), (400., 150., 300.)], &[60.0]);
    for part in [g1, g2, g3(), g4(), g5()] {
        let radii: Vec<Mm> = part.bends().iter().map(|b| b.clr).collect();
        let again = Shape::from_points(&part.points().unwrap(), &radii).unwrap();
        alike("A-60", &again, &part, 1e-9);
    }
    let back =
        points(&[(100., 400., 200.), (300., 300., 100.), (300., 100., 100.), (200., 0., 0.), (0., 0., 0.)]);
    let reversed = Shape::from_points(&back, &[60.0, 40.0, 40.0].map(Mm::new)).unwrap();
    list("A-61", rotations(&reversed), &[0.0, 71.565051177, -60.0], 1e-6);
    alike("A-61", &g3().reversed(), &reversed, 1e-9);
    let list_of =
        [(0., 0., -0.), (200., 0., -0.), (300., 100., -100.), (300., 300., -100.), (100., 400., -200.)];
    let mirror = from_points(&list_of, &[40.0, 40.0, 60.0]);
    list("A-62", rotations(&mirror), &[0.0, 60.0, -71.565051177], 1e-6);
    alike("A-62", &g3().mirrored(), &mirror, 1e-9);
    list("A-66 (left-handed machine)", rotations(&g3().mirrored()), &[0.0, 60.0, -71.565051177], 1e-6);
    let k = 25.4;
    let list_of = [
        (0., 0., 0.),
        (200. * k, 0., 0.),
        (300. * k, 100. * k, 100. * k),
        (300. * k, 300. * k, 100. * k),
        (100. * k, 400. * k, 200. * k),
    ];
    let scaled = from_points(&list_of, &[40.0 * k, 40.0 * k, 60.0 * k]);
    list("A-63", rotations(&scaled), &rotations(&g3()), 1e-9);
    list("A-63", straights(&scaled), &straights(&g3()).iter().map(|s| s * k).collect::<Vec<_>>(), 1e-9);
    // the canonical placement is itself a rigid motion of the points drawn.
    let moved = Shape::from_points(&g3().points().unwrap(), &[40.0, 40.0, 60.0].map(Mm::new)).unwrap();
    alike("A-64", &moved, &g3(), 1e-9);
}

#[test]
fn a_rotation_of_minus_180_is_one_of_180() {
    let part =
        shape(&[(100.0, 0.0, 50.0, 90.0), (100.0, -180.0, 50.0, 90.0), (100.0, 540.0, 50.0, 90.0)], 100.0);
    list("A-65", rotations(&part), &[0.0, 180.0, 180.0], 0.0);
    list("A-65", rotations(&part.mirrored()), &[0.0, 180.0, 180.0], 0.0);
}

#[track_caller]
fn refused(id: &str, found: Result<Shape, Vec<ShapeFault>>, wanted: &ShapeFault) {
    let faults = found.expect_err(id);
    assert!(faults.contains(wanted), "{id}: {faults:?}");
    assert!(faults.iter().all(|fault| !fault.remedy().is_empty() && !fault.to_string().is_empty()));
}

#[test]
fn impossible_points() {
    let of = |list: &[(f64, f64, f64)], radii: &[f64]| {
        Shape::from_points(&points(list), &radii.iter().map(|&r| mm(r)).collect::<Vec<_>>())
    };
    let collinear = of(&[(0., 0., 0.), (100., 0., 0.), (200., 0., 0.), (200., 100., 0.)], &[20.0]);
    refused("A-67", collinear, &ShapeFault::CollinearPoint { bend: 1, point: 2 });
    let twice = of(&[(0., 0., 0.), (100., 0., 0.), (100., 0., 0.), (200., 100., 0.)], &[20.0]);
    refused("A-68", twice, &ShapeFault::RepeatedPoint { point: 3 });
    let overlap = of(&[(0., 0., 0.), (200., 0., 0.), (200., 100., 0.), (0., 100., 0.)], &[60.0]);
    let Err(faults) = overlap else { panic!("A-69") };
    let [ShapeFault::SetbacksOverlap { leg: 2, length, setbacks }] = faults[..] else {
        panic!("A-69: {faults:?}")
    };
    maths("A-69", (length - setbacks).mm(), -20.0, 1e-9);
    let folded = of(&[(0., 0., 0.), (100., 0., 0.), (50., 0., 0.)], &[20.0]);
    refused("fold", folded, &ShapeFault::FoldsBack { bend: 1, point: 2 });
    refused("two points", of(&[(0., 0., 0.), (1., 0., 0.)], &[1.0]), &ShapeFault::TooFewPoints { points: 2 });
    let three = [(0., 0., 0.), (100., 0., 0.), (100., 100., 0.)];
    refused("radii", of(&three, &[1.0, 2.0]), &ShapeFault::RadiusCount { radii: 2, bends: 1 });
    refused("radius", of(&three, &[0.0]), &ShapeFault::RadiusOutOfRange { bend: 1, clr: Mm::ZERO });
}

#[test]
fn impossible_rows() {
    let of = |rows: &[(f64, f64, f64, f64)], end: f64| {
        Shape::from_rows(rows.iter().map(|&row| bend(row)).collect(), mm(end))
    };
    refused("none", of(&[], 100.0), &ShapeFault::NoBends);
    for angle in [0.0, -10.0, 360.0] {
        let fault = ShapeFault::AngleOutOfRange { bend: 2, angle: deg(angle) };
        refused("angle", of(&[(10.0, 0.0, 50.0, 90.0), (10.0, 0.0, 50.0, angle)], 0.0), &fault);
    }
    let fault = ShapeFault::RadiusOutOfRange { bend: 1, clr: mm(-5.0) };
    refused("radius", of(&[(10.0, 0.0, -5.0, 90.0)], 0.0), &fault);
    let fault = ShapeFault::StraightOutOfRange { before: Some(1), length: mm(-1.0) };
    refused("straight", of(&[(-1.0, 0.0, 50.0, 90.0)], 0.0), &fault);
    let fault = ShapeFault::StraightOutOfRange { before: None, length: mm(-1.0) };
    refused("end", of(&[(10.0, 0.0, 50.0, 90.0)], -1.0), &fault);
    let fault = ShapeFault::FirstRotation { rotation: deg(20.0) };
    refused("first rotation", of(&[(10.0, 20.0, 50.0, 90.0)], 0.0), &fault);
    let tight = shape(&[(100.0, 0.0, 19.05, 90.0)], 100.0);
    let fault = ShapeFault::RadiusInsideTube { bend: 1, clr: mm(19.05), outer: mm(38.1) };
    assert_eq!(tight.faults_with(&tube(38.1, 1.651)), [fault], "B-15");
    assert_eq!(tight.faults_with(&tube(38.0, 1.651)), []);
}

#[test]
fn cut_lengths_and_bars() {
    let bar = |bar, front, kerf, after| Sawing {
        bar: mm(bar),
        front_trim: mm(front),
        kerf: mm(kerf),
        cut_after_last: after,
    };
    let pieces = |sawing: Sawing, blank| sawing.of(mm(blank)).map(|bar: Yield| bar.pieces);
    assert_eq!(pieces(bar(6000.0, 0.0, 2.5, true), 747.7), Some(7), "A-71");
    assert_eq!(pieces(bar(6000.0, 0.0, 2.5, false), 747.7), Some(8), "A-72");
    let used = 6000.0 - bar(6000.0, 0.0, 2.5, false).of(mm(747.7)).unwrap().drop.mm();
    maths("A-72", used, 5999.1, 1e-9);
    let twenty_feet = bar(6096.0, 10.0, 2.5, false);
    assert_eq!(pieces(twenty_feet, 713.079633), Some(8), "A-73");
    maths("A-73", twenty_feet.of(mm(713.079633)).unwrap().drop.mm(), 363.862936, 1e-6);
    assert_eq!(twenty_feet.bars(mm(713.079633), 250), Some(32), "A-74");
    assert_eq!(twenty_feet.of(mm(7000.0)), None);
    assert_eq!(twenty_feet.of(Mm::ZERO), None);
    let steel = common::material("steel-dom-1020");
    maths("A-79", section::mass_kg(&tube(25.4, 1.651), &steel, mm(713.079633)), 0.689525, 1e-6);
    // need a machine and stand with the fit of parts.
    check(
        "A-75",
        "common practice",
        "common practice",
        rules().processes.rotary_draw.limits.arc_factor,
        1.0,
        0.0,
    );
}

/// The box of a tube's surface, worked out by hand (mathematics).
#[test]
fn box_of_the_surface() {
    // 190 before and after a quarter circle of 76.2, tube 50.8: to 190 + 76.2 + 25.4 both ways.
    let elbow = shape(&[(190.0, 0.0, 76.2, 90.0)], 190.0);
    let (low, high) = Centreline::of(&elbow).surface_box(mm(50.8));
    let sides = |low: Point, high: Point| [high.x - low.x, high.y - low.y, high.z - low.z].map(Mm::mm);
    list("elbow", sides(low, high), &[291.6, 291.6, 50.8], 1e-9);
    // Half a turn: 200, then the circle's 100 and the tube's 10 beyond it; 200 + 20 across.
    let hairpin = shape(&[(200.0, 0.0, 100.0, 180.0)], 50.0);
    let (low, high) = Centreline::of(&hairpin).surface_box(mm(20.0));
    list("hairpin", sides(low, high), &[310.0, 220.0, 20.0], 1e-9);
    // A leg at 45 degrees ends in a cut that reaches 10 cos 45 along both axes.
    let kink = shape(&[(100.0, 0.0, 100.0, 45.0)], 100.0);
    let (_, high) = Centreline::of(&kink).surface_box(mm(20.0));
    let leg = 45_f64.to_radians();
    let end = 100.0 + 100.0 * leg.sin() + 100.0 * leg.cos() + 10.0 * leg.sin();
    maths("kink", high.x.mm(), end, 1e-9);
}
