//! The mapping file: which columns an export has, and how it writes values.
//!
//! ```toml
//! [orders]                 # also [tools], [parts]
//! sheet = "Open orders"    # of a workbook; else the first
//! header_row = 3           # else the first row with all needed columns
//! date = "d.m.y"           # "y-m-d" (else), "d.m.y", "m/d/y"
//! decimal = ","            # "." (else) or ","
//! length_unit = "mm"       # of lengths without a unit; also angle_unit, time_unit
//! [orders.columns]         # the shop's name = the export's heading
//! id = "Order no."
//! quantity = "Qty"
//! ```

use super::fields::{DateStyle, LISTS, List, ORDERS, Section, Style};
use crate::finding::{Finding, Findings};
use crate::keyed::values::{count_within, text, word};
use crate::keyed::{Doc, Layer, Table, parse};
use std::sync::Arc;

/// How an export is to be understood.
#[derive(Debug)]
pub struct Mapping {
    pub(super) sections: Vec<Section>,
}

impl Default for Mapping {
    /// Orders on the first sheet under the shop's own names.
    fn default() -> Self {
        Self { sections: vec![Section::plain(&ORDERS)] }
    }
}

impl Section {
    fn plain(list: &'static List) -> Self {
        let headings = list.fields.iter().map(|_| None).collect();
        Self { list, sheet: None, header_row: None, style: Style::default(), headings }
    }
}

/// Reads a mapping file.
///
/// # Errors
/// If it has faults: every one of them, with its line.
pub fn read_mapping(name: &str, content: &str) -> Result<Mapping, Vec<Finding>> {
    let findings = Findings::default();
    let doc = Doc::new(name, content, &findings);
    let root = parse(&doc);
    let table = Table::new(Layer::root(&doc, &root), String::new());
    let sections: Vec<Section> = LISTS
        .iter()
        .filter(|list| table.has(list.name))
        .filter_map(|list| table.sub(list.name, |t| section(t, list)))
        .collect();
    table.expect(&["orders", "tools", "parts"]);
    table.finish();
    if sections.is_empty() && findings.errors() == 0 {
        let problem = crate::finding::Problem::new(crate::code::MISSING_KEY, "the mapping has no list");
        findings.error(
            crate::finding::Place::whole(name),
            problem.hint("it needs a table [orders], [tools] or [parts]"),
        );
    }
    if findings.errors() > 0 {
        Err(findings.into_sorted(&[Arc::from(name)]))
    } else {
        Ok(Mapping { sections })
    }
}

fn section(table: &Table<'_>, list: &'static List) -> Option<Section> {
    let sheet = table.opt("sheet", text);
    let header_row = table.opt("header_row", count_within(1, 1_000_000));
    let style = style(table);
    let columns = if table.has("columns") { table.table("columns") } else { None };
    let headings = columns.map_or_else(|| Section::plain(list).headings, |columns| headings(&columns, list));
    Some(Section {
        list,
        sheet: sheet?,
        header_row: header_row?.map(|row| row as usize),
        style: style?,
        headings,
    })
}

fn style(table: &Table<'_>) -> Option<Style> {
    let plain = Style::default();
    let date = table.or("date", plain.date, word(&DateStyle::NAMES));
    let decimal_comma = table.or("decimal", false, word(&[(".", false), (",", true)]));
    let length_unit = table.opt("length_unit", word(&units(["mm", "cm", "m", "in", "ft"])));
    let angle_unit = table.or("angle_unit", "deg", word(&units(["deg", "rad"])));
    let time_unit = table.opt("time_unit", word(&units(["s", "min", "h", "days", "weeks"])));
    Some(Style {
        date: date?,
        decimal_comma: decimal_comma?,
        length_unit: length_unit?,
        angle_unit: Some(angle_unit?),
        time_unit: time_unit?,
    })
}

fn units<const N: usize>(names: [&'static str; N]) -> [(&'static str, &'static str); N] {
    names.map(|name| (name, name))
}

fn headings(columns: &Table<'_>, list: &List) -> Vec<Option<String>> {
    let heading = |name: &'static str| columns.opt(name, text).flatten();
    let headings = list.fields.iter().map(|field| heading(field.name)).collect();
    columns.finish();
    headings
}
