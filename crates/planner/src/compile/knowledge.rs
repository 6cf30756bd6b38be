//! The door to bending knowledge: a part and a cell of the shop in, what planning needs out.

use super::frame::Frame;
use super::ways::Way;
use crate::fit::Barrier;
use elbowroom_bending::fit::{
    Assessment, Difference, Hand as HeadHand, MachineLimits, Match, Mounted, Study, changeover, serves,
};
use elbowroom_bending::piece::Piece;
use elbowroom_bending::process::Process;
use elbowroom_bending::rules::Rules;
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_bending::tube::Tube;
use elbowroom_problem::CellIdx;
use elbowroom_shop::Shop;
use elbowroom_shop::cell::{BendLimits, Cell, Hand, WorkKind};
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_units::{Minutes, Mm, Seconds};
use std::sync::Arc;

/// What a bending cell says to a part.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Answer {
    /// The whole of bending knowledge about it.
    pub(crate) assessment: Assessment,
    /// Whether the customer approves the process.
    pub(crate) approved: bool,
}

impl Answer {
    /// Every reason why not; empty: it can. What the customer does not approve is not argued further.
    pub(crate) fn barriers(&self) -> Vec<Barrier> {
        if !self.approved {
            return vec![Barrier::NotApproved(self.assessment.process())];
        }
        self.assessment.refusals.iter().cloned().map(Barrier::Rule).collect()
    }
}

/// What planning needs to know of a part on a cell that can bend it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct BendFit {
    /// Everything that must be mounted.
    pub(crate) needs: Vec<ToolSpec>,
    /// Washing time of a piece; `None` where it need not be washed.
    pub(crate) washing: Option<Seconds>,
    /// Ends cut off after bending.
    pub(crate) cut_ends: u32,
    /// Length of tube to cut for a piece.
    pub(crate) blank: Mm,
    /// All that is known.
    pub(crate) assessment: Assessment,
}

impl BendFit {
    pub(crate) fn new(assessment: Assessment) -> Self {
        Self {
            needs: assessment.tooling.clone(),
            washing: (assessment.wash > Seconds::ZERO).then_some(assessment.wash),
            cut_ends: assessment.after_cuts,
            blank: assessment.blank,
            assessment,
        }
    }

    /// Length of tube that a piece takes.
    pub(crate) fn blank(&self) -> Mm {
        self.assessment.blank
    }

    /// Pieces to start for `quantity` good ones.
    pub(crate) fn pieces_to_start(&self, quantity: u32) -> u32 {
        self.assessment.pieces_to_start(quantity)
    }

    /// Working time on the cell for `quantity` good pieces, first article included; at least 1.
    pub(crate) fn run(&self, quantity: u32) -> Minutes {
        self.assessment.run_time(quantity).round_up_to_minutes().max(Minutes::new(1))
    }
}

/// What every bending cell says to one part; the part is studied once.
pub(crate) fn answers(frame: &Frame<'_>, part: &Part) -> Vec<(CellIdx, Answer)> {
    let Some((tube, material)) = frame.tube_of(part).and_then(|tube| Some((tube, frame.material_of(tube)?)))
    else {
        return Vec::new();
    };
    let piece = piece_of(part, tube, material);
    let study = Study::new(&piece, &frame.shop.rules);
    let bending = frame.shop.cells.iter().enumerate().filter_map(|(at, cell)| match cell.work {
        WorkKind::Bend(process) => Some((CellIdx::new(at), cell, process)),
        _ => None,
    });
    let answer = |cell: &Cell, process: Process| Answer {
        assessment: assessed(frame, &study, &tube.tube, cell, process),
        approved: part.processes.as_ref().is_none_or(|approved| approved.contains(&process)),
    };
    bending.map(|(at, cell, process)| (at, answer(cell, process))).collect()
}

/// What bending knowledge says, with the times that the shop has measured. Washing is work of its own.
fn assessed(frame: &Frame<'_>, study: &Study<'_>, tube: &Tube, cell: &Cell, process: Process) -> Assessment {
    let found = study.on(&machine(cell, process));
    let factor = frame.shop.measured.run(cell.work, tube);
    Assessment { cycle: found.cycle * factor, first_article: found.first_article * factor, ..found }
}

/// The way by which a part is being bent on a cell that could not bend it by the rules.
pub(crate) fn believed_way(frame: &Frame<'_>, part: &Part, at: CellIdx) -> Option<Way> {
    let found = on_one_cell(frame, part, at)?;
    Some(Way { process: found.process(), cells: vec![(at, Arc::new(BendFit::new(found)))] })
}

/// What one bending cell says to a part; `None` for another cell, or where tube or material is unknown.
pub(crate) fn on_one_cell(frame: &Frame<'_>, part: &Part, at: CellIdx) -> Option<Assessment> {
    let process = frame.process_of(at)?;
    let tube = frame.tube_of(part)?;
    let piece = piece_of(part, tube, frame.material_of(tube)?);
    let study = Study::new(&piece, &frame.shop.rules);
    Some(assessed(frame, &study, &tube.tube, &frame.shop.cells[at.get()], process))
}

fn piece_of<'a>(
    part: &'a Part,
    tube: &StockTube,
    material: &'a elbowroom_bending::material::Material,
) -> Piece<'a> {
    Piece { tube: tube.tube, material, shape: &part.shape, quality: part.quality, trim: part.trim }
}

fn machine(cell: &Cell, process: Process) -> MachineLimits {
    let limits = cell
        .limits
        .as_ref()
        .map_or_else(|| MachineLimits::unlimited(process), |limits| held_to(limits, process));
    MachineLimits { speed_factor: cell.speed_factor, ..limits }
}

fn held_to(limits: &BendLimits, process: Process) -> MachineLimits {
    MachineLimits {
        od: limits.od,
        max_wall: limits.max_wall,
        max_length: limits.max_length,
        clr: limits.clr,
        max_moment_kn_m: limits.max_moment_kn_m,
        hand: match limits.hand {
            Hand::Left => HeadHand::Left,
            Hand::Right => HeadHand::Right,
            Hand::Both => HeadHand::Both,
        },
        max_bends: limits.max_bends,
        floor_clearance: limits.floor_clearance,
        swing_clearance: limits.swing_clearance,
        bend_speed_deg_s: limits.bend_speed_deg_s,
        ..MachineLimits::unlimited(process)
    }
}

/// Whether a tool is the one that is needed; a substitute is never assumed.
pub(crate) fn serves_exactly(tool: &ToolSpec, need: &ToolSpec, rules: &Rules) -> bool {
    serves(tool, need, &rules.tooling.matching) == Match::Exact
}

/// How a tool differs that may be tried for a need if the tool maker agrees.
pub(crate) fn substitute_for(tool: &ToolSpec, need: &ToolSpec, rules: &Rules) -> Option<Vec<Difference>> {
    match serves(tool, need, &rules.tooling.matching) {
        Match::Substitute(differences) => Some(differences),
        Match::Exact | Match::No => None,
    }
}

/// A tool on a cell: its id and kind.
pub(crate) type OnCell = Mounted<String>;

/// Working time to change a bending cell over; `from` is `None` where nobody knows what is mounted.
pub(crate) fn change(
    shop: &Shop,
    cell: &Cell,
    from: Option<&[OnCell]>,
    to: &[OnCell],
    same_program: bool,
) -> Minutes {
    times_as_long(changeover(from, to, same_program, &shop.rules.times.setup), shop.measured.setup(cell.work))
}

/// A time by a measured factor, in minutes begun.
pub(crate) fn times_as_long(time: Minutes, factor: f64) -> Minutes {
    if factor == 1.0 { time } else { (Seconds::from(time) * factor).round_up_to_minutes() }
}

/// A tool as it stands on a cell.
pub(crate) fn on_cell(id: &str, kind: ToolKind) -> OnCell {
    Mounted { id: id.to_owned(), kind }
}
