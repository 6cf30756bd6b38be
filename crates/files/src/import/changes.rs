//! What is new, changed and gone.

use super::fields::List;
use crate::read::Loaded;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::Part;
use elbowroom_shop::rack::{Tool, ToolState};
use std::collections::BTreeMap;

/// One thing that an import changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Its id.
    pub id: String,
    /// What becomes of it.
    pub what: What,
}

/// What becomes of a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// It was not there before.
    New,
    /// It is there with other values: each as `quantity 120 -> 140`.
    Changed(Vec<String>),
    /// The export lacks it, and it is taken out.
    Gone,
}

/// A thing's values by name, for comparing and showing.
type Values = Vec<(&'static str, String)>;

/// What is different from one reading of the shop to the other in an imported list.
pub(super) fn changes(list: &List, before: &Loaded, after: &Loaded) -> Vec<Change> {
    let (old, new) = (things(list, before), things(list, after));
    let known: BTreeMap<&str, &Values> = old.iter().map(|(id, values)| (id.as_str(), values)).collect();
    let still: BTreeMap<&str, &Values> = new.iter().map(|(id, values)| (id.as_str(), values)).collect();
    let changed = |(id, values): &(String, Values)| {
        let what = match known.get(id.as_str()) {
            None => What::New,
            Some(old) if *old == values => return None,
            Some(old) => What::Changed(differences(old, values)),
        };
        Some(Change { id: id.clone(), what })
    };
    let gone = old.iter().filter(|(id, _)| !still.contains_key(id.as_str()));
    let gone = gone.map(|(id, _)| Change { id: id.clone(), what: What::Gone });
    new.iter().filter_map(changed).chain(gone).collect()
}

fn differences(old: &Values, new: &Values) -> Vec<String> {
    let pairs = old.iter().zip(new).filter(|(old, new)| old != new);
    let shown = |value: &str| if value.is_empty() { "nothing".to_owned() } else { value.to_owned() };
    pairs.map(|(old, new)| format!("{} {} -> {}", old.0, shown(&old.1), shown(&new.1))).collect()
}

/// Everything of the list, wherever it stands.
fn things(list: &List, loaded: &Loaded) -> Vec<(String, Values)> {
    let Some(shop) = &loaded.shop else { return Vec::new() };
    match list.name {
        "orders" => shop.orders.iter().map(|order| (order.id.clone(), of_order(order))).collect(),
        "parts" => shop.parts.iter().map(|part| (part.id.clone(), of_part(part))).collect(),
        _ => shop.tools.iter().map(|tool| (tool.id.clone(), of_tool(tool))).collect(),
    }
}

fn shown<T: ToString>(value: Option<&T>) -> String {
    value.map_or_else(String::new, ToString::to_string)
}

fn of_order(order: &Order) -> Values {
    vec![
        ("part", order.part.clone()),
        ("quantity", order.quantity.to_string()),
        ("promised", order.promised.to_string()),
        ("material", shown(order.material.as_ref())),
        ("customer", order.customer.clone().unwrap_or_default()),
        ("late_cost_per_day", shown(order.late_cost_per_day.as_ref())),
    ]
}

fn of_tool(tool: &Tool) -> Values {
    let (state, arrives, price, lead) = match tool.state {
        ToolState::Rack => ("rack", String::new(), String::new(), String::new()),
        ToolState::OnOrder { arrives } => ("on order", arrives.to_string(), String::new(), String::new()),
        ToolState::Offered { price, lead, .. } => {
            ("offered", String::new(), price.to_string(), lead.to_string())
        }
    };
    vec![
        ("kind", tool.spec.kind.to_string()),
        ("od", tool.spec.od.to_string()),
        ("clr", shown(tool.spec.clr.as_ref())),
        ("wall", shown(tool.spec.wall.as_ref())),
        ("balls", tool.spec.balls.to_string()),
        ("pieces", tool.pieces.to_string()),
        ("state", state.to_owned()),
        ("arrives", arrives),
        ("price", price),
        ("lead", lead),
        ("fits", tool.fits.clone().unwrap_or_default().join(";")),
        ("place", tool.place.clone().unwrap_or_default()),
        ("wear_limit", shown(tool.wear.map(|wear| wear.limit).as_ref())),
        ("bends", shown(tool.wear.map(|wear| wear.bends).as_ref())),
    ]
}

fn of_part(part: &Part) -> Values {
    let bends =
        part.shape.bends().iter().map(|bend| {
            format!("{} / {} / {} / {}", bend.straight_before, bend.rotation, bend.clr, bend.angle)
        });
    let shape = bends.chain([part.shape.end_straight().to_string()]).collect::<Vec<_>>().join("; ");
    vec![
        ("name", part.name.clone()),
        ("tube", part.tube.clone()),
        ("shape", shape),
        ("weld", part.weld.map_or_else(String::new, |weld| format!("{weld:?}"))),
        ("end_forms", part.end_forms.to_string()),
        ("outside", part.outside.join(";")),
        ("yearly_quantity", shown(part.yearly_quantity.as_ref())),
    ]
}
