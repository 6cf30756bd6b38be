//! Values of an export, as the shop's files write them.

use super::fields::{DateStyle, FieldKind, Style};
use super::grid::Cell;
use crate::code;
use crate::finding::Problem;
use crate::plain::{self, quoted};
use chrono::{Days, NaiveDate};
use elbowroom_units::quantity;

/// A cell as a value of the shop's files; `None` where it is empty.
pub(super) fn value(cell: &Cell, kind: FieldKind, style: &Style) -> Result<Option<String>, Problem> {
    if cell.is_blank() {
        return Ok(None);
    }
    if let Cell::Error(error) = cell {
        let message = format!("holds the error {error} of a formula");
        return Err(Problem::new(code::WRONG_TYPE, message).hint("mend the formula, or write the value"));
    }
    let value = match kind {
        FieldKind::Text | FieldKind::Ids => text(cell)?,
        FieldKind::Count => number(cell, style).and_then(count)?,
        FieldKind::Number => quantity::plain(number(cell, style)?, 6),
        FieldKind::Date => date(cell, style.date)?.to_string(),
        FieldKind::Length => measured(cell, style, style.length_unit, "length_unit = \"mm\"")?,
        FieldKind::Angle => measured(cell, style, style.angle_unit, "angle_unit = \"deg\"")?,
        FieldKind::Duration => measured(cell, style, style.time_unit, "time_unit = \"days\"")?,
    };
    Ok(Some(value))
}

fn shown(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => quoted(text.trim()),
        Cell::Number(number) => format!("the number {number}"),
        Cell::Date(date) => format!("the date {date}"),
        Cell::Flag(flag) => format!("the truth value {flag}"),
        Cell::Empty | Cell::Error(_) => "empty".to_owned(),
    }
}

/// Text on one line. Order systems have numbers as ids: they are text as they stand.
fn text(cell: &Cell) -> Result<String, Problem> {
    match cell {
        Cell::Text(text) if text.trim().chars().any(char::is_control) => {
            let message = format!("is {}, with a line break or control character in it", quoted(text.trim()));
            Err(Problem::new(code::WRONG_TYPE, message))
        }
        Cell::Text(text) => Ok(text.trim().to_owned()),
        Cell::Number(number) => Ok(quantity::plain(*number, 6)),
        _ => Err(Problem::new(code::WRONG_TYPE, format!("is {}; expected text", shown(cell)))),
    }
}

fn number(cell: &Cell, style: &Style) -> Result<f64, Problem> {
    let found = match cell {
        Cell::Number(number) => Some(*number),
        Cell::Text(text) => plain_number(text.trim(), style.decimal_comma),
        _ => None,
    };
    found.filter(|number| number.abs() <= plain::LARGEST_NUMBER).ok_or_else(|| not_a_number(cell, style))
}

fn not_a_number(cell: &Cell, style: &Style) -> Problem {
    let problem = Problem::new(code::OUT_OF_RANGE, format!("is {}; expected a number", shown(cell)));
    let other = Style { decimal_comma: !style.decimal_comma, ..style.clone() };
    let by_other =
        matches!(cell, Cell::Text(text) if plain_number(text.trim(), other.decimal_comma).is_some());
    let decimal = if other.decimal_comma { "," } else { "." };
    problem.maybe_hint(
        by_other.then(|| format!("if that is a decimal sign, write decimal = \"{decimal}\" in the mapping")),
    )
}

/// A number with decimal point or comma; the other sign, blanks and apostrophes may stand between
/// groups of three.
fn plain_number(text: &str, decimal_comma: bool) -> Option<f64> {
    let (decimal, group) = if decimal_comma { (',', '.') } else { ('.', ',') };
    let text = text.replace(['\u{a0}', '\u{202f}', ' ', '\'', '\u{2019}'], &group.to_string());
    let (whole, fraction) = text.split_once(decimal).unwrap_or((&text, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let (sign, whole) = whole.strip_prefix('-').map_or(("", whole), |rest| ("-", rest));
    let groups: Vec<&str> = whole.split(group).collect();
    let (first, later) = groups.split_first()?;
    let grouped = later.iter().all(|part| part.len() == 3) && (later.is_empty() || first.len() <= 3);
    let good = grouped && groups.iter().all(|part| digits(part)) && digits(fraction);
    good.then(|| format!("{sign}{}.{fraction}", groups.concat()).parse().ok()).flatten()
}

fn count(number: f64) -> Result<String, Problem> {
    let whole = number.fract() == 0.0 && (0.0..=f64::from(plain::LARGEST_COUNT)).contains(&number);
    let message = format!("is {number}; it must be a whole number of at most {}", plain::LARGEST_COUNT);
    if whole { Ok(quantity::plain(number, 0)) } else { Err(Problem::new(code::OUT_OF_RANGE, message)) }
}

fn date(cell: &Cell, style: DateStyle) -> Result<NaiveDate, Problem> {
    let fault = |message: String| Problem::new(code::DATE_OR_TIME, message);
    let date = match cell {
        Cell::Date(date) => Ok(*date),
        Cell::Text(text) => written_date(text.trim(), style),
        Cell::Number(number) => {
            Err(fault(format!("is {}, not a date", shown(cell))).maybe_hint(serial(*number)))
        }
        _ => Err(fault(format!("is {}; expected a date", shown(cell)))),
    }?;
    let problem = || fault(format!("is {date}; {}", plain::YEARS));
    plain::is_planned_year(date).then_some(date).ok_or_else(problem)
}

/// What day a number would be if its cell were formatted as a date (day 1 is 1900-01-01, and the
/// spreadsheets' calendar has a 29 February 1900).
fn serial(number: f64) -> Option<String> {
    let days = (36_526.0..110_000.0).contains(&number).then_some(number as u64)?;
    let date = NaiveDate::from_ymd_opt(1899, 12, 30)?.checked_add_days(Days::new(days))?;
    Some(format!("format the column as dates; it would be {date}"))
}

/// A date as text: three numbers in the style's order; a time behind it does not matter.
fn written_date(text: &str, style: DateStyle) -> Result<NaiveDate, Problem> {
    let fault = |what: &str| Problem::new(code::DATE_OR_TIME, format!("is {}; {what}", quoted(text)));
    let day = text.split([' ', 'T']).next().unwrap_or_default();
    let parts: Vec<&str> = day.split(['.', '/', '-']).collect();
    let numbers: Option<Vec<u32>> = parts.iter().map(|part| part.parse().ok()).collect();
    let (Some(numbers), 3) = (numbers, parts.len()) else {
        return Err(fault(&format!("expected a date written {}", style.name())));
    };
    let year_at = if style == DateStyle::Year { 0 } else { 2 };
    if parts[year_at].len() != 4 {
        let other = DateStyle::NAMES.iter().find(|(_, other)| reads(&parts, *other));
        let hint = other.map(|(name, _)| format!("write date = \"{name}\" in the mapping"));
        return Err(fault(&format!("expected a date written {}, the year with four digits", style.name()))
            .maybe_hint(hint));
    }
    let [year, month, day] = match style {
        DateStyle::Year => [numbers[0], numbers[1], numbers[2]],
        DateStyle::Day => [numbers[2], numbers[1], numbers[0]],
        DateStyle::Month => [numbers[2], numbers[0], numbers[1]],
    };
    let date = i32::try_from(year).ok().and_then(|year| NaiveDate::from_ymd_opt(year, month, day));
    date.ok_or_else(|| fault("there is no such day"))
}

/// Whether the parts are a date in a style.
fn reads(parts: &[&str], style: DateStyle) -> bool {
    let year_at = if style == DateStyle::Year { 0 } else { 2 };
    parts[year_at].len() == 4 && written_date(&parts.join("-"), style).is_ok()
}

/// A number with its unit, else with the mapping's; inches may be written as fractions: `1-1/4"`.
fn measured(cell: &Cell, style: &Style, unit: Option<&str>, example: &str) -> Result<String, Problem> {
    let unread =
        || Problem::new(code::QUANTITY, format!("is {}; it cannot be read as a quantity", shown(cell)));
    let no_unit = || {
        let problem = Problem::new(code::QUANTITY, format!("is {}, without a unit", shown(cell)));
        problem.hint(format!("write the unit, or one for all in the mapping: {example}"))
    };
    match cell {
        Cell::Number(number) => {
            unit.map(|unit| format!("{} {unit}", quantity::plain(*number, 6))).ok_or_else(no_unit)
        }
        Cell::Text(text) => {
            let (number, own) = split_unit(text.trim());
            let amount =
                fraction(number).or_else(|| plain_number(number, style.decimal_comma)).ok_or_else(unread)?;
            let unit = own.or(unit).ok_or_else(no_unit)?;
            Ok(format!("{} {unit}", quantity::plain(amount, 9)))
        }
        _ => Err(unread()),
    }
}

/// A number and its unit; the signs of inch and degree are units too.
fn split_unit(text: &str) -> (&str, Option<&str>) {
    let at = text
        .find(|c: char| c.is_alphabetic() || matches!(c, '"' | '\u{201d}' | '\u{2033}' | '°'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(at);
    let unit = match unit.trim() {
        "" => None,
        "\"" | "\u{201d}" | "\u{2033}" | "inch" | "inches" => Some("in"),
        "°" => Some("deg"),
        unit => Some(unit),
    };
    (number.trim(), unit)
}

/// `1-1/4`, `1 1/4`, `3/8`.
fn fraction(text: &str) -> Option<f64> {
    let (rest, below) = text.rsplit_once('/')?;
    let (whole, above) = rest.rsplit_once(['-', ' ']).unwrap_or(("0", rest));
    let number = |part: &str| part.trim().parse::<u32>().ok().map(f64::from);
    let (whole, above, below) = (number(whole)?, number(above)?, number(below)?);
    (below > 0.0 && above < below).then(|| whole + above / below)
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_units::Mm;

    fn text(text: &str) -> Cell {
        Cell::Text(text.to_owned())
    }

    fn comma() -> Style {
        Style { decimal_comma: true, date: DateStyle::Day, length_unit: Some("mm"), ..Style::default() }
    }

    fn read(cell: &Cell, kind: FieldKind, style: &Style) -> String {
        match value(cell, kind, style) {
            Ok(value) => value.unwrap_or_default(),
            Err(problem) => format!("{}; {}", problem.message, problem.hint.unwrap_or_default()),
        }
    }

    #[test]
    fn numbers_in_both_manners() {
        for (written, point, with_comma) in [
            ("1250.5", Some(1250.5), None),
            ("1,250.50", Some(1250.5), None),
            ("1250,5", None, Some(1250.5)),
            ("1.250,50", None, Some(1250.5)),
            ("1 250", Some(1250.0), Some(1250.0)),
            ("1'250", Some(1250.0), Some(1250.0)),
            ("1,25", None, Some(1.25)),
            ("-3", Some(-3.0), Some(-3.0)),
            ("12,34,567", None, None),
            ("1e5", None, None),
            ("", None, None),
        ] {
            assert_eq!(plain_number(written, false), point, "{written}");
            assert_eq!(plain_number(written, true), with_comma, "{written}");
        }
    }

    #[test]
    fn dates_as_cells_and_as_text() {
        let plain = Style::default();
        let day = Cell::Date(NaiveDate::from_ymd_opt(2026, 12, 11).expect("a day"));
        assert_eq!(read(&day, FieldKind::Date, &plain), "2026-12-11");
        assert_eq!(read(&text("2026-12-11 00:00"), FieldKind::Date, &plain), "2026-12-11");
        assert_eq!(read(&text("11.12.2026"), FieldKind::Date, &comma()), "2026-12-11");
        assert_eq!(
            read(&text("31.02.2026"), FieldKind::Date, &comma()),
            "is \"31.02.2026\"; there is no such day; "
        );
        assert!(
            read(&text("11.12.2026"), FieldKind::Date, &plain)
                .ends_with("write date = \"d.m.y\" in the mapping")
        );
        // 2026-12-11 is day 46367 of the spreadsheets' calendar.
        assert!(read(&Cell::Number(46_367.0), FieldKind::Date, &plain).ends_with("it would be 2026-12-11"));
        assert!(read(&text("11.12.26"), FieldKind::Date, &comma()).contains("four digits"));
    }

    #[test]
    fn lengths_in_fractions_of_an_inch() {
        for (written, mm) in [
            ("1-1/4\"", 31.75),
            ("1 1/4 in", 31.75),
            ("3/8\u{201d}", 9.525),
            ("38,1", 38.1),
            ("2 inch", 50.8),
        ] {
            let length: Mm = read(&text(written), FieldKind::Length, &comma()).parse().expect(written);
            assert!((length.mm() - mm).abs() < 1e-6, "{written} is {length}");
        }
        assert_eq!(read(&Cell::Number(38.1), FieldKind::Length, &comma()), "38.1 mm");
        assert!(read(&Cell::Number(38.1), FieldKind::Length, &Style::default()).contains("without a unit"));
        assert!(read(&text("5/4/3\""), FieldKind::Length, &comma()).contains("cannot be read"));
    }

    #[test]
    fn what_is_no_value_says_so() {
        let plain = Style::default();
        let error = Cell::Error("#REF!".to_owned());
        assert!(read(&error, FieldKind::Count, &plain).starts_with("holds the error #REF! of a formula"));
        assert!(
            read(&text("12,5"), FieldKind::Number, &plain).ends_with("write decimal = \",\" in the mapping")
        );
        assert!(read(&Cell::Number(1.5), FieldKind::Count, &plain).contains("whole number"));
        assert_eq!(read(&Cell::Number(4711.0), FieldKind::Text, &plain), "4711");
    }
}
