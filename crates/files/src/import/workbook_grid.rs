use super::Export;
use super::grid::{Cell, Grid, GridRow};
use crate::code;
use crate::finding::Problem;
use crate::near::did_you_mean;
use calamine::{Data, DataType, Reader, Xlsx, XlsxError, open_workbook_from_rs};
use std::io::Cursor;
use std::panic::catch_unwind;

/// A sheet of a workbook, with the values that its program last computed.
///
/// The library that takes workbooks apart trusts some numbers in them; a spoiled one must not end the
/// program.
pub(super) fn read(export: &Export<'_>, sheet: Option<&str>) -> Result<Grid, Problem> {
    catch_unwind(|| read_sheet(export, sheet))
        .unwrap_or_else(|_| Err(spoiled("its parts contradict each other")))
}

fn read_sheet(export: &Export<'_>, sheet: Option<&str>) -> Result<Grid, Problem> {
    let mut book: Xlsx<_> = open_workbook_from_rs(Cursor::new(export.bytes)).map_err(broken)?;
    let names = book.sheet_names();
    let name = match sheet {
        None => names
            .first()
            .cloned()
            .ok_or_else(|| Problem::new(code::EMPTY_FILE, "the workbook has no sheet"))?,
        Some(wanted) => {
            names.iter().find(|name| *name == wanted).cloned().ok_or_else(|| no_sheet(wanted, &names))?
        }
    };
    let range = book.worksheet_range(&name).map_err(broken)?;
    book.load_merged_regions().map_err(broken)?;
    let merged = book.merged_regions_by_sheet(&name).into_iter().map(|(_, _, region)| {
        let (from, to) = (region.start, region.end);
        (from.0 as usize + 1, from.1 as usize, to.0 as usize + 1, to.1 as usize)
    });
    let merged = merged.collect();
    let (first_row, first_column) = range.start().unwrap_or((0, 0));
    let row = |(at, values): (usize, &[Data])| {
        let before = std::iter::repeat_n(Cell::Empty, first_column as usize);
        GridRow {
            number: first_row as usize + at + 1,
            cells: before.chain(values.iter().map(cell)).collect(),
        }
    };
    let rows = range.rows().enumerate().map(row).filter(|row| !row.is_blank()).collect();
    Ok(Grid { file: format!("{} [{name}]", export.name), rows, merged })
}

fn broken(error: XlsxError) -> Problem {
    spoiled(&error.to_string())
}

fn spoiled(why: &str) -> Problem {
    let message = format!("this is no whole workbook: {why}");
    Problem::new(code::SYNTAX, message)
        .hint("it may still be being written, or be of an older kind; save it again as .xlsx and wait until that is done")
}

fn no_sheet(wanted: &str, names: &[String]) -> Problem {
    let near = did_you_mean(wanted, names.iter().map(String::as_str));
    let there = names.iter().take(8).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    Problem::new(code::UNKNOWN_REFERENCE, format!("there is no sheet `{wanted}`; there are {there}"))
        .maybe_hint(near)
}

fn cell(value: &Data) -> Cell {
    match value {
        Data::Empty => Cell::Empty,
        Data::String(text) => Cell::Text(text.clone()),
        Data::Float(number) => Cell::Number(*number),
        Data::Int(number) => Cell::Number(*number as f64),
        Data::Bool(flag) => Cell::Flag(*flag),
        Data::DateTime(_) | Data::DateTimeIso(_) => match value.as_date() {
            Some(date) => Cell::Date(date),
            None => Cell::Text(value.to_string()),
        },
        Data::DurationIso(text) => Cell::Text(text.clone()),
        Data::Error(error) => Cell::Error(error.to_string()),
    }
}
