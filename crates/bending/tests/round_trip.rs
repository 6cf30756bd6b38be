//! Rows to points and back on random parts, and against an independent linear-algebra library.

mod common;

use common::{bend, mm};
use elbowroom_bending::geometry::Point;
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_units::Mm;
use nalgebra::{Point3, Rotation3, Unit, Vector3};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

const PARTS: usize = 10_000;

fn random_shape(random: &mut Xoshiro256PlusPlus) -> Shape {
    let count = random.random_range(1..=12);
    let rows = (0..count).map(|i| {
        let rotation = if i == 0 { 0.0 } else { random.random_range(-179.999..180.0) };
        let straight = if random.random_bool(0.1) { 0.0 } else { random.random_range(1.0..800.0) };
        bend((straight, rotation, random.random_range(10.0..300.0), random.random_range(1.0..170.0)))
    });
    let rows = rows.collect();
    Shape::from_rows(rows, mm(random.random_range(1.0..800.0))).expect("the rows are sound")
}

fn numbers(shape: &Shape) -> Vec<f64> {
    let row = |b: &Bend| [b.straight_before.mm(), b.rotation.degrees(), b.clr.mm(), b.angle.degrees()];
    shape.bends().iter().flat_map(row).chain([shape.end_straight().mm()]).collect()
}

/// Difference of two numbers of a part, relative above 1 (a leg of a tight corner is long).
fn apart(a: f64, b: f64, scale: f64) -> f64 {
    (a - b).abs() / scale.max(1.0)
}

/// Longest leg in metres: rounding grows with the coordinates, which a corner of nearly half a turn
/// moves far out.
fn reach(points: &[Point]) -> f64 {
    points.iter().flat_map(|p| p.coordinates()).map(|c| c.abs().metres()).fold(1.0, f64::max)
}

#[test]
fn rows_to_points_and_back() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(38_100);
    let mut worst = 0.0_f64;
    for part in 0..PARTS {
        let shape = random_shape(&mut random);
        let points = shape.points().unwrap();
        let radii: Vec<Mm> = shape.bends().iter().map(|b| b.clr).collect();
        let again = Shape::from_points(&points, &radii).unwrap();
        for (a, b) in numbers(&again).into_iter().zip(numbers(&shape)) {
            worst = worst.max(apart(a, b, reach(&points)));
            assert!(apart(a, b, reach(&points)) <= 1e-9, "part {part}: {a} instead of {b}");
        }
        let placed = again.points().unwrap();
        for (a, b) in placed.iter().zip(&points) {
            assert!(a.distance(*b).mm() <= 1e-9 * reach(&points), "part {part}");
        }
    }
    assert!(worst > 0.0, "10 000 parts without any rounding would mean that nothing was converted");
}

/// Points by composing rigid motions, another way to the same places.
fn points_by_motions(shape: &Shape) -> Vec<Point3<f64>> {
    let mut frame = nalgebra::Isometry3::<f64>::identity();
    let advance = |x: f64| nalgebra::Translation3::new(x, 0.0, 0.0);
    let mut points = vec![Point3::origin()];
    let mut before = 0.0;
    for bend in shape.bends() {
        let setback = bend.clr.mm() * (bend.angle.radians() / 2.0).tan();
        frame *= advance(before + bend.straight_before.mm() + setback);
        points.push(frame * Point3::origin());
        let turn = Rotation3::from_axis_angle(&Vector3::x_axis(), bend.rotation.radians())
            * Rotation3::from_axis_angle(&Vector3::z_axis(), bend.angle.radians());
        frame *= nalgebra::UnitQuaternion::from_rotation_matrix(&turn);
        before = setback;
    }
    frame *= advance(before + shape.end_straight().mm());
    points.push(frame * Point3::origin());
    points
}

/// Angle and rotation of rows from points by projections, another way to the same numbers.
fn rotation_by_projection(p: &[Point3<f64>], i: usize) -> f64 {
    let axis = Unit::new_normalize(p[i + 1] - p[i]);
    let flat = |v: Vector3<f64>| v - axis.into_inner() * v.dot(&axis);
    // Before: the way the tube came from; after: where it goes, both seen along the leg.
    let (before, after) = (flat(p[i - 1] - p[i]), flat(p[i + 2] - p[i + 1]));
    let (ahead, aside) = (before.normalize(), axis.cross(&before.normalize()));
    after.dot(&aside).atan2(after.dot(&ahead))
}

#[test]
fn agrees_with_an_independent_library() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(16);
    for part in 0..PARTS {
        let shape = random_shape(&mut random);
        let ours = shape.points().unwrap();
        let theirs = points_by_motions(&shape);
        let scale = reach(&ours);
        for (a, b) in ours.iter().zip(&theirs) {
            let apart = (Vector3::new(a.x.mm(), a.y.mm(), a.z.mm()) - b.coords).norm();
            assert!(apart <= 1e-9 * scale, "part {part}: {apart} apart");
        }
        for i in 1..shape.bends().len() {
            let theirs = rotation_by_projection(&theirs, i).to_degrees();
            let ours = shape.bends()[i].rotation.degrees();
            let difference = (ours - theirs).abs();
            let apart = difference.min(360.0 - difference);
            assert!(apart <= 1e-9 * scale, "part {part}: {ours} and {theirs}, {apart:e} apart");
        }
    }
}

/// A-64 (mathematics, computed): turning and shifting all points leaves the whole list as it is.
#[test]
fn rigid_motions_change_no_row() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(64);
    for part in 0..1_000 {
        let shape = random_shape(&mut random);
        let mut turn = || random.random_range(-3.0..3.0);
        let motion = Rotation3::from_euler_angles(turn(), turn(), turn());
        let shift = Vector3::new(turn() * 100.0, turn() * 100.0, turn() * 100.0);
        let points = shape.points().unwrap();
        let moved = points.iter().map(|at| {
            let at = motion * Vector3::new(at.x.mm(), at.y.mm(), at.z.mm()) + shift;
            Point::new(at.x, at.y, at.z)
        });
        let radii: Vec<Mm> = shape.bends().iter().map(|b| b.clr).collect();
        let again = Shape::from_points(&moved.collect::<Vec<_>>(), &radii).unwrap();
        for (a, b) in numbers(&again).into_iter().zip(numbers(&shape)) {
            assert!(apart(a, b, reach(&points)) <= 1e-9, "A-64, part {part}: {a} instead of {b}");
        }
    }
}

#[test]
fn centreline_joins_and_measures() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(7);
    for _ in 0..1_000 {
        let shape = random_shape(&mut random);
        let line = Centreline::of(&shape);
        for pair in line.stretches().windows(2) {
            assert!(pair[0].end().distance(pair[1].start).mm() < 1e-9);
            assert!((pair[0].direction_at(1.0) - pair[1].along).norm() < 1e-9, "tangents join");
        }
        let total: Mm = line.stretches().iter().map(|s| s.length).sum();
        assert!(total.near(shape.developed_length(), mm(1e-6)));
        let end = line.stretches().last().unwrap().end();
        let last = *shape.points().unwrap().last().unwrap();
        assert!(
            end.distance(last).mm() < 1e-6 * reach(&shape.points().unwrap()),
            "rows and points end alike"
        );
        // The box holds a fine chain of corners and is touched by it.
        let (low, high) = line.bounding_box();
        let corners = line.polyline(mm(0.001));
        for axis in 0..3 {
            let of = |p: &Point| p.coordinates()[axis].mm();
            let lowest = corners.iter().map(of).fold(f64::INFINITY, f64::min);
            let highest = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            assert!((of(&low) - lowest).abs() < 0.002 && of(&low) <= lowest + 1e-9);
            assert!((of(&high) - highest).abs() < 0.002 && of(&high) >= highest - 1e-9);
        }
    }
}

#[test]
fn chain_length_tends_to_the_developed_length() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(9);
    for _ in 0..200 {
        let shape = random_shape(&mut random);
        let corners = Centreline::of(&shape).polyline(mm(1e-4));
        let chain: f64 = corners.windows(2).map(|pair| pair[0].distance(pair[1]).mm()).sum();
        let exact = shape.developed_length().mm();
        assert!(
            chain <= exact + 1e-9 && chain > exact - 0.05 * shape.bends().len() as f64,
            "{chain} of {exact}"
        );
    }
}
