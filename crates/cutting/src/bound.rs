//! A bound that no cutting plan can beat.
//!
//! Let each item have a price that is not negative. If the pieces of no bar are together worth
//! more than the bar costs, then what is wanted is worth no more than any plan costs, since every
//! plan makes what is wanted out of bars (duality of linear programming). Prices that make some
//! bar's pieces worth more are lowered in proportion until they do not (Farley, Operations
//! Research 38, 1990); bars of which there are only so many may be worth more, at so much a bar.

use crate::whole::{Bar, Whole};

/// What is taken off for the rounding of sums of floating-point numbers.
const ROUNDING: f64 = 1e-9;
/// A rounding error must not cost a whole bar.
pub(crate) const ALMOST: f64 = 1e-6;
/// Costs are looked at in parts of a tenth of a millimetre this small.
const COST_PARTS: f64 = 1_000.0;
/// Steps finer than this share of the cheapest bar say too little to be used.
const FINEST_STEP: f64 = 0.01;

/// The bound that prices give, where `worth` is the most that the pieces of each bar can be worth
/// at them; never negative.
pub(crate) fn bound(whole: &Whole, prices: &[f64], worth: &[f64]) -> f64 {
    let lowered = |bar: usize| if worth[bar] > 0.0 { whole.bars[bar].cost / worth[bar] } else { 1.0 };
    let scale = whole.bought().map(lowered).fold(1.0, f64::min);
    let wanted: f64 = whole.demand.iter().zip(prices).map(|(count, price)| f64::from(*count) * price).sum();
    let over = whole.bars.iter().zip(worth).filter_map(|(bar, worth)| {
        bar.available.map(|available| f64::from(available) * (scale * worth - bar.cost).max(0.0))
    });
    ((scale * wanted - over.sum::<f64>()) * (1.0 - ROUNDING)).max(0.0)
}

/// The bound that lengths alone give: nothing wasted, on the bars that are cheapest for their room.
/// Never negative.
pub(crate) fn by_length(whole: &Whole) -> f64 {
    let wanted: f64 = whole.sizes.iter().zip(&whole.demand).map(|(s, d)| f64::from(*s) * f64::from(*d)).sum();
    let rate = whole.bars.iter().filter(|bar| bar.room > 0).map(|bar| bar.cost / f64::from(bar.room));
    wanted * rate.fold(f64::INFINITY, f64::min).min(1e9) * (1.0 - ROUNDING)
}

/// The least cost that a plan of whole bars can have under a bound.
pub(crate) fn raised(bound: f64, step: Option<f64>) -> f64 {
    step.map_or(bound, |step| (bound / step - ALMOST).ceil() * step)
}

/// What the costs of all bars, and so of all plans, are multiples of; `None` where that is next to
/// nothing.
pub(crate) fn step(whole: &Whole) -> Option<f64> {
    let parts = |bar: &Bar| {
        let parts = bar.cost * COST_PARTS;
        ((parts - parts.round()).abs() < ALMOST * parts).then_some(parts.round() as u64)
    };
    let step = whole.bars.iter().map(parts).try_fold(0, |step, parts| Some(gcd(step, parts?)))?;
    let least = whole.bars.iter().map(|bar| bar.cost).fold(f64::INFINITY, f64::min) * FINEST_STEP;
    let step = step as f64 / COST_PARTS;
    (step > 0.0 && step >= least).then_some(step)
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two pieces of 6 on bars of 10 need two bars. At a price of 5 a piece the pieces of a bar are
    /// worth 5 of 10, so the bound is 10; at 20 they are worth 20 and the price is halved: 20. With
    /// one bar of 6 at a cost of 3 the best plan is that and one of 10: 13, and prices of 10 give
    /// 20 less (10 - 3) for the only small bar: 13.
    #[test]
    fn prices_give_a_bound_that_plans_worked_by_hand_reach() {
        let bar = |room, cost, available| Bar { room, cost, available };
        let mut whole = Whole { sizes: vec![6], demand: vec![2], bars: vec![bar(10, 10.0, None)] };
        let close = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-6, "{found}, not {wanted}");
        close(bound(&whole, &[5.0], &[5.0]), 10.0);
        close(bound(&whole, &[20.0], &[20.0]), 20.0);
        whole.bars.push(bar(6, 3.0, Some(1)));
        close(bound(&whole, &[10.0], &[10.0, 10.0]), 13.0);
    }
}
