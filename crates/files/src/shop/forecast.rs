//! The repeat forecast of a part: `yearly_quantity`, or the table `forecast` with more in it.

use crate::code;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::keyed::values::{count, count_within, date};
use crate::plain::LARGEST_COUNT;
use elbowroom_shop::part::Forecast;

/// The yearly quantity and what more is said of it; `None`: it is faulty.
pub(crate) fn read(table: &Table<'_>) -> Option<(Option<u32>, Option<Forecast>)> {
    let plain = table.opt("yearly_quantity", count);
    if !table.has("forecast") {
        table.expect(&["forecast"]);
        return Some((plain?, None));
    }
    let (yearly, forecast) = table.sub("forecast", |inner| {
        let yearly = inner.opt("yearly", count);
        Some((yearly?, spread(inner)?))
    })?;
    let yearly = agreed(table, plain?, yearly)?;
    fits(table, yearly, &forecast).then_some((Some(yearly), Some(forecast)))
}

fn spread(inner: &Table<'_>) -> Option<Forecast> {
    let low = inner.opt("low", count);
    let high = inner.opt("high", count);
    let lot = inner.opt("lot", count_within(1, LARGEST_COUNT));
    let until = inner.opt("until", date);
    Some(Forecast { low: low?, high: high?, lot: lot?, until: until? })
}

/// `yearly_quantity` and `yearly` say the same; one of them is enough.
fn agreed(table: &Table<'_>, plain: Option<u32>, yearly: Option<u32>) -> Option<u32> {
    match (plain, yearly) {
        (Some(plain), Some(yearly)) if plain != yearly => {
            let message = format!("`forecast` says {yearly} a year, and `yearly_quantity` says {plain}");
            contradiction(table, message, "keep the one that holds, and leave the other out");
            None
        }
        (None, None) => {
            contradiction(
                table,
                "`forecast` says nothing of a year".to_owned(),
                "add `yearly`, the pieces of a year",
            );
            None
        }
        (plain, yearly) => yearly.or(plain),
    }
}

/// The yearly quantity lies between its limits, and an order is no larger than the most of a year.
fn fits(table: &Table<'_>, yearly: u32, forecast: &Forecast) -> bool {
    let (low, high) = (forecast.low.unwrap_or(yearly), forecast.high.unwrap_or(yearly));
    let hint = "low, yearly and high go up in this order, and a lot is part of a year";
    if low > yearly || yearly > high {
        contradiction(
            table,
            format!("`forecast` expects {yearly} a year, which is not within {low} to {high}"),
            hint,
        );
        return false;
    }
    match forecast.lot.filter(|lot| *lot > high) {
        Some(lot) => {
            contradiction(
                table,
                format!("`forecast` expects orders of {lot}, more than the {high} of a year"),
                hint,
            );
            false
        }
        None => true,
    }
}

fn contradiction(table: &Table<'_>, message: String, hint: &str) {
    table.fault_at("forecast", Problem::new(code::CONTRADICTION, message).hint(hint));
}
