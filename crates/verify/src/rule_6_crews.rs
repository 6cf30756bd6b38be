//! Rule 6: a setup needs one head of its crew in each of its working minutes, a run one head in
//! each of its own: while the cell works, not while it stands still. No more heads are needed
//! than are there. Pinned work is exempt, but it does need its heads.

use crate::layout::{Layout, Placed};
use crate::overlap::{Hold, Shared, more_than};
use crate::verdict::{Rule, Violation};
use elbowroom_problem::{CellWork, Crew, Window};
use elbowroom_units::Minutes;

pub(crate) fn check(layout: &Layout, setups: &[Minutes], found: &mut Vec<Violation>) {
    let mut needs: Vec<Vec<Hold>> = layout.problem.crews.iter().map(|_| Vec::new()).collect();
    for (index, placed) in layout.placed.iter().enumerate() {
        if let Some(work) = placed.on_cell {
            add_needs(layout, index, placed, work, setups[index], &mut needs);
        }
    }
    for (crew, needs) in layout.problem.crews.iter().zip(&needs) {
        for shared in more_than(0, needs) {
            check_heads(layout, crew, &shared, found);
        }
    }
}

/// The setup is the first `setup` working minutes from its start; the run is all working minutes
/// from its own start to the end.
fn add_needs(
    layout: &Layout,
    index: usize,
    placed: &Placed,
    work: &CellWork,
    setup: Minutes,
    needs: &mut [Vec<Hold>],
) {
    let calendar = layout.calendar(work.cell);
    let hold = |window| Hold { window, holder: index, pinned: placed.pin.is_some() };
    if let Some(crew) = work.setup_crew {
        let windows = calendar.first(setup, placed.setup_start, placed.end);
        needs[crew.get()].extend(windows.into_iter().map(hold));
    }
    if let Some(crew) = work.run_crew {
        needs[crew.get()].extend(calendar.within(placed.run_start, placed.end).map(hold));
    }
}

/// One violation for each part of the window that has too few heads.
fn check_heads(layout: &Layout, crew: &Crew, shared: &Shared, found: &mut Vec<Violation>) {
    for (window, heads) in heads(crew, shared.window) {
        if shared.held <= heads {
            continue;
        }
        let (from, to) = (window.start.get(), window.end.get());
        let what = format!(
            "{} need {} head(s) of crew `{}` in minutes {from}..{to}, and {heads} are there",
            layout.names(shared),
            shared.held,
            crew.id
        );
        found.push(Violation { rule: Rule::Crews, place: format!("crew {}", crew.id), what });
    }
}

/// The window in parts, each with the heads that are there throughout.
fn heads(crew: &Crew, window: Window) -> Vec<(Window, usize)> {
    let mut parts = Vec::new();
    let mut from = window.start;
    let first = crew.capacity.partition_point(|part| part.window.end <= window.start);
    for part in crew.capacity[first..].iter().take_while(|part| part.window.start < window.end) {
        let (start, end) = (part.window.start.max(from), part.window.end.min(window.end));
        if from < start {
            parts.push((Window { start: from, end: start }, 0));
        }
        parts.push((Window { start, end }, part.heads as usize));
        from = end;
    }
    if from < window.end {
        parts.push((Window { start: from, end: window.end }, 0));
    }
    parts
}
