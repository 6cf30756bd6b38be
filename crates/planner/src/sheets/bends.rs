use crate::compile::frame::Frame;
use crate::compile::knowledge::on_one_cell;
use elbowroom_bending::fit::{Assessment, Direction, Way, sentences};
use elbowroom_bending::geometry::half_open;
use elbowroom_bending::shape::Bend;
use elbowroom_problem::CellIdx;
use elbowroom_shop::part::Part;
use elbowroom_units::{Deg, Mm};

/// How a part is bent on a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Bending {
    /// The way.
    pub way: Way,
    /// From which end; rows are in the order in which the bends are made.
    pub direction: Direction,
    /// The bends.
    pub rows: Vec<BendRow>,
    /// Straight after the last bend that is made.
    pub last_straight: Mm,
    /// Length of tube to cut for a piece.
    pub blank: Mm,
    /// Whether lubricant goes inside the tube.
    pub lubricated_inside: bool,
    /// Pieces spent on setting up.
    pub setup_pieces: u32,
    /// The largest ovality to expect, in percent of the diameter, and the bend as drawn that has it.
    pub ovality: Option<(f64, usize)>,
    /// Things to watch on this part, each with what to do.
    pub watch: Vec<(String, &'static str)>,
}

/// One bend, as the operator makes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendRow {
    /// Its number as drawn.
    pub drawn: usize,
    /// Straight since the bend before, between tangent points.
    pub straight: Mm,
    /// Turn of the plane since the bend before, right-handed along the tube.
    pub rotation: Deg,
    /// Turn of the plane since the first bend: all rotations so far together.
    pub plane: Deg,
    /// Radius of the centreline.
    pub clr: Mm,
    /// Angle as drawn.
    pub angle: Deg,
    /// Angle to bend to so that it springs back to the angle drawn; `None` where no estimate exists.
    pub bend_to: Option<Deg>,
    /// Radius under load that springs back to the radius drawn; `None` where no estimate exists.
    pub loaded_radius: Option<Mm>,
}

/// How a part is bent on a cell; `None` where the cell does not bend.
pub(super) fn bending(frame: &Frame<'_>, part: &Part, at: CellIdx) -> Option<Bending> {
    let assessment = on_one_cell(frame, part, at)?;
    let turned = assessment.direction == Direction::FromEnd;
    let shape = if turned { part.shape.reversed() } else { part.shape.clone() };
    let worst =
        assessment.expected.bends.iter().max_by(|a, b| a.ovality_percent.total_cmp(&b.ovality_percent));
    Some(Bending {
        way: assessment.way,
        direction: assessment.direction,
        rows: rows(shape.bends(), &assessment),
        last_straight: shape.end_straight(),
        blank: assessment.blank,
        lubricated_inside: assessment.lubricated_inside,
        setup_pieces: assessment.setup_pieces,
        ovality: worst.map(|bend| (bend.ovality_percent, bend.bend)),
        watch: sentences(&assessment.cautions),
    })
}

fn rows(bends: &[Bend], assessment: &Assessment) -> Vec<BendRow> {
    let mut plane = Deg::ZERO;
    let row = |(i, bend): (usize, &Bend)| {
        plane = half_open(plane + bend.rotation);
        let drawn = assessment.direction.as_drawn(i + 1, bends.len());
        let expected = assessment.expected.bends.iter().find(|expected| expected.bend == drawn);
        BendRow {
            drawn,
            straight: bend.straight_before,
            rotation: bend.rotation,
            plane,
            clr: bend.clr,
            angle: bend.angle,
            bend_to: expected.map(|expected| bend.angle + expected.springback),
            loaded_radius: expected.map(|expected| expected.tool_radius),
        }
    };
    bends.iter().enumerate().map(row).collect()
}
