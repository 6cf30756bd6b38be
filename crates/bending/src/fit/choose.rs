//! Which of several ways a bender would take: the cheapest for the quantity, tools included.

use super::assessment::Assessment;
use super::changeover::full_changeover;
use crate::rules::Rules;
use crate::tooling::{ToolKind, ToolSpec};
use elbowroom_units::{Money, Seconds};

/// What time and tools cost where ways are compared.
pub struct Worth<'a> {
    /// Cost of an hour of any work.
    pub hour: Money,
    /// What a tool would cost now: nothing if it is on the rack.
    pub tool: &'a dyn Fn(&ToolSpec) -> Money,
}

/// The way taken, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Position of the way among those compared.
    pub index: usize,
    /// Cost of the quantity: changeover, running, washing, tools.
    pub cost: Money,
    /// A sentence for people.
    pub why: String,
}

struct Cost {
    index: usize,
    time: Seconds,
    tools: Money,
    total: Money,
}

/// The cheapest way that can make the part; of equal ones the first. `None` if no way can.
#[must_use]
pub fn choose(ways: &[Assessment], quantity: u32, rules: &Rules, worth: &Worth) -> Option<Choice> {
    let mut costs: Vec<Cost> = ways
        .iter()
        .enumerate()
        .filter(|(_, way)| way.can())
        .map(|(index, way)| cost(index, way, quantity, rules, worth))
        .collect();
    costs.sort_by_key(|cost| cost.total);
    let best = costs.first()?;
    let why = why(best, costs.get(1), ways);
    Some(Choice { index: best.index, cost: best.total, why })
}

fn cost(index: usize, way: &Assessment, quantity: u32, rules: &Rules, worth: &Worth) -> Cost {
    let kinds: Vec<ToolKind> = way.tooling.iter().map(|tool| tool.kind).collect();
    let setup = Seconds::from(full_changeover(&kinds, &rules.times.setup));
    let time = setup + way.run_time(quantity) + way.wash_time(quantity);
    let tools: Money = way.tooling.iter().map(|tool| (worth.tool)(tool)).sum();
    Cost { index, time, tools, total: worth.hour * (time.seconds() / 3600.0) + tools }
}

fn why(best: &Cost, next: Option<&Cost>, ways: &[Assessment]) -> String {
    let Some(next) = next else {
        return format!("{} is the only way that can make it", ways[best.index].way);
    };
    let mut reasons = Vec::new();
    if best.time < next.time {
        reasons.push(format!("takes {} less", (next.time - best.time).round_up_to_minutes()));
    }
    if best.tools < next.tools {
        reasons.push(format!("needs {} less of tools", next.tools - best.tools));
    }
    if reasons.is_empty() {
        reasons.push("costs the same and comes first".to_owned());
    }
    format!("{} {} than {}", ways[best.index].way, reasons.join(" and "), ways[next.index].way)
}
