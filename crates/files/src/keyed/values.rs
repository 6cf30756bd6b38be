//! Readers for single values: each returns what it read, or reports why not and returns `None`.

use super::Node;
use crate::code;
use crate::finding::Problem;
use crate::near::did_you_mean;
use crate::plain;
use chrono::{NaiveDate, NaiveTime};
use elbowroom_units::{Deg, Minutes, Mm, Money, QuantityError, Seconds};
use std::fmt::Display;
use std::str::FromStr;
use toml::de::DeValue;

/// Text, as it stands between the quotes.
pub(crate) fn text(node: Node<'_>) -> Option<String> {
    match node.get() {
        DeValue::String(text) => Some(text.to_string()),
        _ => refuse(node, "expected text in quotes"),
    }
}

/// An id.
pub(crate) fn id(node: Node<'_>) -> Option<String> {
    plain_value(node, "an id in quotes", plain::id)
}

/// Yes or no.
pub(crate) fn flag(node: Node<'_>) -> Option<bool> {
    match node.get() {
        DeValue::Boolean(flag) => Some(*flag),
        _ => refuse(node, "expected true or false, without quotes"),
    }
}

/// A number, whole or not; finite.
pub(crate) fn number(node: Node<'_>) -> Option<f64> {
    let value: Option<f64> = match node.get() {
        DeValue::Integer(integer) => {
            i64::from_str_radix(integer.as_str(), integer.radix()).ok().map(|n| n as f64)
        }
        DeValue::Float(float) => float.as_str().parse().ok(),
        DeValue::String(_) => return refuse(node, "expected a plain number, without quotes and unit"),
        _ => return refuse(node, "expected a plain number"),
    };
    let finite = value.filter(|value| value.is_finite() && value.abs() <= plain::LARGEST_NUMBER);
    if finite.is_none() {
        node.wrong(code::OUT_OF_RANGE, "it must be a finite number of at most 1e12");
    }
    finite
}

/// A whole number from 0 to ten million.
pub(crate) fn count(node: Node<'_>) -> Option<u32> {
    count_within(0, plain::LARGEST_COUNT)(node)
}

/// A whole number from `least` to `most`.
pub(crate) fn count_within(least: u32, most: u32) -> impl Fn(Node<'_>) -> Option<u32> {
    move |node| {
        let DeValue::Integer(integer) = node.get() else {
            return refuse(node, "expected a whole number, without quotes and decimal point");
        };
        let count = u32::from_str_radix(integer.as_str(), integer.radix()).ok();
        let good = count.filter(|count| (least..=most).contains(count));
        node.check(good.is_some(), format_args!("it must be a whole number from {least} to {most}"));
        good
    }
}

/// An amount in the shop's currency; not negative.
pub(crate) fn money(node: Node<'_>) -> Option<Money> {
    if let DeValue::String(_) = node.get() {
        return refuse(node, "expected money as a plain number in the shop's currency, without quotes");
    }
    not_negative(number)(node).map(Money::new)
}

/// A length, up to a kilometre.
pub(crate) fn length(node: Node<'_>) -> Option<Mm> {
    let length: Mm = quantity(node)?;
    node.check(length.abs() <= plain::longest(), "it must be at most 1000 m").then_some(length)
}

/// An angle, up to a hundred turns.
pub(crate) fn angle(node: Node<'_>) -> Option<Deg> {
    let angle: Deg = quantity(node)?;
    node.check(angle.abs() <= Deg::new(36_000.0), "it must be at most 100 turns").then_some(angle)
}

/// A duration in whole minutes, up to 20 years; not negative.
pub(crate) fn minutes(node: Node<'_>) -> Option<Minutes> {
    let time: Minutes = quantity(node)?;
    let good = (Minutes::ZERO..=plain::LONGEST_TIME).contains(&time);
    node.check(good, "it must be from 0 to 20 years").then_some(time)
}

/// A duration in seconds and parts of them, up to 20 years; not negative.
pub(crate) fn seconds(node: Node<'_>) -> Option<Seconds> {
    let time: Seconds = quantity(node)?;
    let good = (Seconds::ZERO..=plain::LONGEST_TIME.into()).contains(&time);
    node.check(good, "it must be from 0 to 20 years").then_some(time)
}

fn quantity<T: FromStr<Err = QuantityError>>(node: Node<'_>) -> Option<T> {
    let expected = || "".parse::<T>().err().map(|e| e.expected().to_owned()).unwrap_or_default();
    match node.get() {
        DeValue::String(text) => text
            .parse()
            .map_err(|error: QuantityError| {
                node.fault(Problem::new(code::QUANTITY, format!("cannot be read: {error}")));
            })
            .ok(),
        DeValue::Integer(_) | DeValue::Float(_) => {
            let message = format!("is {}, without a unit; expected {}", node.shown(), expected());
            node.fault(Problem::new(code::QUANTITY, message));
            None
        }
        _ => refuse(node, format_args!("expected {}", expected())),
    }
}

/// A date: `"2026-12-11"`, or without quotes.
pub(crate) fn date(node: Node<'_>) -> Option<NaiveDate> {
    let DeValue::Datetime(moment) = node.get() else {
        return plain_value(node, "a date such as \"2026-12-31\"", plain::date);
    };
    let (Some(date), None, None) = (moment.date, moment.time, moment.offset) else {
        node.wrong(code::DATE_OR_TIME, "expected a date without a time, such as 2026-12-31");
        return None;
    };
    let date = NaiveDate::from_ymd_opt(date.year.into(), date.month.into(), date.day.into());
    let good = date.filter(|date| plain::is_planned_year(*date));
    if good.is_none() {
        node.wrong(code::DATE_OR_TIME, plain::YEARS);
    }
    good
}

/// A clock time: `"06:00"`, or `06:00:00` without quotes.
pub(crate) fn clock(node: Node<'_>) -> Option<NaiveTime> {
    let DeValue::Datetime(moment) = node.get() else {
        return plain_value(node, "a clock time such as \"06:00\"", plain::clock);
    };
    let time = moment.time.filter(|_| moment.date.is_none());
    let full = time.filter(|time| time.second.unwrap_or(0) == 0 && time.nanosecond.unwrap_or(0) == 0);
    let good = full.and_then(|time| NaiveTime::from_hms_opt(time.hour.into(), time.minute.into(), 0));
    if good.is_none() {
        node.wrong(code::DATE_OR_TIME, "expected a clock time in full minutes, such as \"06:00\"");
    }
    good
}

/// A value written as text in quotes, read by a reader that CSV shares.
pub(crate) fn plain_value<T>(
    node: Node<'_>,
    expected: &str,
    read: impl FnOnce(&str) -> Result<T, Problem>,
) -> Option<T> {
    match node.get() {
        DeValue::String(text) => read(text).map_err(|problem| node.fault(problem)).ok(),
        _ => refuse(node, format_args!("expected {expected}")),
    }
}

/// One of a few words, each with what it stands for.
pub(crate) fn word<'w, T: Copy>(words: &'w [(&'w str, T)]) -> impl Fn(Node<'_>) -> Option<T> + 'w {
    move |node| {
        let found = text(node)?;
        let meant = words.iter().find(|(word, _)| *word == found).map(|(_, meant)| *meant);
        if meant.is_none() {
            let names: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
            let near = did_you_mean(&found, words.iter().map(|(word, _)| *word));
            node.wrong_hint(code::UNKNOWN_WORD, format_args!("expected one of {}", names.join(", ")), near);
        }
        meant
    }
}

/// More than nothing.
pub(crate) fn positive<T: Default + PartialOrd>(
    read: impl Fn(Node<'_>) -> Option<T>,
) -> impl Fn(Node<'_>) -> Option<T> {
    move |node| read(node).filter(|value| node.check(*value > T::default(), "it must be more than 0"))
}

/// Nothing or more.
pub(crate) fn not_negative<T: Default + PartialOrd>(
    read: impl Fn(Node<'_>) -> Option<T>,
) -> impl Fn(Node<'_>) -> Option<T> {
    move |node| read(node).filter(|value| node.check(*value >= T::default(), "it must not be negative"))
}

/// From `least` to `most`.
pub(crate) fn within<T: PartialOrd + Display>(
    least: T,
    most: T,
    read: impl Fn(Node<'_>) -> Option<T>,
) -> impl Fn(Node<'_>) -> Option<T> {
    move |node| {
        read(node).filter(|value| {
            node.check(*value >= least && *value <= most, format_args!("it must be from {least} to {most}"))
        })
    }
}

/// A list; every faulty item is reported, and `None` comes back only where it is no list.
pub(crate) fn list<T>(read: impl Fn(Node<'_>) -> Option<T>) -> impl Fn(Node<'_>) -> Option<Vec<T>> {
    move |node| node.items().map(|items| items.filter_map(&read).collect())
}

/// A list of just two.
pub(crate) fn pair<T>(read: impl Fn(Node<'_>) -> Option<T>) -> impl Fn(Node<'_>) -> Option<(T, T)> {
    move |node| {
        let [first, second] = exactly(node, &read)?;
        Some((first, second))
    }
}

/// A list of just `N`.
pub(crate) fn exactly<T, const N: usize>(
    node: Node<'_>,
    read: impl Fn(Node<'_>) -> Option<T>,
) -> Option<[T; N]> {
    let count = node.items()?.count();
    if count != N {
        node.wrong(code::WRONG_TYPE, format_args!("expected a list of {N}, found {count}"));
        return None;
    }
    let values: Vec<T> = node.items()?.filter_map(read).collect();
    values.try_into().ok()
}

/// Smallest and largest.
pub(crate) fn range<T: PartialOrd>(
    read: impl Fn(Node<'_>) -> Option<T>,
) -> impl Fn(Node<'_>) -> Option<(T, T)> {
    let read = pair(read);
    move |node| {
        read(node).filter(|(least, most)| {
            node.check(least <= most, "the first must be the smallest, the second the largest")
        })
    }
}

fn refuse<T>(node: Node<'_>, expected: impl Display) -> Option<T> {
    node.wrong(code::WRONG_TYPE, expected);
    None
}
