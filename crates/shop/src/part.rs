//! Tubes in stock and parts made of them.

use chrono::NaiveDate;
use elbowroom_bending::piece::Quality;
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::Shape;
use elbowroom_bending::tube::Tube;
use elbowroom_units::{Minutes, Mm, Money, Seconds};

/// A tube that the shop keeps or buys.
#[derive(Clone, Debug, PartialEq)]
pub struct StockTube {
    /// Name, unique.
    pub id: String,
    /// Its dimensions.
    pub tube: Tube,
    /// Id of its material.
    pub material: String,
    /// Length of a bar.
    pub stock_length: Mm,
    /// Other lengths in which it can be bought.
    pub other_lengths: Vec<Mm>,
    /// Length in the house in bars of `stock_length`; `None`: not counted.
    pub on_hand: Option<Mm>,
    /// Price of a metre.
    pub price_per_metre: Option<Money>,
    /// Time from order to arrival.
    pub lead: Option<Minutes>,
}

/// A part that the shop knows how to make.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name, unique.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Id of its tube.
    pub tube: String,
    /// Its bent shape.
    pub shape: Shape,
    /// What is asked of the bends.
    pub quality: Quality,
    /// Length added at each end and cut off later.
    pub trim: Mm,
    /// Processes that the customer approves; `None`: any.
    pub processes: Option<Vec<Process>>,
    /// Whether cut ends are deburred.
    pub deburr: bool,
    /// Ends to be formed.
    pub end_forms: u32,
    /// Welding time of a piece.
    pub weld: Option<Seconds>,
    /// Whether the finished lot is inspected.
    pub inspect: bool,
    /// Outside services after bending, in their order.
    pub outside: Vec<String>,
    /// Forecast of pieces in a year.
    pub yearly_quantity: Option<u32>,
    /// What more is known of the forecast.
    pub forecast: Option<Forecast>,
}

/// How far a yearly quantity may stray, in which lots it comes, and how long it holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Forecast {
    /// So few pieces a year at the least; at most the yearly quantity.
    pub low: Option<u32>,
    /// So many pieces a year at the most; at least the yearly quantity.
    pub high: Option<u32>,
    /// Pieces of a usual order; at least 1.
    pub lot: Option<u32>,
    /// The last day on which it holds.
    pub until: Option<NaiveDate>,
}
