use crate::plan::{Plan, Task};
use chrono::NaiveDate;
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_problem::CellIdx;
use elbowroom_shop::Shop;
use elbowroom_shop::rack::{Tool, ToolState};

/// A tool that a job needs.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetTool {
    /// Its id.
    pub id: String,
    /// What it is; `None` for one that no list names.
    pub spec: Option<ToolSpec>,
    /// Where to get it.
    pub from: ToolFrom,
}

/// Where a tool is when a job is set up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ToolFrom {
    /// On the cell already.
    OnTheCell,
    /// Still on another cell, or used there last.
    OtherCell {
        /// Id of the cell.
        cell: String,
        /// Id of the order that used it there in this plan.
        order: Option<String>,
    },
    /// On its place, which the shop may have named.
    Kept {
        /// In the shop's words.
        place: Option<String>,
    },
    /// It comes from a tool maker on this date.
    Coming(NaiveDate),
    /// It is to be bought.
    ToBuy,
}

/// The tools of a job, those to put on first.
pub(super) fn tools(shop: &Shop, plan: &Plan, at: CellIdx, task: &Task) -> Vec<SheetTool> {
    let (mount, stay): (Vec<&String>, Vec<&String>) =
        task.tools.iter().partition(|tool| task.mount.contains(tool));
    let line = |id: &String| {
        let tool = shop.tools.iter().find(|tool| tool.id == *id);
        let from = if task.mount.contains(id) {
            source(shop, plan, at, task, id, tool)
        } else {
            ToolFrom::OnTheCell
        };
        SheetTool { id: id.clone(), spec: tool.map(|tool| tool.spec), from }
    };
    mount.into_iter().chain(stay).map(line).collect()
}

fn source(shop: &Shop, plan: &Plan, at: CellIdx, task: &Task, id: &str, tool: Option<&Tool>) -> ToolFrom {
    let Some(tool) = tool else { return ToolFrom::ToBuy };
    // Of several equal ones nobody knows which is taken.
    let elsewhere = if tool.pieces == 1 { last_used(shop, plan, at, task, id) } else { None };
    match (elsewhere, tool.state) {
        (Some(from), _) => from,
        (None, ToolState::Rack) => ToolFrom::Kept { place: tool.place.clone() },
        (None, ToolState::OnOrder { arrives }) => ToolFrom::Coming(arrives),
        (None, ToolState::Offered { .. }) => ToolFrom::ToBuy,
    }
}

/// The cell that had a tool last before a job, unless it is the job's own.
fn last_used(shop: &Shop, plan: &Plan, at: CellIdx, task: &Task, id: &str) -> Option<ToolFrom> {
    let uses =
        plan.cells.iter().enumerate().flat_map(|(i, cell)| cell.tasks.iter().map(move |task| (i, task)));
    let before =
        uses.filter(|(_, other)| other.end <= task.setup_start && other.tools.iter().any(|tool| tool == id));
    let last = before.max_by_key(|(_, other)| other.end);
    let (cell, order) = match last {
        Some((cell, other)) => (cell, Some(other.order.clone())),
        None => (shop.cells.iter().position(|cell| cell.mounted.iter().any(|tool| tool == id))?, None),
    };
    (cell != at.get()).then(|| ToolFrom::OtherCell { cell: shop.cells[cell].id.clone(), order })
}
