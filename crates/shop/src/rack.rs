//! Bending tools: on the rack, on order, or to be bought.

use chrono::NaiveDate;
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_units::{Minutes, Money};

/// Whether a tool can be used, and when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToolState {
    /// In the house.
    Rack,
    /// Ordered; in the house from the morning of this date.
    OnOrder {
        /// Date of arrival.
        arrives: NaiveDate,
    },
    /// A tool maker offers it.
    Offered {
        /// Price of one purchase.
        price: Money,
        /// Calendar time from order to arrival.
        lead: Minutes,
        /// Whether price and lead are the shop's defaults and not a tool maker's word.
        estimated: bool,
    },
}

/// A bending tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Name, unique.
    pub id: String,
    /// What it is and what it fits.
    pub spec: ToolSpec,
    /// Equal pieces; at least 1.
    pub pieces: u32,
    /// Whether it can be used, and when.
    pub state: ToolState,
    /// Ids of the only cells it fits; `None`: every cell of its process.
    pub fits: Option<Vec<String>>,
    /// How far it is worn; `None`: nobody counts.
    pub wear: Option<Wear>,
    /// Where it is kept, in the shop's words, such as `rack 2, shelf B`; `None`: nobody said.
    pub place: Option<String>,
}

/// Bends of a tool, counted over all its pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wear {
    /// Bends after which it is worn out; at least 1.
    pub limit: u32,
    /// Bends so far.
    pub bends: u32,
}
