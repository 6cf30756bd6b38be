//! What a run and the least setup before it cost at given prices, wherever in a slot it starts.

use super::super::prices::Tariff;
use super::super::tasks::Choice;

/// Price of setup and run if the run starts at `position`.
#[inline]
fn price_at(tariff: &Tariff, choice: &Choice, position: i64) -> f64 {
    tariff.at(position + choice.run) - tariff.at(position - choice.setup)
}

/// Least price of any start in `from..=to`, where no two bucket borders lie closer than that.
///
/// The price is linear between starts at which an end of the interval crosses a bucket border.
/// `known` holds the last position priced: the end of one slot is the start of the next.
#[inline]
pub(super) fn least_price(
    tariff: &Tariff,
    choice: &Choice,
    from: i64,
    to: i64,
    known: &mut (i64, f64),
) -> f64 {
    let mut least = if known.0 == from { known.1 } else { price_at(tariff, choice, from) };
    let end = price_at(tariff, choice, to);
    *known = (to, end);
    least = least.min(end);
    let mut border = tariff.bucket(to + choice.run);
    while tariff.start(border) > from + choice.run {
        least = least.min(price_at(tariff, choice, tariff.start(border) - choice.run));
        border -= 1;
    }
    let mut border = tariff.bucket(to - choice.setup);
    while tariff.start(border) > from - choice.setup {
        least = least.min(price_at(tariff, choice, tariff.start(border) + choice.setup));
        border -= 1;
    }
    least
}

/// As [`least_price`], with the position.
pub(super) fn cheapest_start(tariff: &Tariff, choice: &Choice, from: i64, to: i64) -> (f64, i64) {
    let mut best = (price_at(tariff, choice, from), from);
    let mut try_at = |position: i64| {
        let price = price_at(tariff, choice, position);
        if position > from && position <= to && price < best.0 {
            best = (price, position);
        }
    };
    try_at(to);
    for (offset, shift) in [(choice.run, -choice.run), (-choice.setup, choice.setup)] {
        let mut border = tariff.bucket(to + offset);
        while tariff.start(border) > from + offset {
            try_at(tariff.start(border) + shift);
            border -= 1;
        }
    }
    best
}
