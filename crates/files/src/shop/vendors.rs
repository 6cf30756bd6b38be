//! `vendors.toml` and `customers.toml`.

use crate::context::Context;
use crate::keyed::Table;
use crate::keyed::values::{id, minutes, money};
use crate::places::Kind;
use elbowroom_shop::Customer;
use elbowroom_shop::vendor::Vendor;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Vendor> {
    let mut tables = root.tables("vendor", |number| format!("vendor {number}"));
    let vendors = cx.items(Kind::Vendor, &mut tables, |_, table, id| vendor(table, id));
    for table in &tables {
        note_service(cx, table, &vendors);
    }
    root.finish();
    vendors
}

/// Notes the service of a vendor, faulty or not, unless another vendor does it too.
fn note_service(cx: &mut Context<'_>, table: &Table<'_>, vendors: &[Vendor]) {
    let Some(service) = table.node("service") else { return };
    let Some(name) = service.get().as_str() else { return };
    let sound = vendors.iter().any(|vendor| vendor.service == name);
    if cx.places.of(Kind::Service, name).is_none() {
        cx.note((Kind::Service, name), service.place(), Vec::new(), sound);
    }
}

fn vendor(table: &Table<'_>, id_: String) -> Option<Vendor> {
    let service = table.req("service", id);
    let turnaround = table.req("turnaround", minutes);
    let cost_per_order = table.req("cost_per_order", money);
    let cost_per_piece = table.req("cost_per_piece", money);
    Some(Vendor {
        id: id_,
        service: service?,
        turnaround: turnaround?,
        cost_per_order: cost_per_order?,
        cost_per_piece: cost_per_piece?,
    })
}

pub(crate) fn read_customers(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<Customer> {
    let mut tables = root.tables("customer", |number| format!("customer {number}"));
    let customers = cx.items(Kind::Customer, &mut tables, |_, table, id| {
        let late_cost_per_day = table.req("late_cost_per_day", money);
        Some(Customer { id, late_cost_per_day: late_cost_per_day? })
    });
    root.finish();
    customers
}
