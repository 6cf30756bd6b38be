//! `orders.toml`.

use crate::context::Context;
use crate::keyed::Table;
use crate::keyed::values::{count, date, id, money, within};
use crate::places::Kind;
use crate::plain::LARGEST_COUNT;
use elbowroom_shop::order::Order;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Order> {
    let orders = cx.items(Kind::Order, root.tables("order", |number| format!("order {number}")), order);
    root.finish();
    orders
}

fn order(cx: &Context<'_>, table: &Table<'_>, name: String) -> Option<Order> {
    let part = table.req("part", cx.known(Kind::Part));
    let quantity = table.req("quantity", within(1, LARGEST_COUNT, count));
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
