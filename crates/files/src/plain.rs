//! Values as text, read alike from TOML and CSV.

use crate::code;
use crate::finding::Problem;
use chrono::{Datelike, NaiveDate, NaiveTime};
use elbowroom_units::{Minutes, Mm};

/// Largest plain number accepted: far beyond any shop.
pub(crate) const LARGEST_NUMBER: f64 = 1e12;

/// Largest count accepted, of pieces for instance.
pub(crate) const LARGEST_COUNT: u32 = 10_000_000;

/// Longest length accepted: a kilometre.
pub(crate) fn longest() -> Mm {
    Mm::new(1e6)
}

/// Longest time accepted: 20 years. Keeps plan minutes far from where arithmetic ends.
pub(crate) const LONGEST_TIME: Minutes = Minutes::days(20 * 365 + 5);

/// What a date's year must be.
pub(crate) const YEARS: &str = "expected a date of the years 1990 to 2199";

/// Whether plans can reach this date.
pub(crate) fn is_planned_year(date: NaiveDate) -> bool {
    (1990..=2199).contains(&date.year())
}

/// Longest id, in characters: it has to fit on a line.
const LONGEST_ID: usize = 80;

/// An id.
pub(crate) fn id(text: &str) -> Result<String, Problem> {
    let fault = |what: &str| Err(Problem::new(code::BAD_ID, format!("is {}; {what}", quoted(text))));
    if text.is_empty() {
        fault("an id must not be empty")
    } else if text.trim() != text {
        fault("an id must not begin or end with a blank")
    } else if text.chars().any(char::is_control) {
        fault("an id must not contain line breaks, tabs or other control characters")
    } else if text.chars().count() > LONGEST_ID {
        fault("an id has at most 80 characters")
    } else {
        Ok(text.to_owned())
    }
}

/// An ISO 8601 date.
pub(crate) fn date(text: &str) -> Result<NaiveDate, Problem> {
    let fault = |expected: &str| Problem::new(code::DATE_OR_TIME, format!("is {}; {expected}", quoted(text)));
    let shape = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    if !shape {
        return Err(fault("expected a date such as 2026-12-31").maybe_hint(iso_hint(text)));
    }
    let date: NaiveDate = text.parse().map_err(|_| fault("there is no such day"))?;
    if is_planned_year(date) { Ok(date) } else { Err(fault(YEARS)) }
}

/// The ISO date that somebody meant who wrote day, month and year with points.
fn iso_hint(text: &str) -> Option<String> {
    let date = NaiveDate::parse_from_str(text.trim(), "%d.%m.%Y").ok().filter(|date| is_planned_year(*date));
    match date {
        Some(date) => Some(format!("write {date}")),
        None if text.contains('/') => Some("year, month, day, with hyphens: 2026-12-31".to_owned()),
        None => None,
    }
}

/// A clock time in hours and minutes.
pub(crate) fn clock(text: &str) -> Result<NaiveTime, Problem> {
    let shape =
        matches!(text.as_bytes(), [a, b, b':', c, d] if [a, b, c, d].iter().all(|x| x.is_ascii_digit()));
    let time = shape.then(|| NaiveTime::parse_from_str(text, "%H:%M").ok()).flatten();
    time.ok_or_else(|| {
        let message =
            format!("is {}; expected a clock time from 00:00 to 23:59, such as 06:00", quoted(text));
        Problem::new(code::DATE_OR_TIME, message)
    })
}

/// A count, at least 1.
pub(crate) fn quantity(text: &str) -> Result<u32, Problem> {
    if has_decimal_comma(text) {
        return Err(decimal_comma(text));
    }
    let good = text.parse().ok().filter(|count| (1..=LARGEST_COUNT).contains(count));
    good.ok_or_else(|| {
        let message = format!("is {}; it must be a whole number from 1 to {LARGEST_COUNT}", quoted(text));
        Problem::new(code::OUT_OF_RANGE, message)
    })
}

/// An amount of money; not negative.
pub(crate) fn amount(text: &str) -> Result<f64, Problem> {
    if has_decimal_comma(text) {
        return Err(decimal_comma(text));
    }
    let plain = text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'+' | b'-'));
    let good = text.parse().ok().filter(|amount: &f64| plain && (0.0..=LARGEST_NUMBER).contains(amount));
    good.ok_or_else(|| {
        let message =
            format!("is {}; it must be money as a plain number, not negative, such as 150.00", quoted(text));
        Problem::new(code::OUT_OF_RANGE, message)
    })
}

fn has_decimal_comma(text: &str) -> bool {
    text.contains(',')
        && text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b',' | b'.' | b'-' | b'+'))
}

fn decimal_comma(text: &str) -> Problem {
    Problem::new(code::DECIMAL_COMMA, format!("is {}, with a comma in it", quoted(text)))
        .hint("write a decimal point, and no separators between thousands: 1250.50")
}

/// The text in quotes, shortened and on one line.
pub(crate) fn quoted(text: &str) -> String {
    let mut rest = text.chars();
    let start: String = rest.by_ref().take(40).flat_map(char::escape_debug).collect();
    if rest.next().is_some() { format!("\"{start}...\"") } else { format!("\"{start}\"") }
}
