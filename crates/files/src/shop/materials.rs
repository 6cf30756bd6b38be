//! `materials.toml`: the shipped materials, and those that a shop adds or changes.

use crate::context::Context;
use crate::keyed::Table;
use crate::keyed::values::{number, positive, text, within};
use crate::places::Kind;
use elbowroom_bending::material::Material;

/// Materials of the shop's file on top of the shipped ones: one with the id of a shipped one
/// changes it key by key.
pub(crate) fn read(cx: &mut Context<'_>, shop: Option<&Table<'_>>, shipped: &Table<'_>) -> Vec<Material> {
    let mut base: Vec<(Option<String>, Table<'_>)> =
        tables(shipped).into_iter().map(|table| (peek_id(&table), table)).collect();
    let mut all = Vec::new();
    for table in shop.map(tables).unwrap_or_default() {
        let named = peek_id(&table);
        let same = named.and_then(|id| base.iter().position(|(other, _)| other.as_ref() == Some(&id)));
        all.push(match same {
            Some(at) => table.over(&base.remove(at).1),
            None => table,
        });
    }
    all.extend(base.into_iter().map(|(_, table)| table));
    let materials = cx.items(Kind::Material, &mut all, |_, table, id| material(table, id));
    shop.into_iter().chain([shipped]).for_each(Table::finish);
    materials
}

fn tables<'a>(root: &Table<'a>) -> Vec<Table<'a>> {
    root.tables("material", |number| format!("material {number}"))
}

/// The id, without a word where it is faulty: it is read again.
fn peek_id(table: &Table<'_>) -> Option<String> {
    table.node("id").and_then(|node| node.get().as_str().map(str::to_owned))
}

fn material(table: &Table<'_>, id: String) -> Option<Material> {
    let figure = |key| table.req(key, positive(number));
    let name = table.or("name", id.clone(), text);
    let (yield_mpa, tensile_mpa, modulus_mpa) =
        (figure("yield_mpa"), figure("tensile_mpa"), figure("modulus_mpa"));
    let elongation_percent = table.req("elongation_percent", within(0.0, 100.0, number));
    let density_kg_m3 = figure("density_kg_m3");
    let source = table.or("source", "the shop".to_owned(), text);
    if let (Some(strength), Some(tensile)) = (yield_mpa, tensile_mpa)
        && let Some(node) = table.node("yield_mpa")
        && !node.check(strength <= tensile, format_args!("it must not be more than `tensile_mpa`, {tensile}"))
    {
        return None;
    }
    Some(Material {
        id,
        name: name?,
        yield_mpa: yield_mpa?,
        tensile_mpa: tensile_mpa?,
        modulus_mpa: modulus_mpa?,
        elongation_percent: elongation_percent?,
        density_kg_m3: density_kg_m3?,
        source: source?,
    })
}
