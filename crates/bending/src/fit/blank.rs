//! The blank: how long a tube to cut for one piece.
//!
//! Straights, plus the length that each bend uses (the arc at the shifted neutral axis times the
//! factor from first articles, see [`crate::mechanics::wall::length_used`]), plus the trim at each
//! end, plus what each end lacks to be held in clamp, collet, guide or rolls. What is cut off later
//! may be held, so the trim counts towards it.

use super::direction::Direction;
use super::study::Study;
use crate::mechanics::wall;
use crate::process::Process;
use elbowroom_units::Mm;

/// The blank of one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Blank {
    /// Length to cut.
    pub length: Mm,
    /// Ends that are cut off after bending.
    pub after_cuts: u32,
    /// What the start as drawn lacks to be held.
    pub start: End,
    /// What the end as drawn lacks to be held.
    pub end: End,
}

/// One end of the tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct End {
    /// Its straight, trim included.
    pub straight: Mm,
    /// What is needed to hold it.
    pub need: Mm,
}

impl End {
    /// Length added to hold it.
    pub fn added(&self) -> Mm {
        (self.need - self.straight).max(Mm::ZERO)
    }
}

impl Blank {
    pub fn of(study: &Study, process: Process, direction: Direction) -> Self {
        let (start, end) = ends(study, process, direction);
        let trim = study.piece.trim;
        let added = start.added() + end.added();
        let cut = |end: &End| u32::from(trim > Mm::ZERO || end.added() > Mm::ZERO);
        let straights: Mm = study.piece.shape.straights().sum();
        Self {
            length: straights + length_in_bends(study, process) + trim * 2.0 + added,
            after_cuts: cut(&start) + cut(&end),
            start,
            end,
        }
    }
}

fn ends(study: &Study, process: Process, direction: Direction) -> (End, End) {
    let (first, last) = needs(study, process);
    let shape = study.piece.shape;
    let straight_at_start = shape.bends()[0].straight_before + study.piece.trim;
    let straight_at_end = shape.end_straight() + study.piece.trim;
    let (at_start, at_end) = match direction {
        Direction::FromStart => (first, last),
        Direction::FromEnd => (last, first),
    };
    (End { straight: straight_at_start, need: at_start }, End { straight: straight_at_end, need: at_end })
}

/// What the end bent first and the end bent last need to be held.
fn needs(study: &Study, process: Process) -> (Mm, Mm) {
    let limits = study.rules.processes.limits(process);
    let outer = study.piece.tube.outer();
    let (first, last) = (outer * limits.first_straight_od, outer * limits.last_straight_od);
    match process {
        Process::ThreeRoll => {
            let flat = study.rules.processes.three_roll.flat_end;
            (first.max(flat), last.max(flat))
        }
        _ => (first, last),
    }
}

fn length_in_bends(study: &Study, process: Process) -> Mm {
    let limits = study.rules.processes.limits(process);
    let tube = &study.piece.tube;
    let factor = limits.arc_factor_by_material.get(&study.piece.material.id).unwrap_or(&limits.arc_factor);
    let used = |bend: &super::study::BendFacts| {
        let shift = wall::neutral_axis_shift(bend.clr, tube.outer(), tube.wall());
        wall::length_used(bend.clr, bend.angle, shift, limits.neutral_axis_share, *factor)
    };
    study.bends.iter().map(used).sum()
}
