//! An export as rows and columns of cells, whatever file it came in.

use super::Export;
use super::{csv_grid, workbook_grid};
use crate::code;
use crate::finding::{Place, Problem};
use chrono::NaiveDate;

/// Most rows that are read; an order book has far fewer, and a larger export is of something else.
pub(super) const MOST_ROWS: usize = 200_000;

/// A table of cells.
#[derive(Debug, PartialEq)]
pub(super) struct Grid {
    /// The file, and the sheet of a workbook.
    pub file: String,
    pub rows: Vec<GridRow>,
    /// Cells that are merged: first row, first column, last row, last column; rows counted from 1,
    /// columns from 0.
    pub merged: Vec<(usize, usize, usize, usize)>,
}

/// A row with something in it.
#[derive(Debug, PartialEq)]
pub(super) struct GridRow {
    /// As people count it, from 1.
    pub number: usize,
    pub cells: Vec<Cell>,
}

/// What a cell holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    Empty,
    Text(String),
    Number(f64),
    Date(NaiveDate),
    Flag(bool),
    /// A formula went wrong: `#REF!`.
    Error(String),
}

impl GridRow {
    pub fn cell(&self, column: usize) -> &Cell {
        self.cells.get(column).unwrap_or(&Cell::Empty)
    }

    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(Cell::is_blank)
    }
}

impl Cell {
    pub fn is_blank(&self) -> bool {
        match self {
            Self::Empty => true,
            Self::Text(text) => text.trim().is_empty(),
            _ => false,
        }
    }

    /// As it is read in a heading.
    pub fn heading(&self) -> String {
        match self {
            Self::Text(text) => text.split_whitespace().collect::<Vec<_>>().join(" "),
            Self::Number(number) => number.to_string(),
            Self::Date(date) => date.to_string(),
            _ => String::new(),
        }
    }
}

impl Grid {
    /// The table of an export, by the ending of its name.
    pub fn read(export: &Export<'_>, sheet: Option<&str>) -> Result<Self, (Place, Problem)> {
        let whole = |problem: Problem| (Place::whole(export.name), problem);
        let ending = export.name.rsplit('.').next().unwrap_or_default().to_ascii_lowercase();
        let grid = match ending.as_str() {
            "csv" | "txt" => csv_grid::read(export)?,
            "xlsx" | "xlsm" => workbook_grid::read(export, sheet).map_err(whole)?,
            _ => {
                let message = format!("`{}` is neither a .csv nor an .xlsx file", export.name);
                let hint = "save it as a workbook (.xlsx) or as CSV UTF-8 (.csv)";
                return Err(whole(Problem::new(code::NOT_A_FILE, message).hint(hint)));
            }
        };
        if grid.rows.len() > MOST_ROWS + 1 {
            let message = format!("`{}` has more rows than the {MOST_ROWS} that are read", grid.file);
            return Err(whole(Problem::new(code::TOO_LARGE, message).hint("export open orders only")));
        }
        Ok(grid)
    }

    /// What is worth saying where a file of text ends within its last row.
    pub fn unfinished(&self, export: &Export<'_>) -> Option<(Place, Problem)> {
        Self::is_text(export.name).then(|| csv_grid::unfinished(export, self)).flatten()
    }

    /// Whether an export of this name is read as text.
    pub fn is_text(name: &str) -> bool {
        let name = name.to_lowercase();
        name.ends_with(".csv") || name.ends_with(".txt")
    }

    /// The place of a cell: line is its row, column its column.
    pub fn place(&self, row: usize, column: Option<usize>) -> Place {
        Place { file: self.file.as_str().into(), line: row, column: column.map_or(0, |column| column + 1) }
    }
}

/// A column as spreadsheets name it: A, B, ... Z, AA.
pub(super) fn letters(column: usize) -> String {
    let (mut left, mut name) = (column + 1, Vec::new());
    while left > 0 {
        name.push(b'A' + u8::try_from((left - 1) % 26).unwrap_or(0));
        left = (left - 1) / 26;
    }
    name.iter().rev().map(|letter| char::from(*letter)).collect()
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn columns_are_named_as_in_spreadsheets() {
        for (column, name) in
            [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")]
        {
            assert_eq!(letters(column), name);
        }
    }
}
