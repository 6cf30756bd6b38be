use crate::plan::Load;
use crate::timeline::Timeline;
use chrono::Days;
use elbowroom_problem::CellIdx;
use elbowroom_shop::calendar::{IsoWeek, PlanClock};
use elbowroom_units::{Minute, Minutes};

/// A week of the plan as minutes.
struct Week {
    name: IsoWeek,
    from: Minute,
    to: Minute,
}

/// Work against open time for every cell and ISO week, from the week of the plan's start to the
/// last one that has work, `weeks` at least. Work counts in the week in which it is done.
pub(crate) fn loads(line: &Timeline<'_>, clock: &PlanClock, weeks: u32) -> Vec<Load> {
    let reach = line.schedule.operations.iter().map(|placed| placed.end).max().unwrap_or(Minute::ZERO);
    let list = weeks_until(clock, reach, weeks);
    let cells = (0..line.problem.cells.len()).map(CellIdx::new);
    cells.flat_map(|cell| list.iter().map(move |week| load(line, cell, week))).collect()
}

fn weeks_until(clock: &PlanClock, reach: Minute, weeks: u32) -> Vec<Week> {
    let span = u64::from(weeks.max(1)) * 7 - 1;
    let shown = clock.start().checked_add_days(Days::new(span)).unwrap_or(clock.start());
    let last = shown.max(clock.date(reach - Minutes::new(1)));
    let mut list = Vec::new();
    let mut name = IsoWeek::of(clock.start());
    while name.monday() <= last {
        list.push(Week { name, from: start_of(clock, name), to: start_of(clock, name.next()) });
        if name.next() == name {
            break;
        }
        name = name.next();
    }
    list
}

/// The week's first minute; the plan's start in its first week.
fn start_of(clock: &PlanClock, week: IsoWeek) -> Minute {
    clock.start_of(week.monday()).max(Minute::ZERO)
}

fn load(line: &Timeline<'_>, cell: CellIdx, week: &Week) -> Load {
    let inside = |from: Minute, to: Minute| line.worked(cell, from.max(week.from), to.min(week.to));
    let tasks = line.on_cell(cell);
    Load {
        cell: line.problem.cell(cell).id.clone(),
        week: (week.name.year(), week.name.number()),
        run: tasks.iter().map(|at| inside(line.placed(*at).run_start, line.placed(*at).end)).sum(),
        setup: tasks.iter().map(|at| inside(line.placed(*at).setup_start, line.changeover_end(*at))).sum(),
        open: line.worked(cell, week.from, week.to),
    }
}
