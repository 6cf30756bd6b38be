//! Where an operation fits best by heads and tails: the estimate of Mastrolilli and Gambardella
//! (Journal of Scheduling 3, 2000) for moving an operation of a flexible job shop.
//!
//! Between two neighbours on a cell, the chain through the operation is as long as what must be
//! over before it, its setup and run, and what must follow. Ends and tails are those of the plan as
//! it stands, so that this is an estimate; the annealing finds the truth.

use crate::compiled::{NONE, Time};
use crate::dice::Dice;
use crate::plan::Plan;

/// Share of choices in which only equally good places compete.
const STRICT: f64 = 0.7;

/// A place for an operation: its option, and the position in the list that it goes before.
#[derive(Clone, Copy)]
pub(super) struct Place {
    option: u32,
    at: u32,
}

/// What the operation's own job asks of a place.
struct Job {
    /// The part is there, and its operation before stands at this position.
    ready: Time,
    after: u32,
    /// What follows in the job, and where.
    tail: Time,
    before: u32,
}

/// The best place for `x` among all on the cells of `options`, those beside it left out.
pub(super) fn best_place(
    plan: &Plan<'_>,
    x: u32,
    options: std::ops::Range<u32>,
    dice: &mut Dice,
) -> Option<Place> {
    let job = surroundings(plan, x);
    let (times, beside) = (plan.slot(x).times, (plan.slot(x).cell_prev(), plan.slot(x).cell_next()));
    let noise = if dice.chance(STRICT) { 0.9 } else { f64::from(times.end - times.start) };
    let mut best: (f64, Option<Place>) = (f64::INFINITY, None);
    for option in options.filter(|&option| plan.compiled().options[option as usize].cell != NONE) {
        gaps(plan, x, option, job.after, |prev, next| {
            let low = if prev == NONE { 0 } else { plan.slot(prev).pos }.max(job.after);
            let high = if next == NONE { u32::MAX } else { plan.slot(next).pos }.min(job.before);
            let stands_here = option == plan.slot(x).option && (prev, next) == beside;
            if low < high && !stands_here {
                let length = f64::from(chain(plan, option, &job, prev, next)) + noise * dice.unit();
                if length < best.0 {
                    best = (length, Some(Place { option, at: low + 1 }));
                }
            }
        });
    }
    best.1
}

/// Tells every two neighbours on the option's cell, `x` left out, from the last ones back to those
/// about position `after`; [`NONE`] at the ends.
fn gaps(plan: &Plan<'_>, x: u32, option: u32, after: u32, mut tell: impl FnMut(u32, u32)) {
    let others = |at: u32| if at == x { plan.slot(x).cell_prev() } else { at };
    let mut prev = others(plan.last_on(plan.compiled().options[option as usize].cell));
    let mut next = NONE;
    loop {
        tell(prev, next);
        if prev == NONE || plan.slot(prev).pos < after {
            return;
        }
        (prev, next) = (others(plan.slot(prev).cell_prev()), prev);
    }
}

/// Length of the chain through the job's operation between two neighbours.
fn chain(plan: &Plan<'_>, option: u32, job: &Job, prev: u32, next: u32) -> Time {
    let c = plan.compiled();
    let choice = &c.options[option as usize];
    let cell = &c.cells[choice.cell as usize];
    let (free, key) = match prev {
        NONE => (0, cell.initial),
        prev => (plan.slot(prev).times.end, plan.slot(prev).key),
    };
    let begin = job.ready.max(free + cell.change.minutes(key, choice.key)).max(choice.usable);
    let behind = match next {
        NONE => 0,
        next => {
            let slot = plan.slot(next);
            cell.change.minutes(choice.key, slot.key) + slot.run() + plan.tail(next)
        }
    };
    begin.saturating_add(choice.run).saturating_add(job.tail.max(behind))
}

/// Moves an operation to a place.
pub(super) fn go(plan: &mut Plan<'_>, x: u32, place: Place) {
    plan.lift(x);
    if plan.slot(x).option != place.option {
        plan.choose(x, place.option);
    }
    plan.drop_before(x, place.at);
}

fn surroundings(plan: &Plan<'_>, x: u32) -> Job {
    let after = plan.pred(x).map_or(0, |pred| plan.slot(pred).pos);
    let next = plan.next(x);
    Job {
        ready: plan.ready(x),
        after,
        tail: next.map_or(0, |next| plan.slot(next).before() + plan.slot(next).run() + plan.tail(next)),
        before: next.map_or(u32::MAX, |next| plan.slot(next).pos),
    }
}
