//! Promises given become orders of the book.

use chrono::NaiveDate;
use elbowroom_shop::Shop;
use elbowroom_shop::order::Order;
use elbowroom_store::Promise;
use serde::{Deserialize, Serialize};

/// An order that comes of a promise, as it is kept with it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PromisedOrder {
    /// Id of the order.
    id: String,
    /// Id of the part.
    part: String,
    /// Pieces.
    quantity: u32,
    /// The date promised.
    promised: NaiveDate,
    /// The date on which its tube is in the house.
    material: Option<NaiveDate>,
    /// Id of the customer.
    customer: Option<String>,
}

impl PromisedOrder {
    /// An order as the planner makes it of an offer.
    #[must_use]
    pub fn of(order: &Order) -> Self {
        Self {
            id: order.id.clone(),
            part: order.part.clone(),
            quantity: order.quantity,
            promised: order.promised,
            material: order.material,
            customer: order.customer.clone(),
        }
    }

    fn order(self) -> Order {
        Order {
            id: self.id,
            part: self.part,
            quantity: self.quantity,
            promised: self.promised,
            material: self.material,
            customer: self.customer,
            late_cost_per_day: None,
        }
    }
}

/// What is kept of the way in which a promise is to be kept.
#[derive(Deserialize)]
struct Way {
    orders: Vec<PromisedOrder>,
}

/// The shop with the orders of all promises, those that its own book has by now left out.
#[must_use]
pub fn with_promised(mut shop: Shop, promises: &[Promise]) -> Shop {
    // Promises come newest first; the book grows in the order in which they were given.
    for promise in promises.iter().rev() {
        let Ok(way) = serde_json::from_str::<Way>(&promise.promise.way) else {
            tracing::error!(promise = promise.id.0, "the orders of a promise cannot be read");
            continue;
        };
        for order in way.orders {
            if !shop.orders.iter().any(|known| known.id == order.id) {
                shop.orders.push(order.order());
            }
        }
    }
    shop
}
