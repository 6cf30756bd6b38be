//! The shop's own file, made of the rows of an export.

use super::columns::Columns;
use super::fields::{Field, FieldKind, List, OF_A_BEND, PARTS, Section};
use super::grid::{Grid, GridRow, letters};
use super::value::value;
use crate::code;
use crate::finding::{Finding, Findings, Place, Problem};
use crate::places::Kind;
use crate::read::Loaded;
use elbowroom_shop::order::Order;
use std::collections::BTreeSet;

/// A file of the shop folder, and where each of its lines comes from.
pub(super) struct Generated {
    pub text: String,
    /// Rows of the export that have something in them.
    pub rows: usize,
    /// Line of the text and row of the export, both counted from 1, in order of the lines.
    origins: Vec<(usize, usize)>,
    /// Number of the line that comes next.
    next_line: usize,
    /// Column of each field.
    columns: Vec<Option<usize>>,
    /// File and sheet of the export.
    source: String,
}

/// A row with its values as the shop's files write them.
struct Record {
    row: usize,
    values: Vec<Option<String>>,
}

/// Makes the file; values that cannot be read are reported, and left out.
pub(super) fn generate(
    findings: &Findings,
    grid: &Grid,
    columns: &Columns,
    section: &Section,
    before: &Loaded,
    keep: Option<&str>,
) -> Generated {
    let rows = grid.rows[columns.heading + 1..].iter().filter(|row| !row.is_blank());
    let records: Vec<Record> = rows.map(|row| record(findings, grid, row, columns, section)).collect();
    let mut made = Generated {
        text: String::new(),
        rows: records.len(),
        origins: Vec::new(),
        next_line: 1,
        columns: columns.of.clone(),
        source: grid.file.clone(),
    };
    match section.list.name {
        "orders" => made.orders(section.list, &records, before, keep.is_some()),
        "parts" => made.parts(findings, grid, &records, keep),
        _ => made.tools(section.list, &records, keep),
    }
    made
}

fn record(findings: &Findings, grid: &Grid, row: &GridRow, columns: &Columns, section: &Section) -> Record {
    let read = |(field, column): (&Field, &Option<usize>)| {
        let column = (*column)?;
        value(row.cell(column), field.kind, &section.style).unwrap_or_else(|problem| {
            let problem =
                problem.of(format_args!("{}, `{}`", place_in_words(row.number, Some(column)), field.name));
            findings.error(grid.place(row.number, Some(column)), problem);
            None
        })
    };
    Record { row: row.number, values: section.list.fields.iter().zip(&columns.of).map(read).collect() }
}

/// `row 7, column C`.
fn place_in_words(row: usize, column: Option<usize>) -> String {
    let column = column.map_or_else(String::new, |column| format!(", column {}", letters(column)));
    format!("row {row}{column}")
}

/// What stands above an imported file.
const HEAD: &str =
    "# Written by `elbowroom import`, and written anew by the next one: change the export instead.";

impl Generated {
    /// A finding of the shop's readers at its place in the export.
    pub fn at_source(&self, section: &Section, finding: &Finding) -> Finding {
        let before = self.origins.partition_point(|(line, _)| *line <= finding.place.line);
        let Some((_, row)) = before.checked_sub(1).and_then(|at| self.origins.get(at)) else {
            return Finding { place: Place::whole(&self.source), ..finding.clone() };
        };
        let named =
            |field: &&(&Field, &Option<usize>)| finding.message.contains(&format!("`{}`", field.0.name));
        let fields: Vec<_> = section.list.fields.iter().zip(&self.columns).collect();
        let column = fields.iter().find(named).and_then(|(_, column)| **column);
        Finding {
            place: Place {
                file: self.source.as_str().into(),
                line: *row,
                column: column.map_or(0, |column| column + 1),
            },
            message: format!(
                "{}: {}",
                place_in_words(*row, column),
                self.with_rows(section, &finding.message)
            ),
            ..finding.clone()
        }
    }

    /// A message that names a line of the file, as `orders.csv:4`, with the row that it came from.
    fn with_rows(&self, section: &Section, message: &str) -> String {
        let named = format!("{}:", section.list.file);
        let Some((before, rest)) = message.split_once(&named) else { return message.to_owned() };
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        let line = rest[..digits].parse().ok();
        let row = line.and_then(|line| self.origins.iter().rev().find(|origin| origin.0 <= line));
        row.map_or_else(|| message.to_owned(), |row| format!("{before}row {}{}", row.1, &rest[digits..]))
    }

    /// Adds a line, or several, that come from a row of the export.
    fn line(&mut self, row: usize, line: &str) {
        self.origins.push((self.next_line, row));
        self.head(line);
    }

    /// Adds lines that come from no row.
    fn head(&mut self, lines: &str) {
        self.next_line += lines.matches('\n').count() + 1;
        self.text.push_str(lines);
        self.text.push('\n');
    }

    fn orders(&mut self, list: &List, records: &[Record], before: &Loaded, keep: bool) {
        let names: Vec<&str> = list.fields.iter().map(|field| field.name).collect();
        self.head(&names.join(","));
        for record in records {
            let fields = record.values.iter().map(|value| csv_field(value.as_deref().unwrap_or_default()));
            self.line(record.row, &fields.collect::<Vec<_>>().join(","));
        }
        if keep {
            let ids: BTreeSet<&str> =
                records.iter().filter_map(|record| record.values[0].as_deref()).collect();
            let orders = before.shop.iter().flat_map(|shop| &shop.orders);
            let ours = |order: &&Order| {
                before.places.of(Kind::Order, &order.id).is_some_and(|place| &*place.file == list.file)
            };
            for order in orders.filter(ours).filter(|order| !ids.contains(order.id.as_str())) {
                self.head(&kept_order(order));
            }
        }
    }

    fn tools(&mut self, list: &List, records: &[Record], keep: Option<&str>) {
        self.head(HEAD);
        for record in records {
            self.line(record.row, "\n[[tool]]");
            for (field, value) in list.fields.iter().zip(&record.values) {
                if let Some(value) = value {
                    self.line(record.row, &format!("{} = {}", field.name, toml_value(field.kind, value)));
                }
            }
        }
        let ids = records.iter().filter_map(|record| record.values[0].as_deref()).collect();
        self.keep_tables(keep, "tool", &ids);
    }

    /// Rows of one part belong together: a bend each, and the last straight at the end.
    fn parts(&mut self, findings: &Findings, grid: &Grid, records: &[Record], keep: Option<&str>) {
        self.head(HEAD);
        let mut ids: Vec<&str> = Vec::new();
        for record in records {
            let id = record.values[0].as_deref().unwrap_or_default();
            if ids.last() != Some(&id) && ids.contains(&id) {
                let column = self.columns[0];
                let message = format!(
                    "{}: the rows of part `{id}` are not together",
                    place_in_words(record.row, column)
                );
                let problem = Problem::new(code::DUPLICATE, message);
                findings.error(grid.place(record.row, column), problem.hint("sort the export by part"));
            }
            ids.push(id);
        }
        for rows in records.chunk_by(|a, b| a.values[0] == b.values[0]) {
            self.part(findings, grid, rows);
        }
        self.keep_tables(keep, "part", &ids.into_iter().collect());
    }

    fn part(&mut self, findings: &Findings, grid: &Grid, rows: &[Record]) {
        let Some((end, bends)) = rows.split_last() else { return };
        self.line(rows[0].row, "\n[[part]]");
        for (at, field) in
            PARTS.fields.iter().enumerate().filter(|(_, field)| !OF_A_BEND.contains(&field.name))
        {
            if let Some((row, value)) =
                rows.iter().find_map(|row| Some((row.row, row.values[at].as_deref()?)))
            {
                self.line(row, &format!("{} = {}", field.name, toml_value(field.kind, value)));
            }
        }
        self.line(rows[0].row, "bends = [");
        bends.iter().for_each(|row| self.line(row.row, &format!("  {{ {} }},", of_a_bend(row).join(", "))));
        self.line(end.row, "]");
        match of_a_bend(end).as_slice() {
            [straight] if straight.starts_with("straight") => self.line(end.row, &format!("end_{straight}")),
            _ => {
                let what = "the last row of a part has its last straight, and no bend";
                let problem = Problem::new(code::SHAPE, format!("{}: {what}", place_in_words(end.row, None)));
                let hint = "add a row with the part's id and only `straight`";
                findings.error(grid.place(end.row, None), problem.hint(hint));
            }
        }
    }

    /// Tables of the file as it was whose ids the export lacks.
    fn keep_tables(&mut self, old: Option<&str>, key: &str, ids: &BTreeSet<&str>) {
        let Some(Ok(old)) = old.map(str::parse::<toml::Table>) else { return };
        let tables = old.get(key).and_then(toml::Value::as_array).into_iter().flatten();
        let gone = |table: &&toml::Value| {
            table.get("id").and_then(toml::Value::as_str).is_some_and(|id| !ids.contains(id))
        };
        for table in tables.filter(gone).filter_map(toml::Value::as_table) {
            let entries: String = table.iter().map(|(name, value)| format!("\n{name} = {value}")).collect();
            self.head(&format!("\n[[{key}]]{entries}"));
        }
    }
}

/// What a row says of its bend, as entries of an inline table.
fn of_a_bend(row: &Record) -> Vec<String> {
    let fields = PARTS.fields.iter().zip(&row.values).filter(|(field, _)| OF_A_BEND.contains(&field.name));
    let entry = |(field, value): (&Field, &Option<String>)| {
        value.as_ref().map(|value| format!("{} = {}", field.name, toml_value(field.kind, value)))
    };
    fields.filter_map(entry).collect()
}

fn toml_value(kind: FieldKind, value: &str) -> String {
    let text = |text: &str| toml::Value::String(text.to_owned()).to_string();
    match kind {
        FieldKind::Count | FieldKind::Number => value.to_owned(),
        FieldKind::Ids => {
            let ids: Vec<String> =
                value.split(';').map(str::trim).filter(|id| !id.is_empty()).map(text).collect();
            format!("[{}]", ids.join(", "))
        }
        _ => text(value),
    }
}

fn kept_order(order: &Order) -> String {
    let fields = [
        order.id.clone(),
        order.part.clone(),
        order.quantity.to_string(),
        order.promised.to_string(),
        order.material.map_or_else(String::new, |date| date.to_string()),
        order.customer.clone().unwrap_or_default(),
        order.late_cost_per_day.map_or_else(String::new, |cost| cost.amount().to_string()),
    ];
    fields.iter().map(|field| csv_field(field)).collect::<Vec<_>>().join(",")
}

/// A field of a CSV row (RFC 4180).
fn csv_field(value: &str) -> String {
    if value.contains([',', '"', ';', '\t']) {
        format!("\"{}\"", value.replace('"', "\"\""))
    } else {
        value.to_owned()
    }
}
