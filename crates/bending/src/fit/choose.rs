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

/// One way of making a quantity, as ways are compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Bid {
    /// What it is called in a sentence.
    pub name: String,
    /// Working time for the quantity.
    pub time: Seconds,
    /// Money for tools to buy.
    pub tools: Money,
    /// All money for the quantity, tools included.
    pub total: Money,
}

/// The way taken, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Position of the way among those compared.
    pub index: usize,
    /// Cost of the quantity.
    pub cost: Money,
    /// A sentence for people.
    pub why: String,
}

/// The cheapest way that can make the part, with an hour of any work at the same cost; of equal
/// ones the first. `None` if no way can.
#[must_use]
pub fn choose(ways: &[Assessment], quantity: u32, rules: &Rules, worth: &Worth) -> Option<Choice> {
    let able: Vec<usize> = (0..ways.len()).filter(|&index| ways[index].can()).collect();
    let bids: Vec<Bid> = able.iter().map(|&index| bid(&ways[index], quantity, rules, worth)).collect();
    let best = cheapest(&bids)?;
    Some(Choice { index: able[best.index], ..best })
}

fn bid(way: &Assessment, quantity: u32, rules: &Rules, worth: &Worth) -> Bid {
    let kinds: Vec<ToolKind> = way.tooling.iter().map(|tool| tool.kind).collect();
    let setup = Seconds::from(full_changeover(&kinds, &rules.times.setup));
    let time = setup + way.run_time(quantity) + way.wash_time(quantity);
    let tools: Money = way.tooling.iter().map(|tool| (worth.tool)(tool)).sum();
    let total = worth.hour * (time.seconds() / 3600.0) + tools;
    Bid { name: way.way.name().to_owned(), time, tools, total }
}

/// The cheapest of several bids, compared in words with the next; of equal ones the first. `None`
/// if there is none.
#[must_use]
pub fn cheapest(bids: &[Bid]) -> Option<Choice> {
    let mut order: Vec<usize> = (0..bids.len()).collect();
    order.sort_by_key(|&index| bids[index].total);
    let best = *order.first()?;
    let why = why(&bids[best], order.get(1).map(|&next| &bids[next]));
    Some(Choice { index: best, cost: bids[best].total, why })
}

fn why(best: &Bid, next: Option<&Bid>) -> String {
    let Some(next) = next else { return format!("{} is the only way that can make it", best.name) };
    if best.total.same_as(next.total) {
        return format!("{} costs as much as {} and comes first", best.name, next.name);
    }
    let mut for_it = Vec::new();
    let mut against = Vec::new();
    compare(best.time < next.time, best.time > next.time, &mut for_it, &mut against, |side| {
        format!("takes {} {side}", (best.time - next.time).abs().round_up_to_minutes())
    });
    compare(best.tools < next.tools, best.tools > next.tools, &mut for_it, &mut against, |side| {
        format!("needs {} {side} of tools", (best.tools - next.tools).abs())
    });
    let saving = format!("{} costs {} less than {}", best.name, next.total - best.total, next.name);
    match (for_it.is_empty(), against.is_empty()) {
        (true, true) => saving,
        (false, true) => format!("{saving}: it {}", for_it.join(" and ")),
        (true, false) => format!("{saving}, although it {}", against.join(" and ")),
        (false, false) => {
            format!("{saving}: it {}, although it {}", for_it.join(" and "), against.join(" and "))
        }
    }
}

/// Notes what speaks for the best, or against it.
fn compare(
    less: bool,
    more: bool,
    for_it: &mut Vec<String>,
    against: &mut Vec<String>,
    text: impl Fn(&str) -> String,
) {
    if less {
        for_it.push(text("less"));
    } else if more {
        against.push(text("more"));
    }
}
