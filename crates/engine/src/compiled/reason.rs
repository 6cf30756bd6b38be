//! Why a job cannot be finished even alone, in plain words.

use super::alone::earliest_end;
use super::{Choice, Compiled, NONE, Op, Route, Time};
use elbowroom_problem::{JobIdx, Problem};
use std::collections::BTreeSet;

/// So many reasons are told at most.
const MOST: usize = 4;

/// Where a route fails even alone.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    /// The operation's place in its route.
    pub(super) k: usize,
    /// When its part is there at the earliest.
    pub(super) ready: Time,
    /// Its earliest end, which is too late.
    pub(super) end: Time,
}

/// The proof in plain words.
pub(super) fn why(problem: &Problem, c: &Compiled, job: JobIdx, route: &Route, stop: &Stop) -> String {
    let named = &problem.job(job).routes[route.number as usize];
    let op = &c.ops[route.ops.start as usize + stop.k];
    let place = format!("operation `{}` of route `{}`", named.operations[stop.k].id, named.id);
    if let Some(pin) = op.pinned {
        return if stop.end == Time::MAX {
            format!("{place} is pinned to run at minute {}, before its part can be there", pin.run_start)
        } else {
            format!("{place} is pinned until minute {}, beyond minute {}", stop.end, op.deadline)
        };
    }
    let options = &c.options[op.options.start as usize..op.options.end as usize];
    // Options that fail for the same reason are told once.
    let reasons: BTreeSet<String> =
        options.iter().map(|choice| reason(problem, c, op, choice, stop.ready)).collect();
    let more = reasons.len().saturating_sub(MOST);
    let mut told: Vec<String> = reasons.into_iter().take(MOST).collect();
    if more > 0 {
        told.push(format!("and {more} more like these"));
    }
    format!(
        "{place} cannot end by minute {}, even with the whole shop to itself: {}",
        op.deadline,
        told.join("; ")
    )
}

/// What keeps one option from ending in time.
fn reason(problem: &Problem, c: &Compiled, op: &Op, choice: &Choice, ready: Time) -> String {
    if choice.cell == NONE {
        return format!("outside it takes {} minutes from minute {ready} on", choice.run);
    }
    if choice.usable >= op.deadline {
        return format!("its tools are usable from minute {}", choice.usable);
    }
    let cell = &problem.cells[choice.cell as usize].id;
    let from = ready.max(choice.usable);
    let open = c.calendar(choice.cell).work(op.deadline.max(from)) - c.calendar(choice.cell).work(from);
    let without = |setup: bool, run: bool| {
        let mut free = choice.clone();
        free.setup_crew = if setup { NONE } else { choice.setup_crew };
        free.run_crew = if run { NONE } else { choice.run_crew };
        earliest_end(c, &free, ready) <= op.deadline
    };
    let crew = |number: u32| &problem.crews[number as usize].id;
    let least = c.cells[choice.cell as usize].change.least_to(choice.key);
    if without(true, false) {
        let hours = "for the changeover in time";
        format!(
            "crew `{}` is never there for {least} working minutes of cell `{cell}` {hours}",
            crew(choice.setup_crew)
        )
    } else if without(false, true) {
        let hours = "for the run in time";
        format!(
            "crew `{}` is never there for {} working minutes of cell `{cell}` {hours}",
            crew(choice.run_crew),
            choice.run
        )
    } else if open < choice.run {
        format!(
            "cell `{cell}` would have to work {} minutes and is open for {open} from minute {from} on",
            choice.run
        )
    } else if without(true, true) {
        format!(
            "crews `{}` and `{}` are not there for it on cell `{cell}`",
            crew(choice.setup_crew),
            crew(choice.run_crew)
        )
    } else {
        format!(
            "cell `{cell}` is open for {open} minutes from minute {from} on, too few for a changeover of at least {least} and a run of {}",
            choice.run
        )
    }
}
