//! Cutting plans day after day, each with the remnants of those before.

use super::needs::{Group, Need, needs};
use super::{BarCut, BarFrom, CutPiece, Supply, TubeBuy, TubeDay, TubePlan};
use crate::compile::arrival;
use crate::readback::Source;
use chrono::NaiveDate;
use elbowroom_cutting::{Blank, CuttingFault, CuttingJob, CuttingPlan, Layout, Saw, Stock, cut};
use elbowroom_shop::part::StockTube;
use elbowroom_units::{Minute, Mm};
use std::collections::BTreeMap;

/// What a millimetre of a bar in the house counts against one that has to be bought: so little that
/// the house's bars go first, so much that they are not wasted.
const HOUSE_WEIGHT: f64 = 0.5;
/// Remnants beyond this number of lengths are not planned with: nobody looks through more.
const MOST_REMNANTS: usize = 12;

/// What the plan cuts and what must be had for it.
pub(crate) fn tube_plan(source: &Source<'_>) -> TubePlan {
    let mut plan = TubePlan::default();
    let mut rack = Rack::default();
    for (group, needs) in needs(source) {
        let tube = &source.shop.tubes[group.0];
        rack.turn_to(group.0, tube);
        let day = day(source, &group, &needs, &mut rack);
        plan.buys.extend(buys(source, tube, &day));
        plan.days.push(day);
    }
    plan.buys.sort_by_key(|buy| (buy.order_by.unwrap_or(NaiveDate::MAX), buy.first_cut));
    plan
}

/// Bars and remnants of one tube in the house.
#[derive(Default)]
struct Rack {
    tube: Option<usize>,
    bars: u32,
    /// By length in micrometres, so that equal lengths are together.
    remnants: BTreeMap<i64, u32>,
}

impl Rack {
    /// Begins with what the shop has of another tube.
    fn turn_to(&mut self, at: usize, tube: &StockTube) {
        if self.tube != Some(at) {
            let bars = tube.on_hand.map_or(0.0, |length| (length / tube.stock_length + 1e-9).floor());
            *self = Self { tube: Some(at), bars: bars.clamp(0.0, 1e6) as u32, remnants: BTreeMap::new() };
        }
    }

    /// What can be cut, and what each stock is.
    fn stocks(&self, tube: &StockTube, supply: Supply) -> Vec<(Stock, BarFrom)> {
        let lengths = std::iter::once(tube.stock_length).chain(tube.other_lengths.iter().copied());
        let mut stocks: Vec<(Stock, BarFrom)> =
            lengths.map(|length| (Stock::bought(length), BarFrom::New)).collect();
        if matches!(supply, Supply::Coming(_)) {
            return stocks;
        }
        let house = |length, available, from| {
            (Stock { length, available: Some(available), weight: HOUSE_WEIGHT }, from)
        };
        if self.bars > 0 {
            stocks.push(house(tube.stock_length, self.bars, BarFrom::House));
        }
        let remnants = self.remnants.iter().rev().take(MOST_REMNANTS);
        stocks.extend(remnants.map(|(length, count)| house(of_key(*length), *count, BarFrom::Remnant)));
        stocks
    }

    /// Takes off what was cut, and puts remnants in.
    fn take(&mut self, cut: &BarCut) {
        match cut.from {
            BarFrom::House => self.bars = self.bars.saturating_sub(cut.bars),
            BarFrom::Remnant => {
                if let Some(count) = self.remnants.get_mut(&key(cut.bar)) {
                    *count = count.saturating_sub(cut.bars);
                }
            }
            BarFrom::New => {}
        }
        if cut.kept {
            *self.remnants.entry(key(cut.rest)).or_default() += cut.bars;
        }
        self.remnants.retain(|_, count| *count > 0);
    }
}

fn key(length: Mm) -> i64 {
    (length.mm() * 1e3).round() as i64
}

fn of_key(key: i64) -> Mm {
    Mm::new(key as f64 / 1e3)
}

/// The cutting plan of one group.
fn day(source: &Source<'_>, group: &Group, needs: &[Need], rack: &mut Rack) -> TubeDay {
    let tube = &source.shop.tubes[group.0];
    let stocks = rack.stocks(tube, group.2);
    let (plan, cuttable, too_long) = cut_all(source, &stocks, needs);
    let cuts: Vec<BarCut> =
        plan.layouts.iter().map(|layout| bar_cut(source, &stocks, &cuttable, layout)).collect();
    cuts.iter().for_each(|cut| rack.take(cut));
    let mut orders: Vec<usize> = needs.iter().map(|need| need.order).collect();
    orders.dedup();
    TubeDay {
        tube: tube.id.clone(),
        day: group.1,
        first_cut: needs.iter().map(|need| need.cut).min().unwrap_or(Minute::ZERO),
        supply: group.2,
        orders: orders.into_iter().map(|order| source.shop.orders[order].id.clone()).collect(),
        cuts,
        gap: plan.gap(),
        too_long,
    }
}

/// Cuts what can be cut, and says of the rest why it cannot.
fn cut_all<'n>(
    source: &Source<'_>,
    stocks: &[(Stock, BarFrom)],
    needs: &'n [Need],
) -> (CuttingPlan, Vec<&'n Need>, Vec<(String, String)>) {
    let saw = &source.shop.step_times.saw;
    let mut cuttable: Vec<&Need> = needs.iter().collect();
    let mut refused = Vec::new();
    loop {
        let job = CuttingJob {
            blanks: cuttable.iter().map(|need| Blank { length: need.length, count: need.count }).collect(),
            stocks: stocks.iter().map(|(stock, _)| *stock).collect(),
            saw: Saw { kerf: saw.kerf, end_trim: saw.end_trim, keep_from: saw.keep_from },
        };
        let fault = match cut(&job) {
            Ok(plan) => return (plan, cuttable, refused),
            Err(fault) => fault,
        };
        let name = |need: &Need| source.shop.orders[need.order].id.clone();
        match fault {
            CuttingFault::TooLong { blank, .. } => {
                refused.push((name(cuttable.remove(blank)), fault.to_string()))
            }
            _ => refused.extend(cuttable.drain(..).map(|need| (name(need), fault.to_string()))),
        }
        if cuttable.is_empty() {
            let nothing = CuttingPlan { layouts: Vec::new(), counted: Mm::ZERO, bound: Mm::ZERO };
            return (nothing, cuttable, refused);
        }
    }
}

fn bar_cut(source: &Source<'_>, stocks: &[(Stock, BarFrom)], needs: &[&Need], layout: &Layout) -> BarCut {
    let (stock, from) = stocks[layout.stock];
    let piece = |(at, count): &(usize, u32)| CutPiece {
        order: source.shop.orders[needs[*at].order].id.clone(),
        length: as_set(needs[*at].length),
        count: *count,
    };
    BarCut {
        bar: stock.length,
        bars: layout.bars,
        from,
        pieces: layout.pieces.iter().map(piece).collect(),
        rest: layout.rest,
        kept: layout.kept,
    }
}

/// A length as the saw is set: whole tenths of a millimetre, never too short.
fn as_set(length: Mm) -> Mm {
    Mm::new((length.mm() * 10.0 - 1e-6).ceil() / 10.0)
}

/// What must be had for a day; nothing where its tube comes with its orders.
fn buys(source: &Source<'_>, tube: &StockTube, day: &TubeDay) -> Vec<TubeBuy> {
    if matches!(day.supply, Supply::Coming(_)) {
        return Vec::new();
    }
    let mut bars: BTreeMap<i64, u32> = BTreeMap::new();
    for cut in day.cuts.iter().filter(|cut| cut.from == BarFrom::New) {
        *bars.entry(key(cut.bar)).or_default() += cut.bars;
    }
    let ordered_at_once =
        tube.lead.map(|lead| arrival(source.clock, &source.shop.terms, source.clock.start(), lead));
    let buy = |(length, bars): (i64, u32)| {
        let bar = of_key(length);
        TubeBuy {
            tube: tube.id.clone(),
            bar,
            bars,
            counted: day.supply == Supply::Counted,
            price: tube.price_per_metre.map(|price| price * (bar.metres() * f64::from(bars))),
            order_by: tube.lead.map(|lead| crate::readback::order_by(source, lead, day.first_cut)),
            too_late: ordered_at_once.filter(|arrival| *arrival > day.first_cut),
            first_cut: day.first_cut,
            orders: day.orders.clone(),
        }
    };
    bars.into_iter().map(buy).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_bending::tube::Tube;

    /// Two bars of 6 m in the house; one is cut, and 1.5 m of it stay.
    #[test]
    fn a_bar_is_taken_off_and_its_remnant_put_in() {
        let tube = StockTube {
            id: "T".to_owned(),
            tube: Tube::new(Mm::new(38.0), Mm::new(2.0)).expect("the bore is open"),
            material: "steel".to_owned(),
            stock_length: Mm::new(6_000.0),
            other_lengths: vec![Mm::new(3_000.0)],
            on_hand: Some(Mm::new(13_000.0)),
            price_per_metre: None,
            lead: None,
        };
        let mut rack = Rack::default();
        rack.turn_to(0, &tube);
        let cut = |from, bar, kept| BarCut {
            bar: Mm::new(bar),
            bars: 1,
            from,
            pieces: Vec::new(),
            rest: Mm::new(1_500.0),
            kept,
        };
        rack.take(&cut(BarFrom::House, 6_000.0, true));
        let there = |rack: &Rack, supply| -> Vec<(f64, Option<u32>, BarFrom)> {
            let stocks = rack.stocks(&tube, supply).into_iter();
            stocks.map(|(stock, from)| (stock.length.mm(), stock.available, from)).collect()
        };
        let bought = vec![(6_000.0, None, BarFrom::New), (3_000.0, None, BarFrom::New)];
        let house = [(6_000.0, Some(1), BarFrom::House), (1_500.0, Some(1), BarFrom::Remnant)];
        assert_eq!(there(&rack, Supply::Counted), [bought.clone(), house.to_vec()].concat());
        rack.take(&cut(BarFrom::Remnant, 1_500.0, false));
        rack.take(&cut(BarFrom::House, 6_000.0, false));
        assert_eq!(there(&rack, Supply::Counted), bought);
        assert_eq!(there(&rack, Supply::Coming(NaiveDate::MIN)), bought);
    }
}
