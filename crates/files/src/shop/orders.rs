//! `orders.toml`.

use crate::context::Context;
use crate::keyed::Table;
use crate::keyed::values::{count_within, date, id, money};
use crate::places::Kind;
use crate::plain::LARGEST_COUNT;
use elbowroom_shop::order::Order;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Order> {
    let mut tables = root.tables("order", |number| format!("order {number}"));
    let orders = cx.items(Kind::Order, &mut tables, order);
    root.finish();
    orders
}

/// The keys of an order but its id.
pub(super) fn order(cx: &Context<'_>, table: &Table<'_>, name: String) -> Option<Order> {
    let part = table.req("part", cx.known(Kind::Part));
    let quantity = table.req("quantity", count_within(1, LARGEST_COUNT));
    let promised = table.req("promised", date);
    let material = table.opt("material", date);
    let customer = table.opt("customer", id);
    let late_cost_per_day = table.opt("late_cost_per_day", money);
    Some(Order {
        id: name,
        part: part?,
        quantity: quantity?,
        promised: promised?,
        material: material?,
        customer: customer?,
        late_cost_per_day: late_cost_per_day?,
    })
}
