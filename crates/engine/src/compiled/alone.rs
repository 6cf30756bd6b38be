//! What a job could do at best: with the whole shop to itself, each changeover as short as it can
//! be, and every crew waiting for it. What is impossible even so is impossible.
//!
//! The relaxation drops every other job and every pinned interval on cells, tools and crews; it keeps
//! working time, crew hours, tool lead times, the order of operations and the horizon. Of a changeover
//! it keeps the least that it takes from any key that may be mounted: a key may be if it is there at
//! minute 0, if pinned work mounts it, or if some work that needs it can be set up from another key.
//! An operation begun later never ends earlier in it, so that going through a route and keeping the
//! earliest end of each operation gives the earliest end of the route.

use super::reason::{Stop, why};
use super::{Choice, Compiled, NONE, Op, Route, Time};
use crate::Failure;
use elbowroom_problem::{JobIdx, Problem};

/// The earliest end of an option whose part is there at `ready`.
pub(super) fn earliest_end(compiled: &Compiled, choice: &Choice, ready: Time) -> Time {
    if choice.cell == NONE {
        return ready + choice.run;
    }
    let calendar = compiled.calendar(choice.cell);
    let set_up = set_up_by(compiled, choice);
    let mut from = ready.max(choice.usable);
    loop {
        let work = calendar.work(from).max(set_up);
        let (start, end) = (calendar.clock(work), calendar.clock_end(work + choice.run));
        if choice.run_crew == NONE || end > compiled.horizon {
            return end;
        }
        match compiled.crews[choice.run_crew as usize].heads.unmanned(calendar, start, end) {
            Some(manned) => from = manned,
            None => return end,
        }
    }
}

/// The working minute of its cell at which an option can be set up at the earliest; a longer changeover
/// begins with the minutes of the shortest one.
fn set_up_by(compiled: &Compiled, choice: &Choice) -> Time {
    let calendar = compiled.calendar(choice.cell);
    let least = compiled.cells[choice.cell as usize].change.least_to(choice.key);
    let mut work = calendar.work(choice.usable);
    if least == 0 || choice.setup_crew == NONE {
        return work + least;
    }
    let crew = &compiled.crews[choice.setup_crew as usize];
    loop {
        let (start, end) = (calendar.clock(work), calendar.clock_end(work + least));
        match crew.heads.unmanned(calendar, start, end) {
            Some(manned) if end <= compiled.horizon => work = calendar.work(manned),
            _ => return work + least,
        }
    }
}

/// Finds out which keys can be mounted at all, so that work with the same key need not change over.
fn find_mountable(compiled: &mut Compiled) {
    let mut mountable: Vec<(u32, u32)> =
        compiled.cells.iter().zip(0..).map(|(cell, number)| (number, cell.initial)).collect();
    for op in &compiled.ops {
        for choice in &compiled.options[op.options.start as usize..op.options.end as usize] {
            let possible = || earliest_end(compiled, choice, 0) <= compiled.horizon;
            if choice.cell != NONE && (op.pinned.is_some() || possible()) {
                mountable.push((choice.cell, choice.key));
            }
        }
    }
    for (cell, key) in mountable {
        compiled.cells[cell as usize].change.can_be_mounted(key);
    }
}

/// The earliest end of an operation: pinned work ends when it ends.
fn earliest_end_of(compiled: &Compiled, op: &Op, ready: Time) -> Time {
    if let Some(pin) = op.pinned {
        return if ready <= pin.run_start { pin.end } else { Time::MAX };
    }
    let options = &compiled.options[op.options.start as usize..op.options.end as usize];
    options.iter().map(|choice| earliest_end(compiled, choice, ready)).min().unwrap_or(Time::MAX)
}

/// Where a route fails even alone, or when each operation's part is there at the earliest.
fn walk(compiled: &Compiled, release: Time, route: &Route) -> Result<Vec<Time>, Stop> {
    let mut ready = release;
    let mut all = Vec::with_capacity(route.ops.len());
    for (k, op) in compiled.ops[route.ops.start as usize..route.ops.end as usize].iter().enumerate() {
        let end = earliest_end_of(compiled, op, ready);
        if end > op.deadline {
            return Err(Stop { k, ready, end });
        }
        all.push(ready);
        ready = end + op.lag;
    }
    Ok(all)
}

/// Leaves out routes and options that cannot be done in time even alone.
///
/// # Errors
/// [`Failure::Impossible`] where nothing is left of a job.
pub(crate) fn prune(problem: &Problem, compiled: &mut Compiled) -> Result<(), Failure> {
    find_mountable(compiled);
    let old = compiled.clone();
    compiled.options.clear();
    compiled.routes.clear();
    for (number, job) in old.jobs.iter().enumerate() {
        let first = compiled.routes.len() as u32;
        let mut last_fault = None;
        for route in &old.routes[job.routes.start as usize..job.routes.end as usize] {
            match walk(&old, job.release, route) {
                Ok(ready) => {
                    keep_options(&old, compiled, route, &ready);
                    compiled.routes.push(route.clone());
                }
                Err(stop) => last_fault = Some((route.clone(), stop)),
            }
        }
        compiled.jobs[number].routes = first..compiled.routes.len() as u32;
        if let (true, Some((route, stop))) = (compiled.jobs[number].routes.is_empty(), last_fault) {
            let job = JobIdx::new(number);
            return Err(Failure::Impossible { job, why: why(problem, &old, job, &route, &stop) });
        }
    }
    Ok(())
}

fn keep_options(old: &Compiled, compiled: &mut Compiled, route: &Route, ready: &[Time]) {
    for (at, &ready) in (route.ops.start as usize..route.ops.end as usize).zip(ready) {
        let op = &old.ops[at];
        let first = compiled.options.len() as u32;
        for choice in &old.options[op.options.start as usize..op.options.end as usize] {
            if op.pinned.is_some() || earliest_end(old, choice, ready) <= op.deadline {
                compiled.options.push(choice.clone());
            }
        }
        compiled.ops[at].options = first..compiled.options.len() as u32;
    }
}

/// Pinned work stands as given; where it breaks a rule that it is not exempt from, nothing helps.
///
/// # Errors
/// [`Failure::Impossible`] for work that ends beyond the horizon or shares its cell.
pub(crate) fn check_pins(problem: &Problem, compiled: &Compiled) -> Result<(), Failure> {
    for pin in &problem.pinned {
        if pin.end > problem.horizon {
            let job = pin.option.job;
            return Err(Failure::Impossible {
                job,
                why: format!(
                    "operation `{}` is pinned until minute {}, beyond the horizon at minute {}",
                    problem.operation(pin.option).id,
                    pin.end.get(),
                    problem.horizon.get()
                ),
            });
        }
    }
    for (cell, flat) in compiled.cells.iter().enumerate() {
        let mut busy_until = 0;
        for &slot in &flat.pins {
            let pin = pin_of(compiled, slot);
            if pin.start < busy_until && pin.start < pin.end {
                let id = &problem.cells[cell].id;
                return Err(Failure::Impossible {
                    job: JobIdx::new(compiled.slot_job[slot as usize] as usize),
                    why: format!(
                        "its work pinned on cell `{id}` from minute {} shares the cell with other pinned work",
                        pin.start
                    ),
                });
            }
            busy_until = busy_until.max(pin.end);
        }
    }
    Ok(())
}

/// The times of a pinned slot.
pub(crate) fn pin_of(compiled: &Compiled, slot: u32) -> super::Pin {
    let job = &compiled.jobs[compiled.slot_job[slot as usize] as usize];
    let op = compiled.op(job.routes.start, slot - job.first_slot);
    op.pinned.expect("only slots of pinned work are in a list of pins")
}
