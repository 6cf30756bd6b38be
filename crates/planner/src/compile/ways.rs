//! The ways in which a part can be bent in this shop.

use super::calendars::Calendars;
use super::frame::Frame;
use super::knowledge::{self, Answer, BendFit};
use crate::words::listed;
use elbowroom_bending::process::Process;
use elbowroom_problem::CellIdx;
use elbowroom_shop::part::Part;
use elbowroom_units::{Mm, Seconds};
use std::sync::{Arc, OnceLock};

/// What every bending cell says to a part.
#[derive(Debug)]
pub(crate) struct PartFits {
    pub(crate) fits: Vec<(CellIdx, Arc<BendFit>)>,
    pub(crate) refusals: Vec<(CellIdx, Vec<String>)>,
}

/// One process with the cells that can bend a part by it.
#[derive(Clone)]
pub(crate) struct Way {
    pub(crate) process: Process,
    pub(crate) cells: Vec<(CellIdx, Arc<BendFit>)>,
}

impl Way {
    /// Pieces to start so that `quantity` good ones come out, whichever cell bends them.
    pub(crate) fn pieces_to_start(&self, quantity: u32) -> u32 {
        self.cells.iter().map(|(_, fit)| fit.pieces_to_start(quantity)).max().unwrap_or(quantity)
    }

    /// Washing time of a piece; `None` where it need not be washed.
    pub(crate) fn washing(&self) -> Option<Seconds> {
        self.cells.iter().filter_map(|(_, fit)| fit.washing).max()
    }

    /// Length of tube to cut for a piece, enough for every cell.
    pub(crate) fn blank(&self) -> Option<Mm> {
        self.cells.iter().map(|(_, fit)| fit.blank).max()
    }

    /// The cells themselves.
    pub(crate) fn cell_indices(&self) -> impl Iterator<Item = CellIdx> + use<'_> {
        self.cells.iter().map(|(cell, _)| *cell)
    }

    /// The way with only the cells that are ever open with their crews; `None` if none is left.
    pub(crate) fn manned(mut self, frame: &Frame<'_>, calendars: &Calendars) -> Option<Self> {
        self.cells.retain(|(cell, _)| calendars.is_ever_manned(frame, *cell));
        (!self.cells.is_empty()).then_some(self)
    }

    /// Ends of a piece that are cut off after bending.
    pub(crate) fn cut_ends(&self) -> u32 {
        self.cells.iter().map(|(_, fit)| fit.cut_ends).max().unwrap_or(0)
    }
}

/// Answers to the parts of a shop, in the order of its list, each worked out when first asked for. They
/// follow from parts, tubes, materials, cells and rules alone, so they may be kept while these stay.
pub(crate) type Fits = Arc<[OnceLock<Arc<PartFits>>]>;

/// Answers of all parts asked for, each worked out once.
pub(crate) struct Ways<'a> {
    frame: &'a Frame<'a>,
    asked: Fits,
}

impl<'a> Ways<'a> {
    pub(crate) fn new(frame: &'a Frame<'a>) -> Self {
        Self::kept(frame, frame.shop.parts.iter().map(|_| OnceLock::new()).collect())
    }

    /// With the answers that are known already, for a shop of the same parts and cells.
    pub(crate) fn kept(frame: &'a Frame<'a>, asked: Fits) -> Self {
        Self { frame, asked }
    }

    /// All answers so far.
    pub(crate) fn fits(&self) -> Fits {
        self.asked.clone()
    }

    /// What every bending cell says to the part at a position of the shop's list.
    pub(crate) fn of(&self, part: usize) -> Arc<PartFits> {
        let frame = self.frame;
        self.asked[part].get_or_init(|| Arc::new(ask(frame, &frame.shop.parts[part]))).clone()
    }
}

fn ask(frame: &Frame<'_>, part: &Part) -> PartFits {
    PartFits::of(knowledge::answers(frame, part))
}

impl PartFits {
    /// Sorts answers into those of cells that can and those of cells that cannot.
    pub(crate) fn of(answers: Vec<(CellIdx, Answer)>) -> Self {
        let mut said = Self { fits: Vec::new(), refusals: Vec::new() };
        for (cell, answer) in answers {
            let barriers = answer.barriers();
            if barriers.is_empty() {
                said.fits.push((cell, Arc::new(BendFit::new(answer.assessment))));
            } else {
                said.refusals.push((cell, barriers.iter().map(ToString::to_string).collect()));
            }
        }
        said
    }

    /// One way for each process, in the processes' order.
    pub(crate) fn ways(&self, frame: &Frame<'_>) -> Vec<Way> {
        let by = |process: Process| Way {
            process,
            cells: self
                .fits
                .iter()
                .filter(|(cell, _)| frame.process_of(*cell) == Some(process))
                .cloned()
                .collect(),
        };
        Process::ALL.into_iter().map(by).filter(|way| !way.cells.is_empty()).collect()
    }

    /// Why no cell, or not every cell, can bend it: each reason once, with the cells it holds for.
    pub(crate) fn reasons(&self, frame: &Frame<'_>) -> Vec<String> {
        let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
        for (cell, why) in &self.refusals {
            let id = frame.shop.cells[cell.get()].id.as_str();
            for reason in why {
                match reasons.iter_mut().find(|(known, _)| known == reason) {
                    Some((_, cells)) => cells.push(id),
                    None => reasons.push((reason, vec![id])),
                }
            }
        }
        let text = |(reason, cells): (&str, Vec<&str>)| format!("{}: {reason}", listed(&cells, cells.len()));
        reasons.into_iter().map(text).collect()
    }
}
