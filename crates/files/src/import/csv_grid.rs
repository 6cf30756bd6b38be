use super::Export;
use super::grid::{Cell, Grid, GridRow};
use crate::finding::{Place, Problem};
use crate::shop::csv_row::most_frequent_separator;
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
    while let Ok(true) = reader.read_record(&mut record) {
        let number = record.position().map_or(0, |position| usize::try_from(position.line()).unwrap_or(0));
        let cell = |field: &str| if field.is_empty() { Cell::Empty } else { Cell::Text(field.to_owned()) };
        rows.push(GridRow { number, cells: record.iter().map(cell).collect() });
    }
    Ok(Grid { file: export.name.to_owned(), rows, merged: Vec::new() })
}
