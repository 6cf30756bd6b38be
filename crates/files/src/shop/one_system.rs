//! Whether the lengths of a shape are all metric or all in inches.
//!
//! Somebody who writes one straight in millimetres and the next in inches has probably copied a
//! number without its unit, and the part would be quietly another one.

use crate::code;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::plain::quoted;
use toml::Spanned;
use toml::de::DeValue;

/// The keys of a shape that hold lengths, in the order in which people read them.
const KEYS: [&str; 5] = ["bends", "end_straight", "points", "clr", "clrs"];

#[derive(Clone, Copy, PartialEq, Eq)]
enum System {
    Metric,
    Inch,
}

impl System {
    /// That of a length as it is written; `None` for what is no length.
    fn of(text: &str) -> Option<Self> {
        let unit = text.trim().trim_start_matches(|c: char| !c.is_ascii_alphabetic());
        match unit {
            "mm" | "cm" | "m" => Some(Self::Metric),
            "in" | "inch" | "ft" => Some(Self::Inch),
            _ => None,
        }
    }
}

/// A length as it is written.
struct Written<'a> {
    text: &'a str,
    system: System,
    at: usize,
    /// `bend 2`, `point 3`; empty for the whole part.
    whose: String,
}

/// Reports the first length that is not in the system of the first of all.
pub(super) fn check(table: &Table<'_>) {
    let mut written = Vec::new();
    for key in KEYS {
        let node = table.node(key);
        node.iter().for_each(|node| collect(node.value, name_of(key), &mut written));
    }
    let Some(first) = written.first() else { return };
    let Some(other) = written.iter().find(|length| length.system != first.system) else { return };
    let whose = if other.whose.is_empty() { String::new() } else { format!(", {}", other.whose) };
    let message = format!(
        "{}{whose}: {} and {} are in different systems of units; the lengths of one shape must be all \
         metric or all in inches",
        table.whose,
        quoted(first.text),
        quoted(other.text)
    );
    let hint = "write them in one unit (1 in is 25.4 mm), and check the numbers";
    let place = table.place_at(other.at);
    table.error_at(place, Problem::new(code::CONTRADICTION, message).hint(hint));
}

/// How an item of a list is called.
fn name_of(key: &str) -> Option<&'static str> {
    match key {
        "bends" | "clrs" => Some("bend"),
        "points" => Some("point"),
        _ => None,
    }
}

/// Every length in a value, in its order; items of the outermost list are numbered.
fn collect<'a>(value: &'a Spanned<DeValue<'a>>, item: Option<&str>, into: &mut Vec<Written<'a>>) {
    let Some(list) = value.get_ref().as_array() else { return inner(value, "", into) };
    for (number, value) in list.iter().enumerate() {
        inner(value, &item.map_or_else(String::new, |item| format!("{item} {}", number + 1)), into);
    }
}

fn inner<'a>(value: &'a Spanned<DeValue<'a>>, whose: &str, into: &mut Vec<Written<'a>>) {
    match value.get_ref() {
        DeValue::String(text) => {
            let length = |system| Written { text, system, at: value.span().start, whose: whose.to_owned() };
            into.extend(System::of(text).map(length));
        }
        DeValue::Array(list) => list.iter().for_each(|value| inner(value, whose, into)),
        DeValue::Table(entries) => {
            let mut values: Vec<_> = entries.values().collect();
            values.sort_by_key(|value| value.span().start);
            values.into_iter().for_each(|value| inner(value, whose, into));
        }
        _ => {}
    }
}
