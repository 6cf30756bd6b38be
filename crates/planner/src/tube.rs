//! Tube to cut and tube to buy: which bars the plan needs, by size and date.
//!
//! What is cut of one tube on one day is cut together, out of as few bars as possible
//! ([`elbowroom_cutting`]): out of what is in the house first, where the shop counts it, remnants of
//! the days before among it. Orders whose tube comes on a date of its own take that tube.

mod days;
mod needs;

use chrono::NaiveDate;
use elbowroom_units::{Minute, Mm, Money};

pub(crate) use days::tube_plan;

/// Everything about a plan's tube.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TubePlan {
    /// What is cut, by tube in the shop's order and day.
    pub days: Vec<TubeDay>,
    /// What is to be had for it, what must be ordered first at the top.
    pub buys: Vec<TubeBuy>,
}

/// What is cut of one tube on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeDay {
    /// Id of the tube.
    pub tube: String,
    /// The day.
    pub day: NaiveDate,
    /// When the first of it is cut.
    pub first_cut: Minute,
    /// Where its bars come from.
    pub supply: Supply,
    /// Ids of the orders, in the order book's order.
    pub orders: Vec<String>,
    /// What each bar is cut into.
    pub cuts: Vec<BarCut>,
    /// How much more tube this takes than the proven least, as a share of it.
    pub gap: f64,
    /// Orders whose blanks no bar is long enough for, and why.
    pub too_long: Vec<(String, String)>,
}

/// Where bars come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Supply {
    /// From the house, whose bars are counted; what is short is bought.
    Counted,
    /// From the house, whose bars nobody counts: all are listed as needed.
    NotCounted,
    /// From tube of its own that comes on this date.
    Coming(NaiveDate),
}

/// Bars that are cut alike.
#[derive(Clone, Debug, PartialEq)]
pub struct BarCut {
    /// Length of the bar.
    pub bar: Mm,
    /// How many bars.
    pub bars: u32,
    /// What bars they are.
    pub from: BarFrom,
    /// What one is cut into, the longest first.
    pub pieces: Vec<CutPiece>,
    /// What is left of each.
    pub rest: Mm,
    /// Whether that is long enough to be kept.
    pub kept: bool,
}

/// What bar is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BarFrom {
    /// One that is in the house.
    House,
    /// A remnant of an earlier day of this plan.
    Remnant,
    /// One still to be had: bought, or coming with its order.
    New,
}

/// Equal blanks of an order on one bar.
#[derive(Clone, Debug, PartialEq)]
pub struct CutPiece {
    /// Id of the order.
    pub order: String,
    /// Length of the blank, in whole tenths of a millimetre.
    pub length: Mm,
    /// How many.
    pub count: u32,
}

/// Bars of one length that must be in the house for a day.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeBuy {
    /// Id of the tube.
    pub tube: String,
    /// Length of a bar.
    pub bar: Mm,
    /// How many bars.
    pub bars: u32,
    /// Whether what is in the house has been taken off.
    pub counted: bool,
    /// Price of all of them, where the shop knows it.
    pub price: Option<Money>,
    /// The last day on which ordering brings it in time; `None` where no lead time is known.
    pub order_by: Option<NaiveDate>,
    /// When it would come if it were ordered on the plan's first day and that is too late.
    pub too_late: Option<Minute>,
    /// When the first of it is cut.
    pub first_cut: Minute,
    /// Ids of the orders for which it is cut.
    pub orders: Vec<String>,
}

impl TubeDay {
    /// Blanks, all together.
    #[must_use]
    pub fn blanks(&self) -> u32 {
        let of = |cut: &BarCut| cut.bars * cut.pieces.iter().map(|piece| piece.count).sum::<u32>();
        self.cuts.iter().map(of).sum()
    }

    /// Length of all blanks as a share of the bars cut for them, kept remnants taken off; 1 where
    /// nothing is lost.
    #[must_use]
    pub fn share_used(&self) -> f64 {
        let used = |cut: &BarCut| {
            let blanks: Mm = cut.pieces.iter().map(|piece| piece.length * f64::from(piece.count)).sum();
            blanks * f64::from(cut.bars)
        };
        let spent =
            |cut: &BarCut| (cut.bar - if cut.kept { cut.rest } else { Mm::ZERO }) * f64::from(cut.bars);
        let spent: Mm = self.cuts.iter().map(spent).sum();
        if spent > Mm::ZERO { self.cuts.iter().map(used).sum::<Mm>() / spent } else { 1.0 }
    }
}
