//! What can be planned as it stands, but looks wrong; and tools that are in two places.

use crate::code;
use crate::context::Context;
use crate::finding::{Place, Problem};
use crate::places::Kind;
use chrono::NaiveDate;
use elbowroom_bending::stock::StockSizes;
use elbowroom_bending::tube::Tube;
use elbowroom_shop::Shop;
use elbowroom_shop::order::Order;
use elbowroom_shop::rack::{Tool, ToolState};
use std::collections::BTreeMap;

/// Everything that looks wrong in a shop that could be read. Dates are held against `start`, the
/// plan's first day, where it is known.
pub(crate) fn warn(cx: &Context<'_>, shop: &Shop, sizes: &StockSizes, start: Option<NaiveDate>) {
    tools_without_tube(cx, shop);
    odd_sizes(cx, shop, sizes);
    customers(cx, shop);
    late_material(cx, &shop.orders);
    if let Some(start) = start {
        past_dates(cx, shop, start);
    }
}

fn place(cx: &Context<'_>, kind: Kind, id: &str, key: &str) -> Place {
    cx.places.key(kind, id, key).cloned().unwrap_or_else(|| Place::whole(kind.name()))
}

/// Reports tools that are mounted on more cells than there are pieces, or on a cell that they do
/// not fit.
pub(crate) fn check_mounted(cx: &Context<'_>, shop: &Shop) {
    let mut standing: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for cell in &shop.cells {
        for tool in shop.tools.iter().filter(|tool| cell.mounted.contains(&tool.id)) {
            let at = || place(cx, Kind::Cell, &cell.id, "mounted");
            if tool.fits.as_ref().is_some_and(|fits| !fits.contains(&cell.id)) {
                let message = format!(
                    "cell `{}`: `mounted` names tool `{}`, which does not fit this cell",
                    cell.id, tool.id
                );
                let hint = "add the cell to the tool's `fits`, or unmount the tool";
                cx.findings.error(at(), Problem::new(code::IMPOSSIBLE, message).hint(hint));
            }
            if tool.state != ToolState::Rack {
                let message = format!(
                    "cell `{}`: `mounted` names tool `{}`, which is not in the house",
                    cell.id, tool.id
                );
                let hint = "a tool that is mounted has the state \"rack\"";
                cx.findings.error(at(), Problem::new(code::IMPOSSIBLE, message).hint(hint));
            }
            let cells = standing.entry(&tool.id).or_default();
            cells.push(&cell.id);
            if cells.len() > tool.pieces as usize {
                let message = format!(
                    "tool `{}` is mounted on {} cells ({}), and it has pieces = {}",
                    tool.id,
                    cells.len(),
                    cells.join(", "),
                    tool.pieces
                );
                cx.findings.error(at(), Problem::new(code::IMPOSSIBLE, message));
            }
        }
    }
}

/// Tools for a tube size that the shop does not stock.
fn tools_without_tube(cx: &Context<'_>, shop: &Shop) {
    // Where a tube is faulty or none is listed, that has been said.
    let faulty = cx.places.ids(Kind::Tube).any(|id| cx.places.is_sound(Kind::Tube, id) == Some(false));
    if cx.incomplete.contains(&Kind::Tube) || faulty || shop.tubes.is_empty() {
        return;
    }
    let rules = &shop.rules.tooling.matching;
    for tool in &shop.tools {
        let same_od = |tube: &Tube| tube.outer().near(tool.spec.od, rules.same_od.max(rules.od_oversize));
        let reach = rules.same_wall.max(rules.mandrel_wall_excess);
        let same_wall = |tube: &Tube| tool.spec.wall.is_none_or(|wall| tube.wall().near(wall, reach));
        let (key, od) =
            if shop.tubes.iter().any(|stock| same_od(&stock.tube)) { ("wall", true) } else { ("od", false) };
        if !shop.tubes.iter().any(|stock| same_od(&stock.tube) && same_wall(&stock.tube)) {
            cx.findings.warning(place(cx, Kind::Tool, &tool.id, key), without_tube(tool, od));
        }
    }
}

fn without_tube(tool: &Tool, od: bool) -> Problem {
    let size = match tool.spec.wall.filter(|_| od) {
        Some(wall) => format!("outside diameter {} and wall {wall}", tool.spec.od),
        None => format!("outside diameter {}", tool.spec.od),
    };
    let message = format!("tool `{}` is for tube of {size}, and tubes.toml lists none", tool.id);
    Problem::new(code::TOOL_WITHOUT_TUBE, message).hint("correct the tool's size, or list the tube")
}

/// Tubes of a size that no mill rolls as a standard.
fn odd_sizes(cx: &Context<'_>, shop: &Shop, sizes: &StockSizes) {
    for stock in &shop.tubes {
        if sizes.is_standard(&stock.tube) {
            continue;
        }
        let message = format!(
            "tube `{}`: {} x {} is no standard size (pipe schedule, fractional inch with gauge wall, or metric)",
            stock.id,
            stock.tube.outer(),
            stock.tube.wall()
        );
        let problem = Problem::new(code::ODD_SIZE, message);
        cx.findings.warning(
            place(cx, Kind::Tube, &stock.id, "od"),
            problem.hint("check that it is not a slip; a special tube can be planned like any other"),
        );
    }
}

/// Customers that are not listed although one of nearly that name is. One that is like none costs
/// the shop's default.
fn customers(cx: &Context<'_>, shop: &Shop) {
    let mut meant: BTreeMap<&str, Option<&str>> = BTreeMap::new();
    for order in &shop.orders {
        let Some(customer) = &order.customer else { continue };
        if cx.places.of(Kind::Customer, customer).is_some() {
            continue;
        }
        if let Some(near) = meant.entry(customer).or_insert_with(|| cx.guess(Kind::Customer, customer)) {
            let message = format!(
                "order `{}`: customer `{customer}` is not listed; its late days cost the shop's default",
                order.id
            );
            let problem =
                Problem::new(code::UNLISTED_CUSTOMER, message).hint(format!("did you mean `{near}`?"));
            cx.findings.warning(place(cx, Kind::Order, &order.id, "customer"), problem);
        }
    }
}

fn late_material(cx: &Context<'_>, orders: &[Order]) {
    for order in orders {
        let Some(material) = order.material.filter(|date| *date > order.promised) else { continue };
        let message = format!(
            "order `{}` is promised for {}, but its material comes on {material}: it will be late",
            order.id, order.promised
        );
        cx.findings.warning(
            place(cx, Kind::Order, &order.id, "material"),
            Problem::new(code::LATE_MATERIAL, message),
        );
    }
}

/// Dates before the plan's first day that tell of something which has not happened yet.
fn past_dates(cx: &Context<'_>, shop: &Shop, start: NaiveDate) {
    for order in shop.orders.iter().filter(|order| order.promised < start) {
        let message = format!(
            "order `{}` is promised for {}, before the plan's first day {start}: it is late already",
            order.id, order.promised
        );
        cx.findings
            .warning(place(cx, Kind::Order, &order.id, "promised"), Problem::new(code::PAST_DATE, message));
    }
    for part in &shop.parts {
        let Some(until) = part.forecast.and_then(|forecast| forecast.until) else { continue };
        if until < start {
            let message = format!(
                "part `{}`: its forecast holds until {until}, before the plan's first day {start}; it is not counted",
                part.id
            );
            let problem = Problem::new(code::PAST_DATE, message).hint("ask the customer for a new one");
            cx.findings.warning(place(cx, Kind::Part, &part.id, "forecast"), problem);
        }
    }
    for tool in &shop.tools {
        let ToolState::OnOrder { arrives } = tool.state else { continue };
        if arrives < start {
            let message = format!(
                "tool `{}` was to arrive on {arrives}, before the plan's first day {start}; it is planned as being there",
                tool.id
            );
            let problem = Problem::new(code::PAST_DATE, message);
            cx.findings.warning(
                place(cx, Kind::Tool, &tool.id, "arrives"),
                problem.hint("give it the state \"rack\" if it came, or the new date if it did not"),
            );
        }
    }
}
