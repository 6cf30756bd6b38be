//! `shop.toml`.

use crate::code;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::keyed::values::{clock, count_within, date, minutes, money, number, plain_value, text, within};
use crate::near::nearest_few;
use crate::plain::quoted;
use chrono_tz::Tz;
use elbowroom_shop::{Steadiness, Terms};
use elbowroom_units::Minutes;

pub(crate) fn read(table: &Table<'_>) -> Option<Terms> {
    let steady = Steadiness::default();
    let name = table.req("name", text);
    let currency =
        table.req("currency", |node| plain_value(node, "a currency code in quotes", currency_code));
    let time_zone = table.req("time_zone", |node| plain_value(node, "a time zone in quotes", zone));
    let plan_start = table.opt("plan_start", date);
    let weeks = table.or("weeks", 1, count_within(1, 52));
    let ship_by = table.req("ship_by", clock);
    let receive_by = table.req("receive_by", clock);
    let transfer = table.req("transfer", minutes);
    let late_cost_per_day = table.req("default_late_cost_per_day", money);
    let later_promise_cost_per_day = table.opt("later_promise_cost_per_day", money);
    let spare = table.or("spare", Minutes::ZERO, minutes);
    let margin_percent = table.opt("margin_percent", within(0.0, 1000.0, number));
    let frozen = table.or("frozen", steady.frozen, minutes);
    let move_cost = table.or("move_cost", steady.move_cost, money);
    let moved_by = table.or("moved_by", steady.moved_by, minutes);
    table.finish();
    Some(Terms {
        name: name?,
        currency: currency?,
        time_zone: time_zone?,
        plan_start: plan_start?,
        weeks: weeks?,
        ship_by: ship_by?,
        receive_by: receive_by?,
        transfer: transfer?,
        late_cost_per_day: late_cost_per_day?,
        later_promise_cost_per_day: later_promise_cost_per_day?,
        spare: spare?,
        margin_percent: margin_percent?,
        steadiness: Steadiness { frozen: frozen?, move_cost: move_cost?, moved_by: moved_by? },
    })
}

/// A currency code has three capital letters (ISO 4217).
fn currency_code(text: &str) -> Result<String, Problem> {
    if text.len() == 3 && text.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return Ok(text.to_owned());
    }
    let message =
        format!("is {}; expected a currency code of three capital letters, such as EUR or USD", quoted(text));
    Err(Problem::new(code::UNKNOWN_WORD, message))
}

fn zone(text: &str) -> Result<Tz, Problem> {
    text.parse().map_err(|_| {
        let message = format!("is {}; there is no such time zone", quoted(text));
        let near = near_zones(text);
        let hint = if near.is_empty() {
            "expected a name of the IANA list, such as Europe/Vienna or America/Chicago".to_owned()
        } else {
            format!("did you mean {}?", near.join(" or "))
        };
        Problem::new(code::TIME_ZONE, message).hint(hint)
    })
}

/// Zones whose city is like the last word of `text`, or whose whole name is like it.
fn near_zones(text: &str) -> Vec<&'static str> {
    let city = |name: &'static str| name.rsplit('/').next().unwrap_or(name);
    let names = || chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name()).filter(|name| name.contains('/'));
    let wanted = text.rsplit('/').next().unwrap_or(text);
    let cities = nearest_few(wanted, names().map(city), 3);
    let mut found: Vec<&'static str> = names().filter(|name| cities.contains(&city(name))).collect();
    found.sort_by_key(|name| cities.iter().position(|near| *near == city(name)));
    found.extend(nearest_few(text, names(), 3));
    let mut seen = Vec::new();
    found.retain(|name| {
        !seen.contains(name) && {
            seen.push(*name);
            true
        }
    });
    found.truncate(3);
    found
}
