//! What a customer asks, and what can be wrong with it.

use chrono::NaiveDate;
use std::fmt;

/// A customer's question: when could you deliver so many of this part?
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inquiry {
    /// Name that the order would get.
    pub id: String,
    /// Id of the part.
    pub part: String,
    /// Pieces; at least 1.
    pub quantity: u32,
    /// The date that the customer would like.
    pub wanted: Option<NaiveDate>,
    /// The date on which the tube is in the house; `None`: it is, or comes after the tube's lead
    /// time where less than needed is on hand.
    pub material: Option<NaiveDate>,
    /// Id of the customer.
    pub customer: Option<String>,
}

/// Why an inquiry cannot be answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum InquiryFault {
    /// The shop has no such part.
    UnknownPart {
        /// The id asked for.
        part: String,
    },
    /// Nothing is asked for.
    NoPieces,
    /// More pieces than the plan can count.
    TooMany {
        /// Pieces asked for.
        quantity: u32,
    },
    /// The wanted date lies before the plan's first day.
    WantedInThePast {
        /// The wanted date.
        wanted: NaiveDate,
        /// The plan's first day.
        start: NaiveDate,
    },
    /// An order of this name is in the book.
    TakenId {
        /// The name.
        id: String,
    },
    /// Nobody in the shop can make the part.
    CannotBeMade {
        /// The part.
        part: String,
        /// Every reason, cell by cell.
        reasons: Vec<String>,
        /// What the cell that comes nearest would need.
        needed: Option<String>,
    },
    /// It could be made, but finds no place before the end of the longest plan.
    NoPlace {
        /// The part.
        part: String,
    },
    /// The program contradicted itself.
    OurFault {
        /// What was wrong.
        why: String,
    },
}

/// Most pieces of an inquiry: so many as an order book takes.
pub(super) const MOST_PIECES: u32 = 10_000_000;

impl InquiryFault {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::UnknownPart { .. } => "name a part of the parts files".to_owned(),
            Self::NoPieces => "ask for at least 1 piece".to_owned(),
            Self::TooMany { .. } => format!("ask for at most {MOST_PIECES} pieces"),
            Self::WantedInThePast { start, .. } => format!("give a date from {start} on, or none"),
            Self::TakenId { .. } => "choose another order id, or leave it to the program".to_owned(),
            Self::CannotBeMade { needed, .. } => needed.clone().unwrap_or_else(|| {
                "add a cell that can bend it, change the part, or give it away".to_owned()
            }),
            Self::NoPlace { .. } => "ask for fewer pieces, or add shifts".to_owned(),
            Self::OurFault { .. } => "please report it".to_owned(),
        }
    }
}

impl fmt::Display for InquiryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownPart { part } => write!(f, "there is no part `{part}`"),
            Self::NoPieces => write!(f, "the quantity is 0"),
            Self::TooMany { quantity } => write!(f, "the quantity {quantity} is out of range"),
            Self::WantedInThePast { wanted, start } => {
                write!(f, "the wanted date {wanted} is before the plan's first day {start}")
            }
            Self::TakenId { id } => write!(f, "the order book has an order `{id}` already"),
            Self::CannotBeMade { part, reasons, .. } => {
                write!(f, "nobody here can make part `{part}`: {}", reasons.join("; "))
            }
            Self::NoPlace { part } => {
                write!(f, "part `{part}` finds no place before the end of the longest plan")
            }
            Self::OurFault { why } => write!(f, "the program contradicted itself: {why}"),
        }
    }
}

impl std::error::Error for InquiryFault {}
