//! What can be imported: lists, and the fields of each.

/// A list of the shop that can be imported.
#[derive(Debug)]
pub(super) struct List {
    /// Its name in the mapping.
    pub name: &'static str,
    /// The file that an import writes, whole.
    pub file: &'static str,
    pub fields: &'static [Field],
}

/// A field of a list, named as in the shop's files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Field {
    pub name: &'static str,
    pub kind: FieldKind,
    /// Whether every export has it.
    pub needed: bool,
}

/// What a field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FieldKind {
    Text,
    Count,
    Number,
    Date,
    Length,
    Angle,
    Duration,
    /// Ids, separated by semicolons.
    Ids,
}

const fn needed(name: &'static str, kind: FieldKind) -> Field {
    Field { name, kind, needed: true }
}

const fn field(name: &'static str, kind: FieldKind) -> Field {
    Field { name, kind, needed: false }
}

use FieldKind::{Angle, Count, Date, Duration, Ids, Length, Number, Text};

/// The order book.
pub(super) const ORDERS: List = List {
    name: "orders",
    file: "orders.csv",
    fields: &[
        needed("id", Text),
        needed("part", Text),
        needed("quantity", Count),
        needed("promised", Date),
        field("material", Date),
        field("customer", Text),
        field("late_cost_per_day", Number),
    ],
};

/// The tool rack.
pub(super) const TOOLS: List = List {
    name: "tools",
    file: "tools/imported.toml",
    fields: &[
        needed("id", Text),
        needed("kind", Text),
        needed("od", Length),
        field("clr", Length),
        field("wall", Length),
        field("balls", Count),
        field("pieces", Count),
        field("state", Text),
        field("arrives", Date),
        field("price", Number),
        field("lead", Duration),
        field("fits", Ids),
        field("place", Text),
        field("wear_limit", Count),
        field("bends", Count),
    ],
};

/// Parts: a row for each bend, and one with only `straight` for the last straight of each part.
pub(super) const PARTS: List = List {
    name: "parts",
    file: "parts/imported.toml",
    fields: &[
        needed("id", Text),
        field("name", Text),
        needed("tube", Text),
        needed("straight", Length),
        field("rotation", Angle),
        needed("clr", Length),
        needed("angle", Angle),
        field("weld", Duration),
        field("end_forms", Count),
        field("outside", Ids),
        field("yearly_quantity", Count),
    ],
};

/// Fields of a part's row that belong to its bend and not to the part.
pub(super) const OF_A_BEND: [&str; 4] = ["straight", "rotation", "clr", "angle"];

/// All lists.
pub(super) const LISTS: [&List; 3] = [&ORDERS, &TOOLS, &PARTS];

/// How a list is exported.
#[derive(Debug)]
pub(super) struct Section {
    pub list: &'static List,
    /// The sheet of a workbook; `None`: the first.
    pub sheet: Option<String>,
    /// The row of the heading, counted from 1; `None`: the first that has all needed columns.
    pub header_row: Option<usize>,
    pub style: Style,
    /// The heading of each field, where it is not the field's own name; in the order of the fields.
    pub headings: Vec<Option<String>>,
}

/// How values are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Style {
    pub date: DateStyle,
    pub decimal_comma: bool,
    /// Unit of lengths, angles and durations that are written without one.
    pub length_unit: Option<&'static str>,
    pub angle_unit: Option<&'static str>,
    pub time_unit: Option<&'static str>,
}

impl Default for Style {
    fn default() -> Self {
        let (length_unit, angle_unit, time_unit) = (None, Some("deg"), None);
        Self { date: DateStyle::Year, decimal_comma: false, length_unit, angle_unit, time_unit }
    }
}

/// What stands first in a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DateStyle {
    /// 2026-12-31
    Year,
    /// 31.12.2026
    Day,
    /// 12/31/2026
    Month,
}

impl DateStyle {
    /// As it is written in a mapping.
    pub const NAMES: [(&'static str, Self); 3] =
        [("y-m-d", Self::Year), ("d.m.y", Self::Day), ("m/d/y", Self::Month)];

    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(_, style)| *style == self).map_or("", |(name, _)| name)
    }
}
