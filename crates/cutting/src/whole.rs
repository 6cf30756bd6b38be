//! A cutting job in whole tenths of a millimetre, equal lengths together.
//!
//! A piece takes its length and the cut behind it. The cut behind the last piece of a bar may fall
//! beyond the bar's end, so that a bar is as much longer: then pieces fit if their sizes add up to
//! no more than the bar's room, and nothing else has to be remembered.

use crate::job::{CuttingFault, CuttingJob};
use elbowroom_units::Mm;

/// Tenths of a millimetre in a millimetre.
const PER_MM: f64 = 10.0;
/// Longest bar: 100 m, far beyond any tube.
const LONGEST: f64 = 100_000.0;
/// Most blanks in one job.
const MOST_BLANKS: u64 = 10_000_000;
/// A rounding error must not lengthen a blank by a tenth.
const SLACK: f64 = 1e-6;

/// A job of integers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Whole {
    /// Size of each item, kerf included; the largest first, all different.
    pub sizes: Vec<u32>,
    /// Wanted pieces of each item.
    pub demand: Vec<u32>,
    /// Bars.
    pub bars: Vec<Bar>,
}

/// Bars of one length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bar {
    /// What pieces and their cuts may add up to.
    pub room: u32,
    /// What one counts.
    pub cost: f64,
    /// How many there are.
    pub available: Option<u32>,
}

/// What one bar is cut into.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Pattern {
    /// Which bar.
    pub bar: usize,
    /// Items and how many of each, by item; no item without a piece.
    pub pieces: Vec<(usize, u32)>,
}

impl Pattern {
    /// What its pieces and their cuts add up to.
    pub fn size(&self, whole: &Whole) -> u32 {
        self.pieces.iter().map(|(item, count)| whole.sizes[*item] * count).sum()
    }
}

impl Whole {
    /// The job in integers, and the item of each blank.
    pub fn of(job: &CuttingJob) -> Result<(Self, Vec<usize>), CuttingFault> {
        check(job)?;
        let kerf = up(job.saw.kerf);
        let size = |length: Mm| up(length) + kerf;
        let mut sizes: Vec<u32> = job.blanks.iter().map(|blank| size(blank.length)).collect();
        sizes.sort_unstable_by(|a, b| b.cmp(a));
        sizes.dedup();
        let item = |length: Mm| sizes.iter().position(|other| *other == size(length)).unwrap_or(0);
        let items: Vec<usize> = job.blanks.iter().map(|blank| item(blank.length)).collect();
        let mut demand = vec![0; sizes.len()];
        items.iter().zip(&job.blanks).for_each(|(item, blank)| demand[*item] += blank.count);
        let bars = job.stocks.iter().map(|stock| Bar {
            room: room(stock.length, job, kerf),
            cost: down(stock.length) as f64 * stock.weight,
            available: stock.available,
        });
        let whole = Self { sizes, demand, bars: bars.collect() };
        match whole.too_long() {
            Some(item) => Err(too_long(job, items.iter().position(|other| *other == item), &whole, kerf)),
            None => Ok((whole, items)),
        }
    }

    /// An item that no bar holds which is there as often as wanted.
    fn too_long(&self) -> Option<usize> {
        let room = self.bought().map(|bar| self.bars[bar].room).max().unwrap_or(0);
        self.sizes.iter().position(|size| *size > room)
    }

    /// Bars that are there as often as wanted.
    pub fn bought(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.bars.len()).filter(|bar| self.bars[*bar].available.is_none())
    }

    /// Most pieces of an item on a bar of this room.
    pub fn most(&self, item: usize, room: u32) -> u32 {
        self.demand[item].min(room / self.sizes[item])
    }

    /// Whether nothing is wanted.
    pub fn is_done(&self) -> bool {
        self.demand.iter().all(|count| *count == 0)
    }

    /// Takes what `times` bars of a pattern give off what is wanted and off the bars there are.
    pub fn take(&mut self, pattern: &Pattern, times: u32) {
        for (item, count) in &pattern.pieces {
            self.demand[*item] = self.demand[*item].saturating_sub(count.saturating_mul(times));
        }
        if let Some(left) = &mut self.bars[pattern.bar].available {
            *left = left.saturating_sub(times);
        }
    }
}

fn check(job: &CuttingJob) -> Result<(), CuttingFault> {
    let length = |what, length: Mm, least: f64| {
        let value = length.mm();
        let good = (least..=LONGEST).contains(&value);
        if good { Ok(()) } else { Err(CuttingFault::OutOfRange { what, value }) }
    };
    length("a kerf", job.saw.kerf, 0.0)?;
    length("an end trim", job.saw.end_trim, 0.0)?;
    job.blanks.iter().try_for_each(|blank| length("a blank", blank.length, 0.1))?;
    job.stocks.iter().try_for_each(|stock| length("a bar", stock.length, 0.1))?;
    let weight = job.stocks.iter().map(|stock| stock.weight).find(|w| !(1e-3..=1e3).contains(w));
    if let Some(value) = weight {
        return Err(CuttingFault::OutOfRange { what: "a weight", value });
    }
    let count = job.blanks.iter().map(|blank| u64::from(blank.count)).sum();
    if count > MOST_BLANKS { Err(CuttingFault::TooMany { count }) } else { Ok(()) }
}

fn too_long(job: &CuttingJob, blank: Option<usize>, whole: &Whole, kerf: u32) -> CuttingFault {
    let room = whole.bought().map(|bar| whole.bars[bar].room).max().unwrap_or(0);
    let blank = blank.unwrap_or(0);
    CuttingFault::TooLong {
        blank,
        length: job.blanks[blank].length,
        longest: length(room.saturating_sub(kerf)),
    }
}

/// What pieces and their cuts may add up to on a bar.
fn room(bar: Mm, job: &CuttingJob, kerf: u32) -> u32 {
    match down(bar).checked_sub(up(job.saw.end_trim)) {
        Some(rest) if rest > 0 => rest + kerf,
        _ => 0,
    }
}

fn up(length: Mm) -> u32 {
    (length.mm() * PER_MM - SLACK).ceil().max(0.0) as u32
}

fn down(length: Mm) -> u32 {
    (length.mm() * PER_MM + SLACK).floor().max(0.0) as u32
}

/// Tenths as a length.
pub(crate) fn length(tenths: u32) -> Mm {
    Mm::new(f64::from(tenths) / PER_MM)
}
