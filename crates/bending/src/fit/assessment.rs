//! The answer about one part on one machine.

use super::blank::Blank;
use super::caution::{self, Scene};
use super::direction::Direction;
use super::expect::{self, Expected};
use super::finding::{Amount, Caution, Findings, Refusal};
use super::machine::MachineLimits;
use super::rule::Rule;
use super::study::Study;
use super::way::Way;
use super::{check, cycle, tools};
use crate::piece::Piece;
use crate::process::Process;
use crate::rules::Rules;
use crate::tooling::ToolSpec;
use elbowroom_units::{Mm, Seconds};

/// Whether a machine can make a part, with what, how long, how good.
///
/// Times, tools and quality are given for a refused part too, as if the rule were lifted.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// How it is bent.
    pub way: Way,
    /// Every reason why it cannot be made; empty: it can.
    pub refusals: Vec<Refusal>,
    /// Rotary draw: why less support of the bore is not enough.
    pub unsupported: Vec<Refusal>,
    /// Things to watch.
    pub cautions: Vec<Caution>,
    /// Everything that must be mounted.
    pub tooling: Vec<ToolSpec>,
    /// From which end it is bent.
    pub direction: Direction,
    /// Whether lubricant goes inside the tube.
    pub lubricated_inside: bool,
    /// Bending strokes of a piece: its bends, or fewer where two are made at once.
    pub strokes: usize,
    /// Time of a piece on the machine.
    pub cycle: Seconds,
    /// Washing time of a piece; 0 where it stays dry and need not be clean.
    pub wash: Seconds,
    /// Checking the first piece.
    pub first_article: Seconds,
    /// Pieces spent on setting up.
    pub setup_pieces: u32,
    /// Pieces spoiled while running, in percent of the good ones.
    pub scrap_percent: f64,
    /// Length of tube to cut for a piece.
    pub blank: Mm,
    /// Ends that are cut off after bending.
    pub after_cuts: u32,
    /// The quality to expect.
    pub expected: Expected,
}

impl Assessment {
    /// The process.
    #[must_use]
    pub fn process(&self) -> Process {
        self.way.process()
    }

    /// Whether the machine can make the part.
    #[must_use]
    pub fn can(&self) -> bool {
        self.refusals.is_empty()
    }

    /// Pieces to start, so that `quantity` good ones come out: scrap rounded up, and set-up pieces.
    #[must_use]
    pub fn pieces_to_start(&self, quantity: u32) -> u32 {
        let scrap = (f64::from(quantity) * self.scrap_percent / 100.0 - 1e-9).ceil().max(0.0);
        quantity.saturating_add(scrap as u32).saturating_add(self.setup_pieces)
    }

    /// Time on the machine for `quantity` good pieces, after the changeover: the first article's
    /// check and every piece started.
    #[must_use]
    pub fn run_time(&self, quantity: u32) -> Seconds {
        self.first_article + self.cycle * f64::from(self.pieces_to_start(quantity))
    }

    /// Time of washing all pieces started for `quantity` good ones.
    #[must_use]
    pub fn wash_time(&self, quantity: u32) -> Seconds {
        self.wash * f64::from(self.pieces_to_start(quantity))
    }
}

/// Whether `machine` can make `piece` by the shop's `rules`, with what, how long, how good.
///
/// To ask several machines about one piece, make a [`Study`] once.
#[must_use]
pub fn assess(piece: &Piece, machine: &MachineLimits, rules: &Rules) -> Assessment {
    Study::new(piece, rules).on(machine)
}

impl Study<'_> {
    /// The answer about one machine.
    #[must_use]
    pub fn on(&self, machine: &MachineLimits) -> Assessment {
        let (way, unsupported) = self.least_support(machine.process);
        let direction = self.better_direction(machine);
        let blank = Blank::of(self, machine.process, direction);
        let expected = expect::quality(self, way);
        let scene = Scene {
            study: self,
            way,
            machine,
            direction,
            blank: &blank,
            expected: &expected,
            unsupported: &unsupported,
        };
        let cautions = caution::cautions(&scene);
        let start = cycle::start(self, way);
        let cycle = cycle::cycle(self, way, machine, direction);
        let lubricated_inside = way.forming(&self.rules.processes).lubricated_inside;
        Assessment {
            way,
            refusals: self.refusals(way, machine),
            cautions,
            tooling: tools::needed(self, way),
            direction,
            lubricated_inside,
            strokes: cycle::strokes(self, way),
            cycle,
            wash: self.wash(cycle, lubricated_inside),
            first_article: start.first_article + start.first_article_per_bend * self.bends.len() as f64,
            setup_pieces: start.setup_pieces,
            scrap_percent: start.scrap_percent,
            blank: blank.length,
            after_cuts: blank.after_cuts,
            unsupported,
            expected,
        }
    }

    /// Washing takes its share of the bending time where lubricant was inside (common practice), a
    /// fixed time where only the customer asks for it.
    fn wash(&self, cycle: Seconds, lubricated_inside: bool) -> Seconds {
        let wash = &self.rules.times.wash;
        match (lubricated_inside, self.piece.quality.clean_inside) {
            (true, _) => cycle * wash.share,
            (false, true) => wash.dry_piece,
            (false, false) => Seconds::ZERO,
        }
    }

    /// Every reason why `machine` cannot make the part by `way`.
    #[must_use]
    pub fn refusals(&self, way: Way, machine: &MachineLimits) -> Vec<Refusal> {
        let direction = self.better_direction(machine);
        let blank = Blank::of(self, machine.process, direction);
        let mut found = Findings::new();
        found.extend(check::piece(self));
        found.extend(check::way(self, way));
        found.extend(check::process(self, machine.process, machine.hand));
        found.extend(check::machine(self, machine, &blank));
        found.extend(check::approach(self, machine, direction));
        let marks = expect::marks(self, way);
        if marks > self.piece.quality.marks {
            found.part(Rule::Marks, Amount::Marks(marks), Amount::Marks(self.piece.quality.marks));
        }
        found.into_vec()
    }

    /// The way of a process with the least support that passes, and why less does not; if none
    /// passes, the one with the fewest reasons, the most support first.
    fn least_support(&self, process: Process) -> (Way, Vec<Refusal>) {
        let ways = Way::of(process);
        let reasons: Vec<Vec<Refusal>> = ways.iter().map(|&way| check::way(self, way)).collect();
        let fewest = reasons.iter().map(Vec::len).min().unwrap_or(0);
        let chosen = if fewest == 0 {
            reasons.iter().position(Vec::is_empty)
        } else {
            reasons.iter().rposition(|found| found.len() == fewest)
        };
        let chosen = chosen.unwrap_or(0);
        let unsupported = if chosen == 0 { Vec::new() } else { reasons[0].clone() };
        (ways[chosen], unsupported)
    }

    /// Bending from the start, unless the other end gives fewer refusals or a shorter blank.
    fn better_direction(&self, machine: &MachineLimits) -> Direction {
        let cost = |direction| {
            let blank = Blank::of(self, machine.process, direction);
            (check::approach(self, machine, direction).len(), blank.length)
        };
        if cost(Direction::FromEnd) < cost(Direction::FromStart) {
            Direction::FromEnd
        } else {
            Direction::FromStart
        }
    }
}
