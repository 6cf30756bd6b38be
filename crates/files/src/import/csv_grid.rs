use super::Export;
use super::grid::{Cell, Grid, GridRow, MOST_ROWS, letters};
use crate::code;
use crate::finding::{Place, Problem};
use crate::shop::csv_row::{RecordLines, most_frequent_separator};
use crate::text::decode;
use csv::{ReaderBuilder, StringRecord};

/// A CSV file (RFC 4180; separated by commas, semicolons or tabs). Everything in it is text.
pub(super) fn read(export: &Export<'_>) -> Result<Grid, (Place, Problem)> {
    let text = decode(export.name, export.bytes)?;
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(most_frequent_separator(text).0)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = StringRecord::new();
    let mut lines = RecordLines::new(text);
    while rows.len() <= MOST_ROWS + 1 && matches!(reader.read_record(&mut record), Ok(true)) {
        let number = lines.of(record.position());
        let cell = |field: &str| if field.is_empty() { Cell::Empty } else { Cell::Text(field.to_owned()) };
        rows.push(GridRow { number, cells: record.iter().map(cell).collect() });
    }
    unclosed(export.name, text, rows.last())?;
    Ok(Grid { file: export.name.to_owned(), rows, merged: Vec::new() })
}

/// A quotation mark that is opened and never closed swallows every row behind it.
fn unclosed(file: &str, text: &str, last: Option<&GridRow>) -> Result<(), (Place, Problem)> {
    let Some(row) = last else { return Ok(()) };
    let swallows = |cell: &Cell| matches!(cell, Cell::Text(text) if text.contains('\n'));
    let Some(column) = row.cells.iter().rposition(swallows) else { return Ok(()) };
    let is_last = column + 1 == row.cells.len() && text.matches('"').count() % 2 == 1;
    if !is_last {
        return Ok(());
    }
    let place = Place { file: file.into(), line: row.number, column: column + 1 };
    let message = format!(
        "row {}, column {}: a quotation mark is opened here and never closed",
        row.number,
        letters(column)
    );
    let hint = "write it twice if it is a sign of inch; the file may also still be being written";
    Err((place, Problem::new(code::SYNTAX, message).hint(hint)))
}

/// The last row, if the file ends within it: another program may not have finished writing it.
pub(super) fn unfinished(export: &Export<'_>, grid: &Grid) -> Option<(Place, Problem)> {
    let row = grid.rows.last()?;
    if export.bytes.ends_with(b"\n") || export.bytes.ends_with(b"\r") {
        return None;
    }
    let message = format!("row {}: the file ends without a line break behind it", row.number);
    let hint = "look whether the last row is whole; the file may still be being written";
    Some((grid.place(row.number, None), Problem::new(code::UNREADABLE, message).hint(hint)))
}
