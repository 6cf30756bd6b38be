//! Dispatch lists: what a cell does, in order.

use super::{ids, some_minutes};
use crate::table::{Column, Table, number, prose, word};
use crate::when::{day, moment, moment_after};
use elbowroom_planner::plan::{CellPlan, Plan, Task};

/// The columns of a dispatch list.
const COLUMNS: [Column; 10] = [
    word("Setup starts"),
    word("Run starts"),
    word("Ends"),
    word("Order"),
    word("Part"),
    number("Pieces"),
    prose("Put on"),
    number("Changeover min"),
    prose("Crew"),
    prose("Note"),
];

/// The dispatch list of one cell, as far as the plan's weeks reach.
#[must_use]
pub fn of_cell(plan: &Plan, cell: &CellPlan) -> Table {
    let mut table = Table::new(caption(cell), "nothing planned", &COLUMNS);
    let end = plan.end_of_weeks();
    let later = cell.tasks.partition_point(|task| task.setup_start < end);
    for task in &cell.tasks[..later] {
        let late = plan.orders.iter().any(|order| order.id == task.order && order.is_late());
        table.push(row(plan, task, late), late);
    }
    let more = cell.tasks.len() - later;
    table.note = (more > 0).then(|| format!("and {more} more from {} on", day(plan.clock.date(end))));
    table
}

/// Name, id and kind of work of a cell.
#[must_use]
pub fn caption(cell: &CellPlan) -> String {
    if cell.name == cell.id {
        format!("{} ({})", cell.id, cell.work)
    } else {
        format!("{} ({}, {})", cell.name, cell.id, cell.work)
    }
}

fn row(plan: &Plan, task: &Task, late: bool) -> Vec<String> {
    let clock = &plan.clock;
    vec![
        moment(clock, task.setup_start),
        moment_after(clock, task.run_start, task.setup_start),
        moment_after(clock, task.end, task.setup_start),
        task.order.clone(),
        task.part.clone(),
        task.quantity.to_string(),
        ids(&task.mount),
        some_minutes(task.changeover),
        crew(task),
        note(task, late),
    ]
}

/// Who changes over and who runs; one name where it is the same crew.
pub(crate) fn crew(task: &Task) -> String {
    match (&task.setup_crew, &task.run_crew) {
        (Some(setup), Some(run)) if setup != run => format!("{setup}, then {run}"),
        (Some(setup), None) => format!("{setup} (setup)"),
        (_, Some(run)) => run.clone(),
        (None, None) => String::new(),
    }
}

/// What is out of the ordinary, and how many pieces to start where that is more than ordered.
fn note(task: &Task, late: bool) -> String {
    let mut notes = Vec::new();
    if task.under_way {
        notes.push("under way".to_owned());
    }
    if late {
        notes.push("LATE ORDER".to_owned());
    }
    if task.start_quantity > task.quantity {
        notes.push(format!("start {}", task.start_quantity));
    }
    notes.join(", ")
}
