//! What is known of a piece before any machine is looked at.

use super::direction::Direction;
use crate::geometry::centreline::Centreline;
use crate::geometry::clash::{self, Clash};
use crate::geometry::layout::{self, Side, Tolerance};
use crate::geometry::sweep::{self, Swept};
use crate::mechanics::{difficulty, springback};
use crate::piece::Piece;
use crate::rules::Rules;
use crate::section;
use crate::shape::Shape;
use elbowroom_units::{Deg, Mm};

/// A piece with everything about it that does not depend on the machine. Make it once and ask it
/// about every machine.
#[derive(Debug)]
pub struct Study<'a> {
    pub(super) piece: &'a Piece<'a>,
    pub(super) rules: &'a Rules,
    pub(super) bends: Vec<BendFacts>,
    pub(super) radii: Vec<Mm>,
    pub(super) tolerance: Tolerance,
    pub(super) sides: Option<Vec<Side>>,
    pub(super) symmetrical: bool,
    pub(super) coil: bool,
    pub(super) clash: Option<Clash>,
    pub(super) from_start: Approach,
    pub(super) from_end: Approach,
    pub(super) plastic_moment_kn_m: f64,
}

/// What is known of one bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BendFacts {
    /// Number as drawn, from 1.
    pub number: usize,
    pub clr: Mm,
    pub angle: Deg,
    pub bend_factor: f64,
    pub severity: f64,
    /// Share of the angle that springs back by theory.
    pub springback_share: f64,
    /// Straight between it and the bend before; `None` for the first.
    pub straight_between: Option<Mm>,
}

impl BendFacts {
    /// Whether the inside of the bend exists.
    pub fn is_open(&self) -> bool {
        self.bend_factor > 0.5
    }
}

/// Bending the tube from one of its ends.
#[derive(Debug)]
pub(super) struct Approach {
    pub shape: Shape,
    /// Bends numbered as drawn.
    pub swept: Vec<Swept>,
    /// First bend (as drawn) after which the formed end meets the tail.
    pub tail_clash: Option<(usize, Clash)>,
}

impl<'a> Study<'a> {
    /// Studies a piece by the shop's rules.
    #[must_use]
    pub fn new(piece: &'a Piece<'a>, rules: &'a Rules) -> Self {
        let common = &rules.processes.common;
        let tolerance = Tolerance { length: common.same_length, angle: common.same_angle };
        let bends = bend_facts(piece);
        let outer = piece.tube.outer();
        // Where a bend has no inside, neighbours and clashes have no meaning.
        let open = bends.iter().all(BendFacts::is_open);
        let line = Centreline::of(piece.shape);
        let clash = if open { clash::with_itself(&line, outer, common.self_clearance) } else { None };
        let approach = |direction| Approach::new(piece, direction, open, common.self_clearance);
        Self {
            bends,
            radii: layout::radii(piece.shape, tolerance),
            tolerance,
            sides: layout::sides(piece.shape, tolerance),
            symmetrical: layout::is_symmetrical(piece.shape, tolerance),
            coil: layout::is_coil(piece.shape, tolerance),
            clash,
            from_start: approach(Direction::FromStart),
            from_end: approach(Direction::FromEnd),
            plastic_moment_kn_m: section::plastic_moment_kn_m(&piece.tube, piece.material),
            piece,
            rules,
        }
    }

    pub(super) fn approach(&self, direction: Direction) -> &Approach {
        match direction {
            Direction::FromStart => &self.from_start,
            Direction::FromEnd => &self.from_end,
        }
    }
}

impl Approach {
    fn new(piece: &Piece, direction: Direction, open: bool, gap: Mm) -> Self {
        let shape = match direction {
            Direction::FromStart => piece.shape.clone(),
            Direction::FromEnd => piece.shape.reversed(),
        };
        let count = shape.bends().len();
        let line = Centreline::of(&shape);
        let mut swept = sweep::of(&line, piece.tube.outer());
        for at in &mut swept {
            at.bend = direction.as_drawn(at.bend, count);
        }
        let tail_clash = if open { clash::with_tail(&line, piece.tube.outer(), gap) } else { None };
        let tail_clash = tail_clash.map(|(bend, clash)| (direction.as_drawn(bend, count), clash));
        Self { shape, swept, tail_clash }
    }
}

fn bend_facts(piece: &Piece) -> Vec<BendFacts> {
    let wall_factor = piece.tube.wall_factor();
    let facts = |(i, bend): (usize, &crate::shape::Bend)| {
        let bend_factor = piece.tube.bend_factor(bend.clr);
        BendFacts {
            number: i + 1,
            clr: bend.clr,
            angle: bend.angle,
            bend_factor,
            severity: difficulty::severity(wall_factor, bend_factor),
            springback_share: springback::share(&piece.tube, piece.material, bend.clr),
            straight_between: (i > 0).then_some(bend.straight_before),
        }
    };
    piece.shape.bends().iter().enumerate().map(facts).collect()
}
