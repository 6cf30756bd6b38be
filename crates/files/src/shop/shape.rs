//! The shape of a part: rows, or points with radii.

use super::one_system;
use crate::code;
use crate::finding::{Place, Problem};
use crate::keyed::values::{angle, exactly, length, list};
use crate::keyed::{Node, Table};
use elbowroom_bending::geometry::Point;
use elbowroom_bending::shape::{Bend, Shape, ShapeFault};
use elbowroom_bending::tube::Tube;
use elbowroom_units::{Deg, Mm};

/// The shape of a part, if it can be bent from the tube. Every fault is reported at its bend.
pub(crate) fn read(table: &Table<'_>, tube: Option<&Tube>) -> Option<Shape> {
    let rows = table.has("bends");
    let points = table.has("points");
    table.expect(&["clr", "clrs", "end_straight"]);
    one_system::check(table);
    match (rows, points) {
        (true, false) => from_rows(table, tube),
        (false, true) => from_points(table, tube),
        (true, true) => {
            contradiction(table, "points", "both `bends` and `points` are given; a part has one of the two")
        }
        (false, false) => {
            table.fault(Problem::new(code::MISSING_KEY, "key `bends` or `points` is missing"));
            None
        }
    }
}

fn contradiction<T>(table: &Table<'_>, key: &'static str, message: &str) -> Option<T> {
    table.fault_at(key, Problem::new(code::CONTRADICTION, message));
    None
}

fn from_rows(table: &Table<'_>, tube: Option<&Tube>) -> Option<Shape> {
    for key in ["clr", "clrs"] {
        if table.has(key) {
            return contradiction(
                table,
                key,
                &format!("`{key}` belongs to `points`; with `bends` each bend has its own `clr`"),
            );
        }
    }
    let end_straight = table.req("end_straight", length);
    let node = table.node("bends")?;
    let rows: Vec<Table<'_>> = node
        .items()?
        .enumerate()
        .filter_map(|(at, item)| item.table(format!("{}, bend {}", table.whose, at + 1)))
        .collect();
    let bends: Vec<Option<Bend>> = rows.iter().map(row).collect();
    let complete = bends.len() == node.items()?.count();
    let bends: Vec<Bend> = bends.into_iter().collect::<Option<_>>()?;
    if !complete {
        return None;
    }
    let point_at = |fault: &ShapeFault| row_place(table, &rows, fault);
    judge(table, tube, Shape::from_rows(bends, end_straight?), point_at)
}

/// One row; a rotation that is not given is 0.
fn row(table: &Table<'_>) -> Option<Bend> {
    let straight_before = table.req("straight", length);
    let rotation = table.or("rotation", Deg::ZERO, angle);
    let clr = table.req("clr", length);
    let angle = table.req("angle", angle);
    table.finish();
    Some(Bend { straight_before: straight_before?, rotation: rotation?, clr: clr?, angle: angle? })
}

/// Where the value at fault stands.
fn row_place(part: &Table<'_>, rows: &[Table<'_>], fault: &ShapeFault) -> Place {
    let key = match fault {
        ShapeFault::AngleOutOfRange { .. } | ShapeFault::NoIntersection { .. } => "angle",
        ShapeFault::RadiusOutOfRange { .. } | ShapeFault::RadiusInsideTube { .. } => "clr",
        ShapeFault::StraightOutOfRange { .. } => "straight",
        ShapeFault::FirstRotation { .. } => "rotation",
        _ => "bends",
    };
    let row = fault.bend().and_then(|bend| rows.get(bend - 1));
    let node = match (row, fault) {
        (Some(row), _) => row.node(key),
        (None, ShapeFault::StraightOutOfRange { .. }) => part.node("end_straight"),
        (None, _) => part.node("bends"),
    };
    node.map_or_else(|| row.unwrap_or(part).place(), |node| node.place())
}

fn from_points(table: &Table<'_>, tube: Option<&Tube>) -> Option<Shape> {
    if table.has("end_straight") {
        return contradiction(
            table,
            "end_straight",
            "`end_straight` belongs to `bends`; the last point is the end",
        );
    }
    let radii = radii(table);
    let node = table.node("points")?;
    let given = node.items()?.count();
    let points = list(point)(node)?;
    if points.len() != given {
        return None;
    }
    let place = |fault: &ShapeFault| point_place(table, fault);
    judge(table, tube, Shape::from_points(&points, &radii?), place)
}

/// `clr` for all bends, or `clrs` with one for each.
fn radii(table: &Table<'_>) -> Option<Vec<Mm>> {
    match (table.has("clr"), table.has("clrs")) {
        (true, true) => contradiction(
            table,
            "clrs",
            "both `clr` and `clrs` are given; one radius for all bends, or one for each",
        ),
        (true, false) => table.node("clr").and_then(length).map(|clr| vec![clr]),
        (false, true) => {
            let node = table.node("clrs")?;
            let radii = list(length)(node)?;
            (radii.len() == node.items()?.count()).then_some(radii)
        }
        (false, false) => {
            table.fault(Problem::new(
                code::MISSING_KEY,
                "key `clr` or `clrs` is missing: the radius of the bends at `points`",
            ));
            None
        }
    }
}

fn point(node: Node<'_>) -> Option<Point> {
    let [x, y, z] = exactly(node, length)?;
    Some(Point { x, y, z })
}

/// Where the point, radius or list at fault stands.
fn point_place(part: &Table<'_>, fault: &ShapeFault) -> Place {
    let item = |key, number: usize| {
        let node = part.node(key)?;
        node.get()
            .as_array()?
            .get(number.checked_sub(1)?)
            .map(|value| node.doc.text.place(value.span().start))
    };
    let key = |key| part.node(key).map(|node| node.place());
    let place = match *fault {
        ShapeFault::RepeatedPoint { point } | ShapeFault::PointOutOfRange { point } => item("points", point),
        ShapeFault::RadiusOutOfRange { bend, .. } | ShapeFault::RadiusInsideTube { bend, .. } => {
            item("clrs", bend).or_else(|| key("clr"))
        }
        ShapeFault::RadiusCount { .. } => key("clrs"),
        _ => fault.bend().and_then(|bend| item("points", bend + 1)),
    };
    place.or_else(|| key("points")).unwrap_or_else(|| part.place())
}

/// Reports what is wrong with a shape, by itself or in its tube.
fn judge(
    table: &Table<'_>,
    tube: Option<&Tube>,
    shape: Result<Shape, Vec<ShapeFault>>,
    place: impl Fn(&ShapeFault) -> Place,
) -> Option<Shape> {
    let (shape, faults) = match shape {
        Ok(shape) => {
            let faults = tube.map(|tube| shape.faults_with(tube)).unwrap_or_default();
            (Some(shape), faults)
        }
        Err(faults) => (None, faults),
    };
    for fault in &faults {
        let problem = Problem::new(code_of(fault), format!("{}: {fault}", table.whose)).hint(fault.remedy());
        table.error_at(place(fault), problem);
    }
    shape.filter(|_| faults.is_empty())
}

/// A value out of its range is that, wherever it was found out.
fn code_of(fault: &ShapeFault) -> &'static str {
    match fault {
        ShapeFault::AngleOutOfRange { .. }
        | ShapeFault::RadiusOutOfRange { .. }
        | ShapeFault::StraightOutOfRange { .. }
        | ShapeFault::RadiusInsideTube { .. } => code::OUT_OF_RANGE,
        _ => code::SHAPE,
    }
}

/// Where each bend of a part stands: its row, or its point.
pub(crate) fn bend_places(table: &Table<'_>) -> Vec<Place> {
    let places = |key, skip: usize, leave: usize| {
        let node = table.node(key)?;
        let list = node.get().as_array()?;
        let bends = list.len().checked_sub(skip + leave)?;
        Some(
            list.iter().skip(skip).take(bends).map(|value| node.doc.text.place(value.span().start)).collect(),
        )
    };
    places("bends", 0, 0).or_else(|| places("points", 1, 1)).unwrap_or_default()
}
