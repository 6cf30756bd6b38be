//! Which column of an export holds which field.

use super::fields::{Field, Section};
use super::grid::{Grid, GridRow, letters};
use crate::code;
use crate::finding::{Findings, Problem};
use crate::near::did_you_mean;

/// Rows that are looked at for the heading, where the mapping does not say.
const LOOKED_AT: usize = 30;

/// Where the fields are.
pub(super) struct Columns {
    /// Position of the heading among the grid's rows.
    pub heading: usize,
    /// Column of each field of the list, in their order.
    pub of: Vec<Option<usize>>,
}

impl Columns {
    /// Finds the heading; `None` if it cannot be used, which is reported.
    pub fn find(findings: &Findings, grid: &Grid, section: &Section) -> Option<Self> {
        let Some(heading) = heading(grid, section) else {
            let row = section.header_row.map_or_else(String::new, |row| format!(" in row {row}"));
            let problem = Problem::new(code::EMPTY_FILE, format!("there is no heading{row}"));
            findings.error(grid.place(0, None), problem.hint("the first row names the columns"));
            return None;
        };
        let errors = findings.errors();
        let row = &grid.rows[heading];
        merged(findings, grid, row);
        let found: Vec<Vec<usize>> =
            (0..section.list.fields.len()).map(|field| matching(row, section, field)).collect();
        for (field, columns) in
            section.list.fields.iter().zip(&found).filter(|(_, columns)| columns.len() > 1)
        {
            twice(findings, grid, row, field, columns);
        }
        for field in 0..found.len() {
            let named = section.headings[field].is_some();
            if found[field].is_empty() && (section.list.fields[field].needed || named) {
                missing(findings, grid, row, section, field, &found);
            }
        }
        let of: Vec<Option<usize>> = found.iter().map(|columns| columns.first().copied()).collect();
        merged_below(findings, grid, row.number, &of);
        (findings.errors() == errors).then_some(Self { heading, of })
    }
}

/// The row of the heading: the one named, else the first with all needed columns, else the first with
/// any, else the first at all.
fn heading(grid: &Grid, section: &Section) -> Option<usize> {
    if let Some(number) = section.header_row {
        return grid.rows.iter().position(|row| row.number == number);
    }
    let found = |row: &GridRow, needed: bool| {
        let fields = section.list.fields.iter().enumerate().filter(|(_, field)| field.needed || !needed);
        fields.filter(|(field, _)| !matching(row, section, *field).is_empty()).count()
    };
    let needed = section.list.fields.iter().filter(|field| field.needed).count();
    let rows = || grid.rows.iter().take(LOOKED_AT);
    let whole = rows().position(|row| found(row, true) == needed);
    whole
        .or_else(|| rows().position(|row| found(row, false) > 0))
        .or_else(|| (!grid.rows.is_empty()).then_some(0))
}

/// Columns whose heading is the one of a field.
fn matching(row: &GridRow, section: &Section, field: usize) -> Vec<usize> {
    let names = names(section, field);
    let is_it = |column: &usize| {
        let heading = row.cells[*column].heading().to_lowercase();
        names.contains(&heading)
    };
    (0..row.cells.len()).filter(is_it).collect()
}

/// Headings of a field in lower case: the mapping's, else its own name, with blanks too; an order's id
/// may be headed `order`.
fn names(section: &Section, field: usize) -> Vec<String> {
    if let Some(heading) = &section.headings[field] {
        return vec![heading.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()];
    }
    let name = section.list.fields[field].name;
    let mut names = vec![name.to_owned(), name.replace('_', " ")];
    if name == "id" {
        names.push(section.list.name.trim_end_matches('s').to_owned());
    }
    names
}

/// A merged heading stands over several columns, or hides what is below it.
fn merged(findings: &Findings, grid: &Grid, heading: &GridRow) {
    for (from_row, from, to_row, to) in &grid.merged {
        if (from_row..=to_row).contains(&&heading.number) {
            let cells = format!("{}{from_row}:{}{to_row}", letters(*from), letters(*to));
            let message = format!("cells {cells} of the heading are merged");
            let problem = Problem::new(code::CSV_HEADER, message);
            findings.error(
                grid.place(*from_row, Some(*from)),
                problem.hint("split them, so that every column has its own heading in one cell"),
            );
        }
    }
}

/// Of merged cells only the first holds something; those that matter would be read as empty.
fn merged_below(findings: &Findings, grid: &Grid, heading: usize, of: &[Option<usize>]) {
    for (from_row, from, to_row, to) in &grid.merged {
        let matters = of.iter().flatten().any(|column| (from..=to).contains(&column));
        if *from_row > heading && matters {
            let cells = format!("{}{from_row}:{}{to_row}", letters(*from), letters(*to));
            let message = format!("cells {cells} are merged, so that all but the first are empty");
            let problem = Problem::new(code::WRONG_TYPE, message);
            findings.error(
                grid.place(*from_row, Some(*from)),
                problem.hint("split them, and write the value into each row"),
            );
        }
    }
}

fn twice(findings: &Findings, grid: &Grid, row: &GridRow, field: &Field, columns: &[usize]) {
    let names: Vec<String> = columns.iter().map(|column| letters(*column)).collect();
    let message = format!("columns {} are all headed as `{}`", names.join(", "), field.name);
    let problem = Problem::new(code::CSV_HEADER, message);
    findings
        .error(grid.place(row.number, columns.get(1).copied()), problem.hint("rename all but one of them"));
}

fn missing(
    findings: &Findings,
    grid: &Grid,
    row: &GridRow,
    section: &Section,
    field: usize,
    found: &[Vec<usize>],
) {
    let wanted =
        section.headings[field].clone().unwrap_or_else(|| section.list.fields[field].name.to_owned());
    let taken = |column: usize| found.iter().any(|columns| columns.contains(&column));
    let free: Vec<String> = (0..row.cells.len())
        .filter(|column| !taken(*column))
        .map(|column| row.cells[column].heading())
        .collect();
    let free: Vec<&str> = free.iter().map(String::as_str).filter(|heading| !heading.is_empty()).collect();
    let name = section.list.fields[field].name;
    let there = free.iter().take(12).map(|heading| format!("`{heading}`")).collect::<Vec<_>>().join(", ");
    let hint = did_you_mean(&wanted, free.iter().copied()).unwrap_or_else(|| {
        format!(
            "name its heading in a mapping: [{}.columns] {name} = \"...\"; there are {there}",
            section.list.name
        )
    });
    let message = format!("no column is headed `{wanted}` (row {} was taken as the heading)", row.number);
    findings.error(grid.place(row.number, None), Problem::new(code::CSV_HEADER, message).hint(hint));
}
