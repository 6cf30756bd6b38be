//! Makespan: the least deadline by which the relaxation cannot rule out that all work ends.
//!
//! For a deadline, everything that is not cell time, mounting or precedence is free. Then a
//! schedule that meets the deadline costs nothing, so that multipliers with a value above zero
//! prove that there is none: every schedule ends at least a minute later.

use super::ascent::Ascent;
use super::meter::Meter;
use super::prices::Resolution;
use super::relaxation::Relaxation;
use super::tasks::Shop;
use elbowroom_problem::Problem;

/// Evaluations spent on one deadline.
const TRIES: u32 = 150;
/// A value has to be so far above zero to count, in multiples of the money that was at stake.
const CLEAR: f64 = 1e-6;

/// A makespan that no schedule can beat, found by bisection below `upper`.
pub(super) fn least_makespan(problem: &Problem, upper: f64, meter: &mut Meter<'_>) -> i64 {
    let alone = Shop::new(problem, None).tasks.into_iter().map(|task| task.earliest_end);
    let mut low = alone.max().unwrap_or(0);
    let horizon = problem.horizon.get();
    let mut high = if upper.is_finite() { (upper as i64).min(horizon) } else { horizon };
    while low < high {
        // `low` is proved; a deadline of `middle` is tried.
        let middle = low + (high - low) / 2;
        match beyond(problem, middle, meter) {
            Some(true) => low = middle + 1,
            Some(false) => high = middle,
            None => break,
        }
    }
    low
}

/// Whether it is proved that not all work can end by `deadline`; `None` if time is up.
pub(super) fn beyond(problem: &Problem, deadline: i64, meter: &mut Meter<'_>) -> Option<bool> {
    let shop = Shop::new(problem, Some(deadline));
    let bucket = (deadline / 64).max(1).ilog2();
    let resolution = Resolution { slot: 1 << bucket, bucket, mounting: bucket.max(9) };
    let relaxation = Relaxation::new(&shop, resolution);
    // Any start shows the scale; one unit of money for the whole working time of a cell.
    let start = relaxation.even_prices();
    if shop.tasks.iter().any(|task| task.routes.is_empty()) {
        return Some(true);
    }
    let mut ascent = Ascent::new(&relaxation, start, 0.5, meter)?;
    for _ in 0..TRIES {
        if ascent.value() > CLEAR {
            return Some(true);
        }
        if !meter.count() {
            return None;
        }
        ascent.step(1.0, meter)?;
    }
    Some(ascent.value() > CLEAR)
}
