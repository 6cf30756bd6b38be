//! Rule 2: setups and runs take the cell's working minutes, without a break of their own.
//!
//! With `W(a, b)` the working minutes of the cell in `[a, b)`: setup and run begin inside a
//! window; `W(run_start, end)` is the run, and `end` the earliest such minute; where there is
//! nothing to set up the run begins at once. A step outside takes its run on the wall clock.
//! Whether a setup is long enough is looked at beside what it has to be: with rule 4.

use crate::layout::{Layout, Placed};
use crate::verdict::{Rule, Violation};
use elbowroom_problem::CellWork;
use elbowroom_units::{Minute, Minutes};

pub(crate) fn check(layout: &Layout, setups: &[Minutes], found: &mut Vec<Violation>) {
    for (index, placed) in layout.placed.iter().enumerate() {
        if placed.pin.is_some() {
            continue;
        }
        let mut faults = Vec::new();
        if !(placed.setup_start <= placed.run_start && placed.run_start <= placed.end) {
            let [setup, run, end] = [placed.setup_start, placed.run_start, placed.end].map(Minute::get);
            faults.push(format!("has its setup at {setup}, run at {run}, end at {end}: not in this order"));
        } else {
            match placed.on_cell {
                Some(work) => on_cell(layout, placed, work, setups[index], &mut faults),
                None => outside(placed, &mut faults),
            }
        }
        let name = layout.name(index);
        let violation = |fault| Violation {
            rule: Rule::WorkingTime,
            place: name.clone(),
            what: format!("`{name}` {fault}"),
        };
        found.extend(faults.into_iter().map(violation));
    }
}

fn outside(placed: &Placed, faults: &mut Vec<String>) {
    let (setup_start, run_start) = (placed.setup_start.get(), placed.run_start.get());
    if setup_start != run_start {
        faults.push(format!(
            "is outside and has no setup, but begins one at {setup_start}, its run at {run_start}"
        ));
    }
    let end = placed.run_start + placed.work.run;
    if placed.end != end {
        let run = placed.work.run.count();
        let (right, found) = (end.get(), placed.end.get());
        faults.push(format!(
            "takes {run} minutes outside from {run_start} and ends at {right}, not at {found}"
        ));
    }
}

fn on_cell(layout: &Layout, placed: &Placed, work: &CellWork, setup: Minutes, faults: &mut Vec<String>) {
    let calendar = layout.calendar(work.cell);
    let cell = &layout.problem.cell(work.cell).id;
    for (what, minute) in [("setup", placed.setup_start), ("run", placed.run_start)] {
        if !calendar.contains(minute) {
            faults.push(format!("begins its {what} at {}, when cell `{cell}` does not work", minute.get()));
        }
    }
    if setup == Minutes::ZERO && placed.setup_start != placed.run_start {
        let (from, to) = (placed.setup_start.get(), placed.run_start.get());
        faults.push(format!("has nothing to set up, but holds cell `{cell}` for it in minutes {from}..{to}"));
    }
    let (worked, run) = (calendar.between(placed.run_start, placed.end), placed.work.run);
    if worked != run {
        let (from, to) = (placed.run_start.get(), placed.end.get());
        let (worked, run) = (worked.count(), run.count());
        faults.push(format!("runs {run} minutes, but cell `{cell}` works {worked} in minutes {from}..{to}"));
    } else if !calendar.contains(placed.end - Minutes::new(1)) {
        faults.push(format!("is over before its end at {}, which has to be the earliest", placed.end.get()));
    }
}
