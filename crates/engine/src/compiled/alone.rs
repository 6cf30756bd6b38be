//! What a job could do at best: with the whole shop to itself, nothing to set up, and every crew
//! waiting for it. What is impossible even so is impossible.
//!
//! The relaxation drops every other job, every pinned interval on cells, tools and crews, and all
//! setup minutes; it keeps working time, crew hours, tool lead times, the order of operations and
//! the horizon. An operation begun later never ends earlier in it, so that going through a route
//! and keeping the earliest end of each operation gives the earliest end of the route.

use super::{Choice, Compiled, NONE, Op, Route, Time};
use crate::Failure;
use elbowroom_problem::{JobIdx, Problem};

/// The earliest end of an option whose part is there at `ready`.
pub(crate) fn earliest_end(compiled: &Compiled, choice: &Choice, ready: Time) -> Time {
    if choice.cell == NONE {
        return ready + choice.run;
    }
    let calendar = compiled.calendar(choice.cell);
    let mut from = ready.max(choice.usable);
    loop {
        let work = calendar.work(from);
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

/// The earliest end of an operation: pinned work ends when it ends.
fn earliest_end_of(compiled: &Compiled, op: &Op, ready: Time) -> Time {
    if let Some(pin) = op.pinned {
        return if ready <= pin.run_start { pin.end } else { Time::MAX };
    }
    let options = &compiled.options[op.options.start as usize..op.options.end as usize];
    options.iter().map(|choice| earliest_end(compiled, choice, ready)).min().unwrap_or(Time::MAX)
}

/// Where a route fails even alone: the operation's place and its earliest end; or where each
/// operation's part is there at the earliest.
fn walk(compiled: &Compiled, release: Time, route: &Route) -> Result<Vec<Time>, (usize, Time)> {
    let mut ready = release;
    let mut all = Vec::with_capacity(route.ops.len());
    for (k, op) in compiled.ops[route.ops.start as usize..route.ops.end as usize].iter().enumerate() {
        let end = earliest_end_of(compiled, op, ready);
        if end > op.deadline {
            return Err((k, end));
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
                Err((k, end)) => last_fault = Some((route.clone(), k, end)),
            }
        }
        compiled.jobs[number].routes = first..compiled.routes.len() as u32;
        if let (true, Some((route, k, end))) = (compiled.jobs[number].routes.is_empty(), last_fault) {
            let job = JobIdx::new(number);
            return Err(Failure::Impossible { job, why: why(problem, &old, job, &route, k, end) });
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

/// The proof in plain words.
fn why(problem: &Problem, compiled: &Compiled, job: JobIdx, route: &Route, k: usize, end: Time) -> String {
    let named = &problem.job(job).routes[route.number as usize];
    let operation = &named.operations[k].id;
    let op = &compiled.ops[route.ops.start as usize + k];
    let place = format!("operation `{operation}` of route `{}`", named.id);
    if let Some(pin) = op.pinned {
        return if end == Time::MAX {
            format!("{place} is pinned to run at minute {}, before its part can be there", pin.run_start)
        } else {
            format!("{place} is pinned until minute {end}, beyond minute {}", op.deadline)
        };
    }
    let options = &compiled.options[op.options.start as usize..op.options.end as usize];
    let usable = options.iter().map(|choice| choice.usable).min().unwrap_or(0);
    if usable >= op.deadline {
        return format!(
            "{place} must end by minute {}, and its tools are usable from minute {usable}",
            op.deadline
        );
    }
    format!(
        "{place} cannot end by minute {} even if the job had the whole shop to itself: working time, \
         crew hours or lead times leave too little before it",
        op.deadline
    )
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
