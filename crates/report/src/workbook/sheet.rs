//! One sheet: typed values into cells.

use crate::clean::plain;
use crate::text::render::wrap;
use crate::text::summary::headline;
use chrono::{Datelike, NaiveDate, NaiveDateTime};
use elbowroom_planner::plan::Plan;
use elbowroom_units::{Minute, Minutes, Mm, Money};
use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder, Worksheet, XlsxError};

/// Most rows that are written; the format ends at 1,048,576.
const MOST_ROWS: usize = 1_000_000;
/// Most characters in a cell; the format ends at 32,767.
const MOST_CHARACTERS: usize = 32_000;
/// Most characters of shop and days in the head of printed pages; the format ends at 255 in all.
const MOST_IN_HEAD: usize = 100;
/// Widest column, in characters; longer texts are wrapped. Wider ones make a printed page too small to read.
const WIDEST: usize = 28;
/// The same on a sheet of at most so many columns.
const WIDEST_OF_FEW: (usize, usize) = (3, 100);
/// Widths are counted in digits; so many letters of a text take the room of so many digits.
const LETTERS: (usize, usize) = (6, 5);
/// Height of a line in points, and most of them in a row; the format ends at 409 points.
const LINE: (f64, usize) = (15.0, 27);
/// Stands for the plan's currency in a heading.
const CURRENCY: &str = "¤";
/// Width of a cell's margins and indent, in characters.
const MARGINS: usize = 3;
/// The reports' colour of what is late.
const LATE: Color = Color::RGB(0x00B0_2A1E);
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
    /// Lateness, which should be seen.
    Late(Minutes),
    /// A share of 1, shown in percent.
    Share(f64),
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

    /// Millimetres as they are measured at a saw, to a tenth.
    pub fn length(length: Mm) -> Self {
        Self::Number((length.mm() * 10.0).round() / 10.0)
    }

    pub fn hours(time: Minutes) -> Self {
        Self::Number(hundredths(time.hours()))
    }

    pub fn yes(value: bool) -> Self {
        Self::text(if value { "yes" } else { "no" })
    }

    /// Whether it stands at the right.
    fn is_figure(&self) -> bool {
        matches!(self, Self::Count(_) | Self::Number(_) | Self::Money(_) | Self::Late(_) | Self::Share(_))
    }

    /// Lines that it takes in a column of a width.
    fn lines(&self, width: usize) -> usize {
        let Self::Text(text) = self else { return 1 };
        let (more, of) = LETTERS;
        text.lines().map(|line| wrap(line, width * more / of).len()).sum::<usize>().max(1)
    }

    /// How many characters it takes.
    fn width(&self) -> usize {
        match self {
            Self::Empty => 0,
            Self::Text(text) => text.lines().map(unicode_width::UnicodeWidthStr::width).max().unwrap_or(0),
            Self::Count(count) => count.to_string().len(),
            Self::Number(_) | Self::Late(_) | Self::Share(_) => 7,
            Self::Money(amount) => amount.to_string().len(),
            Self::Date(_) => 13,
            Self::Moment(_) => 18,
        }
    }
}

/// How cells look.
pub(super) struct Formats {
    header: Format,
    figures_header: Format,
    text: Format,
    count: Format,
    number: Format,
    money: Format,
    late: Format,
    share: Format,
    date: Format,
    moment: Format,
}

impl Formats {
    pub fn new() -> Self {
        let plain = || Format::new().set_align(FormatAlign::Top);
        let header = || {
            let bold = plain().set_bold().set_text_wrap();
            bold.set_background_color(Color::RGB(0x00E3_E8EE)).set_border_bottom(FormatBorder::Thin)
        };
        // Texts and dates stand a little to the right of the figures before them.
        let left = || plain().set_align(FormatAlign::Left).set_indent(1);
        Self {
            header: header().set_align(FormatAlign::Left).set_indent(1),
            figures_header: header().set_align(FormatAlign::Right),
            text: left().set_text_wrap(),
            count: plain().set_num_format("0"),
            number: plain().set_num_format("0.0##"),
            money: plain().set_num_format("#,##0.00"),
            late: plain().set_num_format("0.0##").set_bold().set_font_color(LATE),
            share: plain().set_num_format("0 %"),
            date: left().set_num_format("ddd yyyy-mm-dd"),
            moment: left().set_num_format("ddd yyyy-mm-dd hh:mm"),
        }
    }
}

fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// Writes a list into a worksheet.
pub(super) fn write(
    to: &mut Worksheet,
    sheet: &Sheet,
    plan: &Plan,
    formats: &Formats,
) -> Result<(), XlsxError> {
    to.set_name(sheet.name)?;
    let widths: Vec<usize> = (0..sheet.header.len()).map(|column| width(sheet, column)).collect();
    for (column, title) in (0_u16..).zip(&sheet.header) {
        let title = title.replace(CURRENCY, &plan.currency);
        let at = usize::from(column);
        let figures = sheet.rows.iter().find_map(|row| row.get(at).filter(|value| **value != Value::Empty));
        let is_figure = figures.is_some_and(Value::is_figure);
        let format = if is_figure { &formats.figures_header } else { &formats.header };
        to.write_string_with_format(0, column, title, format)?;
        to.set_column_width(column, widths[at] as f64)?;
    }
    let titles: Vec<Value> = sheet.header.iter().map(|title| Value::text(*title)).collect();
    let all = std::iter::once(&titles).chain(sheet.rows.iter().take(MOST_ROWS));
    for (row, values) in (0_u32..).zip(all) {
        // Not every program makes room for wrapped lines by itself.
        let lines = values.iter().zip(&widths).map(|(value, width)| value.lines(width - MARGINS));
        let (height, most) = LINE;
        to.set_row_height(row, height * lines.max().unwrap_or(1).min(most) as f64)?;
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
    to.set_freeze_panes(1, 1)?;
    to.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
    to.set_margins(0.4, 0.4, 0.7, 0.6, 0.3, 0.3);
    let about: String = plain(&headline(plan)).chars().take(MOST_IN_HEAD).collect();
    to.set_header(format!("&L{}&R&A", about.replace('&', "&&")));
    to.set_footer("&RPage &P of &N");
    Ok(())
}

/// Wide enough for the header's longest word and the values, up to a limit.
fn width(sheet: &Sheet, column: usize) -> usize {
    let word = sheet.header[column].split(' ').map(str::len).max().unwrap_or(0);
    let values = sheet.rows.iter().filter_map(|row| row.get(column)).map(Value::width).max();
    let (few, wider) = WIDEST_OF_FEW;
    let widest = if sheet.header.len() <= few { wider } else { WIDEST };
    values.unwrap_or(0).max(word).min(widest) + MARGINS
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
            to.write_number_with_format(row, column, hundredths(amount.amount()), &formats.money)?
        }
        Value::Late(time) => {
            to.write_number_with_format(row, column, hundredths(time.hours()), &formats.late)?
        }
        Value::Share(share) => to.write_number_with_format(row, column, *share, &formats.share)?,
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
