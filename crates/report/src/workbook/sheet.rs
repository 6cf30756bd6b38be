//! One sheet: typed values into cells.

use crate::clean::plain;
use chrono::{Datelike, NaiveDate, NaiveDateTime};
use elbowroom_planner::plan::Plan;
use elbowroom_units::{Minute, Minutes, Money};
use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder, Worksheet, XlsxError};

/// Most rows that are written; the format ends at 1,048,576.
const MOST_ROWS: usize = 1_000_000;
/// Most characters in a cell; the format ends at 32,767.
const MOST_CHARACTERS: usize = 32_000;
/// Widest column, in characters; longer texts are wrapped.
const WIDEST: usize = 60;
/// Width of a cell's margins, in characters.
const MARGINS: usize = 2;
/// Dates that a spreadsheet can hold (its calendar begins in 1900).
const YEARS: std::ops::RangeInclusive<i32> = 1900..=9999;

/// A list with typed values.
pub(super) struct Sheet {
    pub name: &'static str,
    pub header: Vec<&'static str>,
    pub rows: Vec<Vec<Value>>,
}

/// What a cell holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    Empty,
    Text(String),
    Count(i64),
    Number(f64),
    Money(Money),
    Date(NaiveDate),
    Moment(NaiveDateTime),
}

impl Value {
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    pub fn of(text: Option<&str>) -> Self {
        text.map_or(Self::Empty, Self::text)
    }

    pub fn ids(ids: &[String]) -> Self {
        Self::Text(ids.join(", "))
    }

    /// Local time without its zone.
    pub fn moment(plan: &Plan, minute: Minute) -> Self {
        Self::Moment(plan.clock.local(minute).naive_local())
    }

    pub fn minutes(time: Minutes) -> Self {
        Self::Count(time.count())
    }

    pub fn hours(time: Minutes) -> Self {
        Self::Number((time.hours() * 100.0).round() / 100.0)
    }

    pub fn yes(value: bool) -> Self {
        Self::text(if value { "yes" } else { "no" })
    }

    /// How many characters it takes.
    fn width(&self) -> usize {
        match self {
            Self::Empty => 0,
            Self::Text(text) => text.lines().map(unicode_width::UnicodeWidthStr::width).max().unwrap_or(0),
            Self::Count(count) => count.to_string().len(),
            Self::Number(_) => 9,
            Self::Money(amount) => amount.to_string().len(),
            Self::Date(_) => 10,
            Self::Moment(_) => 16,
        }
    }
}

/// How cells look.
pub(super) struct Formats {
    header: Format,
    text: Format,
    count: Format,
    number: Format,
    money: Format,
    date: Format,
    moment: Format,
}

impl Formats {
    pub fn new() -> Self {
        let plain = || Format::new().set_align(FormatAlign::Top);
        Self {
            header: Format::new()
                .set_bold()
                .set_text_wrap()
                .set_align(FormatAlign::Top)
                .set_background_color(Color::RGB(0x00E3_E8EE))
                .set_border_bottom(FormatBorder::Thin),
            text: plain().set_text_wrap(),
            count: plain().set_num_format("0"),
            number: plain().set_num_format("0.0##"),
            money: plain().set_num_format("#,##0.00"),
            date: plain().set_num_format("yyyy-mm-dd"),
            moment: plain().set_num_format("yyyy-mm-dd hh:mm"),
        }
    }
}

/// Writes a list into a worksheet.
pub(super) fn write(to: &mut Worksheet, sheet: &Sheet, formats: &Formats) -> Result<(), XlsxError> {
    to.set_name(sheet.name)?;
    for (column, title) in (0_u16..).zip(&sheet.header) {
        to.write_string_with_format(0, column, *title, &formats.header)?;
        to.set_column_width(column, width(sheet, usize::from(column)) as f64)?;
    }
    for (row, values) in (1_u32..).zip(sheet.rows.iter().take(MOST_ROWS)) {
        for (column, value) in (0_u16..).zip(values) {
            write_value(to, (row, column), value, formats)?;
        }
    }
    let columns = u16::try_from(sheet.header.len()).unwrap_or(u16::MAX);
    let rows = u32::try_from(sheet.rows.len().min(MOST_ROWS)).unwrap_or(0);
    if columns > 0 {
        to.autofilter(0, 0, rows, columns - 1)?;
    }
    to.set_freeze_panes(1, 0)?;
    to.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
    Ok(())
}

/// Wide enough for the header's longest word and the values, up to a limit.
fn width(sheet: &Sheet, column: usize) -> usize {
    let word = sheet.header[column].split(' ').map(str::len).max().unwrap_or(0);
    let values = sheet.rows.iter().filter_map(|row| row.get(column)).map(Value::width).max();
    values.unwrap_or(0).max(word).min(WIDEST) + MARGINS
}

fn write_value(
    to: &mut Worksheet,
    (row, column): (u32, u16),
    value: &Value,
    formats: &Formats,
) -> Result<(), XlsxError> {
    match value {
        Value::Empty => return Ok(()),
        Value::Text(text) => {
            let text: String = text.lines().map(plain).collect::<Vec<_>>().join("\n");
            let text: String = text.chars().take(MOST_CHARACTERS).collect();
            to.write_string_with_format(row, column, text, &formats.text)?
        }
        Value::Count(count) => to.write_number_with_format(row, column, *count as f64, &formats.count)?,
        Value::Number(number) => to.write_number_with_format(row, column, *number, &formats.number)?,
        Value::Money(amount) => {
            // Rounded as it is shown, so that sums of what is seen are sums of what is there.
            let cents = (amount.amount() * 100.0).round() / 100.0;
            to.write_number_with_format(row, column, cents, &formats.money)?
        }
        Value::Date(date) if YEARS.contains(&date.year()) => {
            to.write_with_format(row, column, date, &formats.date)?
        }
        Value::Moment(moment) if YEARS.contains(&moment.year()) => {
            to.write_with_format(row, column, moment, &formats.moment)?
        }
        Value::Date(date) => to.write_string(row, column, date.to_string())?,
        Value::Moment(moment) => to.write_string(row, column, moment.to_string())?,
    };
    Ok(())
}
