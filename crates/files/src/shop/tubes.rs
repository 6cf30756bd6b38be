//! `tubes.toml`.

use crate::code;
use crate::context::Context;
use crate::finding::Problem;
use crate::keyed::Table;
use crate::keyed::values::{length, list as list_of, minutes, money, not_negative, number, positive};
use crate::places::Kind;
use elbowroom_bending::tube::Tube;
use elbowroom_shop::part::StockTube;
use elbowroom_units::Mm;

pub(crate) fn read(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<StockTube> {
    let tubes = list(cx, root);
    root.finish();
    tubes
}

/// The tubes of a file that lists other things too.
pub(crate) fn list(cx: &mut Context<'_>, root: &Table<'_>) -> Vec<StockTube> {
    let mut tables = root.tables("tube", |number| format!("tube {number}"));
    cx.items(Kind::Tube, &mut tables, tube)
}

fn tube(cx: &Context<'_>, table: &Table<'_>, id: String) -> Option<StockTube> {
    let size = size(table);
    let material = table.req("material", cx.known(Kind::Material));
    let stock_length = table.req("stock_length", positive(length));
    let other_lengths = table.opt("other_lengths", list_of(positive(length)));
    let on_hand_m = table.opt("on_hand_m", not_negative(number));
    let price_per_metre = table.opt("price_per_m", money);
    let lead = table.opt("lead", minutes);
    Some(StockTube {
        id,
        tube: size?,
        material: material?,
        stock_length: stock_length?,
        other_lengths: other_lengths?.unwrap_or_default(),
        on_hand: on_hand_m?.map(|metres| Mm::new(metres * 1000.0)),
        price_per_metre: price_per_metre?,
        lead: lead?,
    })
}

fn size(table: &Table<'_>) -> Option<Tube> {
    let outer = table.req("od", positive(length));
    let wall = table.req("wall", positive(length));
    let fault = |fault| table.fault_at("wall", Problem::new(code::OUT_OF_RANGE, format!("{fault}")));
    Tube::new(outer?, wall?).map_err(fault).ok()
}
