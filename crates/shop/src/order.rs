//! The order book.

use chrono::NaiveDate;
use elbowroom_units::Money;

/// An order for a quantity of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Name, unique.
    pub id: String,
    /// Id of the part.
    pub part: String,
    /// Pieces; at least 1.
    pub quantity: u32,
    /// The date promised to the customer.
    pub promised: NaiveDate,
    /// The date on which its tube is in the house; `None`: it is.
    pub material: Option<NaiveDate>,
    /// Id of the customer. One that the shop does not list costs the shop's default.
    pub customer: Option<String>,
    /// What a late day costs, where it differs from the customer's.
    pub late_cost_per_day: Option<Money>,
}
