//! The rows of the part: straight, rotation, radius and angle of every bend.

use crate::picture::{Anchor, Frame, Group, Ink, Text};
use elbowroom_planner::fit::PartFacts;
use elbowroom_units::quantity::plain;

/// Height of a row in pixels.
const ROW: f64 = 18.0;
/// Rows beside each other fill two blocks; more than these are counted, not shown.
const MOST: usize = 24;
/// Rows from which there are two blocks.
const ONE_BLOCK: usize = 8;
/// Right ends of the columns within a block, and their titles.
const COLUMNS: [(&str, f64); 5] =
    [("Bend", 40.0), ("straight before", 150.0), ("rotation", 235.0), ("CLR", 320.0), ("angle", 400.0)];
/// Distance of the two blocks.
const BLOCK: f64 = 476.0;

/// The list below the drawings, from the frame's top left corner, and where it ends.
pub(super) fn list(part: &PartFacts, frame: Frame) -> (Group, f64) {
    let mut group = Group::of(Vec::new());
    let rows = rows(part);
    let shown = rows.len().min(MOST);
    let per_block = if shown > ONE_BLOCK { shown.div_ceil(2) } else { shown };
    for (block, rows) in rows[..shown].chunks(per_block.max(1)).enumerate() {
        let left = frame.left + BLOCK * block as f64;
        titles(&mut group, left, frame.top);
        for (at, row) in rows.iter().enumerate() {
            cells(&mut group, left, frame.top + ROW * (at + 1) as f64, row);
        }
    }
    let bottom = frame.top + ROW * (per_block + 1) as f64;
    group.text(Text::new((frame.left, bottom), note(part, rows.len() - shown), 12.0).ink(Ink::Quiet));
    (group, bottom)
}

fn rows(part: &PartFacts) -> Vec<[String; 5]> {
    let row = |(at, bend): (usize, &elbowroom_bending::shape::Bend)| {
        [
            (at + 1).to_string(),
            plain(bend.straight_before.mm(), 2),
            format!("{}°", plain(bend.rotation.degrees(), 2)),
            plain(bend.clr.mm(), 2),
            format!("{}°", plain(bend.angle.degrees(), 2)),
        ]
    };
    part.shape.bends().iter().enumerate().map(row).collect()
}

fn note(part: &PartFacts, hidden: usize) -> String {
    let more = if hidden > 0 { format!("and {hidden} more bends; ") } else { String::new() };
    let end = plain(part.shape.end_straight().mm(), 2);
    format!("{more}last straight {end}. All lengths in mm; straights between tangent points.")
}

fn titles(group: &mut Group, left: f64, y: f64) {
    for (title, right) in COLUMNS {
        group.text(Text::new((left + right, y), title, 11.0).ink(Ink::Quiet).anchor(Anchor::End));
    }
    group.line(vec![(left, y + ROW / 2.0), (left + COLUMNS[4].1, y + ROW / 2.0)], Ink::Rule, 0.75);
}

fn cells(group: &mut Group, left: f64, y: f64, row: &[String; 5]) {
    for ((_, right), words) in COLUMNS.iter().zip(row) {
        group.text(Text::new((left + right, y), words.clone(), 12.0).anchor(Anchor::End));
    }
}
