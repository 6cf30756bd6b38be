use super::Export;
use super::grid::{Cell, Grid, GridRow, MOST_ROWS, letters};
use super::quiet::quietly;
use crate::code;
use crate::finding::Problem;
use crate::near::did_you_mean;
use calamine::{Data, DataRef, DataType, Reader, Xlsx, XlsxError, open_workbook_from_rs};
use std::collections::BTreeMap;
use std::io::Cursor;

/// Most columns that are read; an export has some dozens.
const MOST_COLUMNS: usize = 1_000;

/// A sheet of a workbook, with the values that its program last computed.
///
/// The library that takes workbooks apart trusts some numbers in them; a spoiled one must not end the
/// program, nor show a person anything but our own message.
pub(super) fn read(export: &Export<'_>, sheet: Option<&str>) -> Result<Grid, Problem> {
    quietly(|| read_sheet(export, sheet)).unwrap_or_else(|| Err(spoiled("its parts contradict each other")))
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
    let rows = rows(&mut book, &name)?;
    book.load_merged_regions().map_err(broken)?;
    let merged = book.merged_regions_by_sheet(&name).into_iter().map(|(_, _, region)| {
        let (from, to) = (region.start, region.end);
        (from.0 as usize + 1, from.1 as usize, to.0 as usize + 1, to.1 as usize)
    });
    Ok(Grid { file: format!("{} [{name}]", export.name), rows, merged: merged.collect() })
}

/// Rows with something in them, cell by cell: a sheet with a cell at its far end is no reason to make
/// room for all those between.
fn rows(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Vec<GridRow>, Problem> {
    let mut cells = book.worksheet_cells_reader(name).map_err(broken)?;
    let mut rows: BTreeMap<u32, Vec<Cell>> = BTreeMap::new();
    while let Some(found) = cells.next_cell().map_err(broken)? {
        let (row, column) = found.get_position();
        if matches!(found.get_value(), DataRef::Empty) {
            continue;
        }
        let value = cell(&Data::from(found.get_value().clone()));
        if value.is_blank() {
            continue;
        }
        let column = column as usize;
        if column >= MOST_COLUMNS {
            let message = format!(
                "row {}, column {}: there is something in this cell; at most {MOST_COLUMNS} columns are read",
                row + 1,
                letters(column)
            );
            return Err(Problem::new(code::TOO_LARGE, message).hint("delete what is right of the table"));
        }
        if rows.len() > MOST_ROWS + 1 && !rows.contains_key(&row) {
            break;
        }
        let cells = rows.entry(row).or_default();
        if cells.len() <= column {
            cells.resize(column + 1, Cell::Empty);
        }
        cells[column] = value;
    }
    Ok(rows.into_iter().map(|(row, cells)| GridRow { number: row as usize + 1, cells }).collect())
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
