//! Tube to buy, and what bars are cut into.

use super::{ids, money};
use crate::table::{Table, number, prose, word};
use crate::when::{day, moment};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::tube::{BarCut, BarFrom, Supply, TubeBuy, TubeDay};

/// Bars that must be had, what must be ordered first at the top.
#[must_use]
pub fn to_buy(plan: &Plan) -> Table {
    let columns = [
        word("Order it by"),
        word("Tube"),
        word("Bar"),
        number("Bars"),
        number("Metres"),
        number("Price"),
        word("First cut"),
        prose("For orders"),
        prose("Note"),
    ];
    let caption = format!("Tube to buy (prices in {})", plan.currency);
    let mut table = Table::new(caption, "the tube in the house is enough", &columns);
    for buy in &plan.tube.buys {
        let cells = vec![
            buy.order_by.map_or_else(|| "no lead time".to_owned(), day),
            buy.tube.clone(),
            buy.bar.to_string(),
            buy.bars.to_string(),
            format!("{:.1}", buy.bar.metres() * f64::from(buy.bars)),
            buy.price.map_or_else(String::new, |price| price.to_string()),
            moment(&plan.clock, buy.first_cut),
            ids(&buy.orders),
            buy_note(plan, buy),
        ];
        table.push(cells, buy.too_late.is_some());
    }
    table.note = plan.tube.buys.iter().any(|buy| !buy.counted).then(|| {
        "Where the house's bars are not counted (no on_hand_m), these are the bars needed: take off what is there."
            .to_owned()
    });
    table
}

/// What stands out about bars to buy.
#[must_use]
pub fn buy_note(plan: &Plan, buy: &TubeBuy) -> String {
    let late = buy.too_late.map(|arrival| format!("COMES TOO LATE: {}", moment(&plan.clock, arrival)));
    let counted = (!buy.counted).then(|| "not counted".to_owned());
    late.into_iter().chain(counted).collect::<Vec<_>>().join("; ")
}

/// What bars are cut into, tube by tube and day by day.
#[must_use]
pub fn cutting(plan: &Plan) -> Table {
    cutting_of(plan, &|_| true)
}

/// The same, as far as it concerns some of the orders.
#[must_use]
pub fn cutting_of(plan: &Plan, concerns: &dyn Fn(&str) -> bool) -> Table {
    let columns = [
        word("Day"),
        word("Tube"),
        number("Bars"),
        word("Bar"),
        word("From"),
        prose("Cut each into"),
        word("Left"),
        number("Used %"),
    ];
    let mut table = Table::new("Cutting plan", "nothing is cut", &columns);
    for cut_day in &plan.tube.days {
        for cut in cut_day.cuts.iter().filter(|cut| cut.pieces.iter().any(|piece| concerns(&piece.order))) {
            table.push(cut_row(cut_day, cut), false);
        }
        for (order, why) in cut_day.too_long.iter().filter(|(order, _)| concerns(order)) {
            let mut cells = vec![day(cut_day.day), cut_day.tube.clone()];
            cells.extend([
                String::new(),
                String::new(),
                String::new(),
                format!("{order} CANNOT BE CUT: {why}"),
            ]);
            cells.extend([String::new(), String::new()]);
            table.push(cells, true);
        }
    }
    table.note = (!table.rows.is_empty()).then(|| {
        "Bars of one tube and day are cut together. Used: blanks out of the bars of that day and tube, kept \
         remnants taken off."
            .to_owned()
    });
    table
}

fn cut_row(cut_day: &TubeDay, cut: &BarCut) -> Vec<String> {
    let pieces =
        cut.pieces.iter().map(|piece| format!("{} x {} ({})", piece.count, piece.length, piece.order));
    let left = if cut.kept { format!("{}, keep", cut.rest) } else { cut.rest.to_string() };
    vec![
        day(cut_day.day),
        cut_day.tube.clone(),
        cut.bars.to_string(),
        cut.bar.to_string(),
        from(cut_day, cut),
        pieces.collect::<Vec<_>>().join(", "),
        left,
        format!("{:.0}", 100.0 * cut_day.share_used()),
    ]
}

/// Where a bar comes from, in a word or two.
#[must_use]
pub fn from(cut_day: &TubeDay, cut: &BarCut) -> String {
    match (cut.from, cut_day.supply) {
        (BarFrom::House, _) => "house".to_owned(),
        (BarFrom::Remnant, _) => "remnant".to_owned(),
        (BarFrom::New, Supply::Counted) => "to buy".to_owned(),
        (BarFrom::New, Supply::NotCounted) => "not counted".to_owned(),
        (BarFrom::New, Supply::Coming(date)) => format!("comes {date}"),
    }
}

/// One sentence for the summary; `None` where no tube has to be had.
#[must_use]
pub fn in_short(plan: &Plan) -> Option<String> {
    let counted: Vec<&TubeBuy> = plan.tube.buys.iter().filter(|buy| buy.counted).collect();
    let uncounted: u32 = plan.tube.buys.iter().filter(|buy| !buy.counted).map(|buy| buy.bars).sum();
    let mut parts = Vec::new();
    if let Some(first) = counted.first() {
        let bars: u32 = counted.iter().map(|buy| buy.bars).sum();
        let by = first.order_by.map_or_else(String::new, |date| format!(", the first by {}", day(date)));
        let price = counted.iter().filter_map(|buy| buy.price).sum();
        parts.push(format!("{bars} bars ({}) are to be bought{by}", money(price, &plan.currency)));
        let late = counted.iter().filter(|buy| buy.too_late.is_some()).count();
        if late > 0 {
            let come = if late == 1 { "COMES" } else { "COME" };
            parts.push(format!("{late} of these purchases {come} TOO LATE even if ordered at once"));
        }
    }
    if uncounted > 0 {
        parts.push(format!("{uncounted} bars are needed of tube that the shop does not count"));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}
