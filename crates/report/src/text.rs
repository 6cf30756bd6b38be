//! Plans as plain text, for terminals and `.txt` files.

pub mod fit;
pub mod render;
pub mod summary;

use crate::lists;
use crate::table::Table;
use elbowroom_planner::plan::Plan;

/// Every cell's dispatch list.
#[must_use]
pub fn dispatch(plan: &Plan, width: usize) -> String {
    let lists = plan.cells.iter().map(|cell| lists::dispatch::of_cell(plan, cell));
    join(plan, "dispatch lists", &lists.collect::<Vec<_>>(), width)
}

/// Late orders with their reasons, all orders, and the orders left out.
#[must_use]
pub fn orders(plan: &Plan, width: usize) -> String {
    let tables = [lists::orders::late(plan), lists::orders::all(plan), lists::orders::left_out(plan)];
    join(plan, "orders", &tables, width)
}

/// Tools to buy.
#[must_use]
pub fn tooling(plan: &Plan, width: usize) -> String {
    join(plan, "tooling to buy", &[lists::tooling::purchases(plan)], width)
}

/// Tube to buy and the cutting plan.
#[must_use]
pub fn tube(plan: &Plan, width: usize) -> String {
    join(plan, "tube to buy and to cut", &[lists::tube::to_buy(plan), lists::tube::cutting(plan)], width)
}

/// Orders that could go without new tools.
#[must_use]
pub fn no_tooling(plan: &Plan, width: usize) -> String {
    join(plan, "with and without new tooling", &[lists::tooling::no_tooling(plan)], width)
}

/// Hours of work against hours open.
#[must_use]
pub fn load(plan: &Plan, width: usize) -> String {
    join(plan, "load", &[lists::load::table(plan)], width)
}

/// How sure the promises are, and what was tried for those at risk.
#[must_use]
pub fn chances(plan: &Plan, width: usize) -> String {
    let tables =
        [lists::chances::risks(plan), lists::chances::chances(plan), lists::chances::out_of_time(plan)];
    join(plan, "how sure the promises are", &tables, width)
}

fn join(plan: &Plan, what: &str, tables: &[Table], width: usize) -> String {
    let heading = format!("{}: {what}, plan from {}", plan.shop, crate::when::day(plan.start));
    let mut out = render::wrap(&crate::clean::plain(&heading), width).join("\n") + "\n";
    for table in tables {
        out.push('\n');
        out.push_str(&render::table(table, width));
    }
    out
}
