//! A tool for every need, and where it comes from.

use super::answer::{Ready, Substitute, ToolFit, ToolSource};
use crate::compile::frame::Frame;
use crate::compile::rack::{Pick, Rack};
use chrono::NaiveDate;
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_problem::CellIdx;
use elbowroom_shop::rack::ToolState;
use elbowroom_units::{Minutes, Money};

/// The tool for every need on a cell that the planner would take first.
pub(super) fn of(frame: &Frame<'_>, rack: &mut Rack<'_>, cell: CellIdx, needs: &[ToolSpec]) -> Vec<ToolFit> {
    let first = |need: &ToolSpec| {
        let pick = rack.choices(cell, need)[0];
        let source = source(frame, rack, cell, pick);
        let in_house = matches!(source, ToolSource::Mounted | ToolSource::Rack);
        let substitutes = if in_house { Vec::new() } else { substitutes(frame, rack, cell, need) };
        ToolFit { need: *need, tool: rack.id_of(pick), source, substitutes }
    };
    needs.iter().map(first).collect()
}

fn source(frame: &Frame<'_>, rack: &Rack<'_>, cell: CellIdx, pick: Pick) -> ToolSource {
    let arrival = |lead: Minutes| frame.clock.date(frame.arrival_of_offer(lead));
    match pick {
        Pick::Estimated(spec) => {
            let usual = frame.shop.rules.tooling.default.of(spec.kind);
            let (price, lead) = (usual.price, usual.lead);
            ToolSource::ToBuy { price, lead, usable: arrival(lead), estimated: true }
        }
        Pick::Listed(at) => match frame.shop.tools[at].state {
            ToolState::Offered { price, lead, estimated } => {
                ToolSource::ToBuy { price, lead, usable: arrival(lead), estimated }
            }
            ToolState::OnOrder { arrives } if !rack.is_in_house(pick) => {
                ToolSource::OnOrder { usable: arrives }
            }
            ToolState::OnOrder { .. } | ToolState::Rack => {
                let mounted = frame.shop.cells[cell.get()].mounted.contains(&frame.shop.tools[at].id);
                if mounted { ToolSource::Mounted } else { ToolSource::Rack }
            }
        },
    }
}

fn substitutes(frame: &Frame<'_>, rack: &Rack<'_>, cell: CellIdx, need: &ToolSpec) -> Vec<Substitute> {
    let named =
        |(at, differences): (usize, _)| Substitute { tool: frame.shop.tools[at].id.clone(), differences };
    rack.substitutes(cell, need).into_iter().map(named).collect()
}

/// When the last of the tools can be used.
pub(super) fn ready(tools: &[ToolFit]) -> Ready {
    let day = |tool: &ToolFit| match tool.source {
        ToolSource::Mounted | ToolSource::Rack => None,
        ToolSource::OnOrder { usable } | ToolSource::ToBuy { usable, .. } => Some(usable),
    };
    let last: Option<NaiveDate> = tools.iter().filter_map(day).max();
    let buys = tools.iter().any(|tool| matches!(tool.source, ToolSource::ToBuy { .. }));
    match last {
        None => Ready::Now,
        Some(day) if buys => Ready::ToBuy(day),
        Some(day) => Ready::OnOrder(day),
    }
}

/// Money for tools to buy; a tool that serves two needs is bought once.
pub(super) fn price(tools: &[ToolFit]) -> Money {
    let is_first = |at: usize| !tools[..at].iter().any(|before| before.tool == tools[at].tool);
    let price = |tool: &ToolFit| match tool.source {
        ToolSource::ToBuy { price, .. } => price,
        _ => Money::ZERO,
    };
    (0..tools.len()).filter(|&at| is_first(at)).map(|at| price(&tools[at])).sum()
}
