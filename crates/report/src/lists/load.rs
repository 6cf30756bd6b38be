//! Hours of work against hours open, as a table.

use crate::charts::machine_time::weeks;
use crate::table::{Table, number, word};
use elbowroom_planner::plan::{Load, Plan};
use elbowroom_shop::calendar::IsoWeek;

/// The load of every cell in every week of the plan.
#[must_use]
pub fn table(plan: &Plan) -> Table {
    let columns = [
        word("Week"),
        word("Cell"),
        number("Running h"),
        number("Changing over h"),
        number("Open h"),
        number("Share %"),
        word("Note"),
    ];
    let mut table = Table::new("Hours of work against hours open", "no cells", &columns);
    for week in weeks(plan) {
        for load in plan.loads.iter().filter(|load| load.week == (week.year(), week.number())) {
            let over = load.run + load.setup > load.open;
            table.push(row(week, load, over), over);
        }
    }
    table
}

fn row(week: IsoWeek, load: &Load, over: bool) -> Vec<String> {
    let work = load.run + load.setup;
    let share = if load.open.count() > 0 {
        format!("{:.0}", 100.0 * work.hours() / load.open.hours())
    } else {
        String::new()
    };
    let note = if over { format!("{:.1} h TOO MANY", (work - load.open).hours()) } else { String::new() };
    vec![
        week.to_string(),
        load.cell.clone(),
        format!("{:.1}", load.run.hours()),
        format!("{:.1}", load.setup.hours()),
        format!("{:.1}", load.open.hours()),
        share,
        note,
    ]
}
