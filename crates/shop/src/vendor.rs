//! Outside services.

use elbowroom_units::{Minutes, Money};

/// A vendor who does a service outside the house.
#[derive(Clone, Debug, PartialEq)]
pub struct Vendor {
    /// Name, unique.
    pub id: String,
    /// The service, as parts name it.
    pub service: String,
    /// Time away, transport included.
    pub turnaround: Minutes,
    /// Money for each order.
    pub cost_per_order: Money,
    /// Money for each piece.
    pub cost_per_piece: Money,
}

impl Vendor {
    /// Money for an order of `pieces` pieces.
    #[must_use]
    pub fn cost(&self, pieces: u32) -> Money {
        self.cost_per_order + self.cost_per_piece * f64::from(pieces)
    }
}
