//! When something that an operation needs cannot be had, and who has it.

use crate::timeline::{At, Timeline};
use elbowroom_problem::{Availability, CrewIdx, Problem, ToolIdx};
use elbowroom_shop::calendar::{add_working_time, working_minutes};
use elbowroom_units::{Minute, Minutes};

/// A half-open span of minutes in which something cannot be had.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Block {
    pub(crate) from: Minute,
    pub(crate) to: Minute,
    pub(crate) holder: Holder,
}

/// What cannot be had, and who has it; placements by their index.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Holder {
    /// The cell runs or is set up for another lot.
    Cell { by: At },
    /// Every piece of the tool is held.
    Tool { tool: ToolIdx, by: At },
    /// The tool is not in the house yet.
    Arrival { tool: ToolIdx },
    /// Every head of the crew that changes over is taken, or nobody is there.
    Setter { crew: CrewIdx, by: Option<At> },
    /// The same for the crew that runs.
    Operator { crew: CrewIdx, by: Option<At> },
}

/// Everything else that stands on the cell.
pub(crate) fn cell_blocks(line: &Timeline<'_>, at: At) -> Vec<Block> {
    let others = line.on_cell(line.work_on_cell(at).cell).iter().filter(|other| **other != at);
    others.map(|&by| hold(line, by, Holder::Cell { by })).collect()
}

/// When the tools are held by others, and before they are in the house.
pub(crate) fn tool_blocks(line: &Timeline<'_>, at: At) -> Vec<Block> {
    let tools = &line.work_on_cell(at).tools;
    let arrivals = tools.iter().filter_map(|tool| arrival_block(line.problem, *tool));
    arrivals.chain(tools.iter().flat_map(|tool| held_blocks(line, at, *tool))).collect()
}

/// From minute 0 until a tool is in the house.
pub(crate) fn arrival_block(problem: &Problem, tool: ToolIdx) -> Option<Block> {
    let to = usable_from(problem, tool);
    (to > Minute::ZERO).then_some(Block { from: Minute::ZERO, to, holder: Holder::Arrival { tool } })
}

/// First minute at which a tool can be used; for an offer, if it is ordered at minute 0.
pub(crate) fn usable_from(problem: &Problem, tool: ToolIdx) -> Minute {
    match problem.tool(tool).availability {
        Availability::From(minute) => minute,
        Availability::Offer { lead, .. } => lead,
    }
}

/// While others hold every piece. Lots on the same cell are left to [`cell_blocks`].
fn held_blocks(line: &Timeline<'_>, at: At, tool: ToolIdx) -> Vec<Block> {
    let cell = line.work_on_cell(at).cell;
    let holds: Vec<Block> = line
        .on_tool(tool)
        .iter()
        .filter(|other| **other != at && line.work_on_cell(**other).cell != cell)
        .map(|&by| hold(line, by, Holder::Tool { tool, by }))
        .collect();
    overfull(&holds, line.problem.tool(tool).count as usize)
}

fn hold(line: &Timeline<'_>, by: At, holder: Holder) -> Block {
    let placed = line.placed(by);
    Block { from: placed.setup_start, to: placed.end, holder }
}

/// Where at least `limit` of the holds overlap; named after the one that ends first there, since
/// its end is what is waited for.
fn overfull(holds: &[Block], limit: usize) -> Vec<Block> {
    if limit <= 1 {
        return holds.to_vec();
    }
    pieces(holds)
        .filter_map(|(from, to)| {
            let over: Vec<&Block> = holds.iter().filter(|hold| hold.from <= from && to <= hold.to).collect();
            let first = over.iter().min_by_key(|hold| hold.to)?;
            (over.len() >= limit).then(|| Block { from, to, holder: first.holder.clone() })
        })
        .collect()
}

/// The time axis cut at every start and end of the holds.
fn pieces(holds: &[Block]) -> impl Iterator<Item = (Minute, Minute)> {
    let mut cuts: Vec<Minute> = holds.iter().flat_map(|hold| [hold.from, hold.to]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    (1..cuts.len()).map(move |i| (cuts[i - 1], cuts[i]))
}

/// What the crew of a setup or a run is doing elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CrewRole {
    /// It changes the cell over.
    Setter,
    /// It runs the cell.
    Operator,
}

impl CrewRole {
    fn holder(self, crew: CrewIdx, by: Option<At>) -> Holder {
        match self {
            Self::Setter => Holder::Setter { crew, by },
            Self::Operator => Holder::Operator { crew, by },
        }
    }
}

/// When no head of a crew is free, from `since` to the end of the placement, which itself takes none.
pub(crate) fn crew_blocks(
    line: &Timeline<'_>,
    crew: CrewIdx,
    role: CrewRole,
    at: At,
    since: Minute,
) -> Vec<Block> {
    let until = line.placed(at).end;
    let mut blocks = absent(line.problem, crew, role, (since, until));
    let busy: Vec<Block> = line
        .crew_work(crew)
        .iter()
        .filter(|work| work.at != at && work.from < until && work.to > since)
        .map(|work| Block { from: work.from, to: work.to, holder: role.holder(crew, Some(work.at)) })
        .collect();
    let heads = line.problem.crew(crew).capacity.iter().filter(|head| head.heads > 0);
    for head in heads.filter(|head| head.window.start < until && head.window.end > since) {
        let here: Vec<Block> =
            busy.iter().filter_map(|block| clipped(block, head.window.start, head.window.end)).collect();
        blocks.extend(overfull(&here, head.heads as usize));
    }
    blocks
}

fn clipped(block: &Block, from: Minute, to: Minute) -> Option<Block> {
    let (from, to) = (block.from.max(from), block.to.min(to));
    (from < to).then(|| Block { from, to, holder: block.holder.clone() })
}

/// Where a crew has nobody.
pub(crate) fn absent(
    problem: &Problem,
    crew: CrewIdx,
    role: CrewRole,
    (from, to): (Minute, Minute),
) -> Vec<Block> {
    let nobody = |from, to| Block { from, to, holder: role.holder(crew, None) };
    let mut blocks = Vec::new();
    let mut begin = from;
    for head in problem.crew(crew).capacity.iter().filter(|head| head.heads > 0 && head.window.end > from) {
        if begin < head.window.start.min(to) {
            blocks.push(nobody(begin, head.window.start.min(to)));
        }
        begin = begin.max(head.window.end);
    }
    if begin < to {
        blocks.push(nobody(begin, to));
    }
    blocks
}

/// The first working minute at or after `from`.
pub(crate) fn open_at(windows: &[(Minute, Minute)], from: Minute) -> Option<Minute> {
    let next = windows.get(windows.partition_point(|window| window.1 <= from))?;
    Some(next.0.max(from))
}

/// The earliest working minute at or after `from` from which `work` minutes of the cell can be
/// worked without touching a working minute of `blocks`; and when they are done.
pub(crate) fn earliest(
    windows: &[(Minute, Minute)],
    from: Minute,
    work: Minutes,
    blocks: &[Block],
) -> Option<(Minute, Minute)> {
    let mut start = open_at(windows, from)?;
    loop {
        let end = add_working_time(windows, start, work)?;
        match blocks.iter().filter(|block| hits(windows, block, start, end)).map(|block| block.to).max() {
            None => return Some((start, end)),
            Some(later) => start = open_at(windows, later)?,
        }
    }
}

/// Whether a block takes a working minute of `[start, end)`.
fn hits(windows: &[(Minute, Minute)], block: &Block, start: Minute, end: Minute) -> bool {
    working_minutes(windows, block.from.max(start), block.to.min(end)) > Minutes::ZERO
}
