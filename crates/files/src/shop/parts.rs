//! `parts.toml` and `parts/*.toml`.

use super::forecast;
use super::shape;
use super::words::{MARKS, processes};
use crate::code;
use crate::context::Context;
use crate::keyed::values::{
    count_within, flag, length, list, not_negative, number, positive, seconds, text, within, word,
};
use crate::keyed::{Node, Table};
use crate::places::Kind;
use elbowroom_bending::piece::{Marks, Quality};
use elbowroom_bending::process::Process;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_units::Mm;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>, tubes: &[StockTube]) -> Vec<Part> {
    let mut tables = root.tables("part", |number| format!("part {number}"));
    let parts = cx.items(Kind::Part, &mut tables, |cx, table, id| part(cx, table, id, tubes));
    for table in &tables {
        if let Some(id) = table.node("id").and_then(|node| node.get().as_str()) {
            cx.places.add_bends(id, shape::bend_places(table));
        }
    }
    root.finish();
    parts
}

fn part(cx: &Context<'_>, table: &Table<'_>, id: String, tubes: &[StockTube]) -> Option<Part> {
    let name = table.or("name", id.clone(), text);
    let tube = table.req("tube", cx.known(Kind::Tube));
    let size = tube.as_ref().and_then(|id| tubes.iter().find(|tube| tube.id == *id)).map(|tube| tube.tube);
    let shape = shape::read(table, size.as_ref());
    let quality = quality(table);
    let trim = table.or("trim", Mm::ZERO, not_negative(length));
    let processes = table.opt("processes", approved);
    let deburr = table.or("deburr", true, flag);
    let end_forms = table.or("end_forms", 0, count_within(0, 2));
    let weld = table.opt("weld", positive(seconds));
    let inspect = table.or("inspect", true, flag);
    let outside = table.or("outside", Vec::new(), list(cx.known(Kind::Service)));
    let (yearly_quantity, forecast) = forecast::read(table)?;
    Some(Part {
        id,
        name: name?,
        tube: tube?,
        shape: shape?,
        quality: quality?,
        trim: trim?,
        processes: processes?,
        deburr: deburr?,
        end_forms: end_forms?,
        weld: weld?,
        inspect: inspect?,
        outside: outside?,
        yearly_quantity,
        forecast,
    })
}

fn quality(table: &Table<'_>) -> Option<Quality> {
    let max_ovality_percent = table.opt("max_ovality_percent", within(0.0, 100.0, positive(number)));
    let marks = table.or("marks", Marks::Some, word(&MARKS));
    let clean_inside = table.or("clean_inside", false, flag);
    Some(Quality { max_ovality_percent: max_ovality_percent?, marks: marks?, clean_inside: clean_inside? })
}

fn approved(node: Node<'_>) -> Option<Vec<Process>> {
    let processes = list(word(&processes()))(node)?;
    if node.get().as_array().is_some_and(|list| list.is_empty()) {
        node.wrong(code::CONTRADICTION, "no process is approved; leave the key out where any is");
        return None;
    }
    Some(processes)
}
