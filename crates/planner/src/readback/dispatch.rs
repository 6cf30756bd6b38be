use super::Source;
use crate::plan::{CellPlan, Task};
use crate::timeline::At;
use elbowroom_problem::{CellIdx, CellWork, CrewIdx, ToolIdx};
use elbowroom_units::Minute;

/// Every cell's dispatch list, in the shop's order.
pub(crate) fn cells(source: &Source<'_>, reach: Minute) -> Vec<CellPlan> {
    let indices = (0..source.line.problem.cells.len()).map(CellIdx::new);
    indices.map(|cell| cell_plan(source, cell, reach)).collect()
}

fn cell_plan(source: &Source<'_>, cell: CellIdx, reach: Minute) -> CellPlan {
    let asked = &source.shop.cells[cell.get()];
    let open = source.line.windows(cell).iter().filter(|(from, _)| *from < reach).copied();
    CellPlan {
        id: asked.id.clone(),
        name: asked.name.clone(),
        work: asked.work,
        open: open.collect(),
        tasks: source.line.on_cell(cell).iter().map(|at| task(source, *at)).collect(),
    }
}

fn task(source: &Source<'_>, at: At) -> Task {
    let line = source.line;
    let (placed, work) = (line.placed(at), line.work_on_cell(at));
    let order = source.order(placed.option.job);
    let measured = &source.shop.measured;
    let does = source.shop.cells[work.cell.get()].work;
    let mount = work.tools.iter().filter(|tool| !stands(source, at, **tool));
    Task {
        order: order.id.clone(),
        part: order.part.clone(),
        quantity: order.quantity,
        start_quantity: source.key.step(placed.option).pieces,
        step: line.problem.operation(placed.option).id.clone(),
        setup_start: placed.setup_start,
        run_start: placed.run_start,
        end: placed.end,
        changeover: line.changeover(at),
        run: line.run(at),
        setup_factor: measured.setup(does),
        run_factor: source.tube(&order.part).map_or(1.0, |tube| measured.run(does, tube)),
        tools: work.tools.iter().map(|tool| tool_id(source, *tool)).collect(),
        mount: mount.map(|tool| tool_id(source, *tool)).collect(),
        setup_crew: crew_id(source, work.setup_crew),
        run_crew: crew_id(source, work.run_crew),
        under_way: line.is_pinned(at),
    }
}

/// Whether a tool is on the cell from before; what is under way has its tools on.
fn stands(source: &Source<'_>, at: At, tool: ToolIdx) -> bool {
    let line = source.line;
    if line.is_pinned(at) {
        return true;
    }
    let from_before = match line.before(at) {
        Some(before) => line.work_on_cell(before).tools.contains(&tool),
        None => mounted_at_start(source, line.work_on_cell(at), tool),
    };
    from_before && !line.taken_away(at, tool)
}

fn mounted_at_start(source: &Source<'_>, work: &CellWork, tool: ToolIdx) -> bool {
    source.shop.cells[work.cell.get()].mounted.contains(&source.line.problem.tool(tool).id)
}

fn tool_id(source: &Source<'_>, tool: ToolIdx) -> String {
    source.line.problem.tool(tool).id.clone()
}

fn crew_id(source: &Source<'_>, crew: Option<CrewIdx>) -> Option<String> {
    crew.map(|crew| source.line.problem.crew(crew).id.clone())
}
