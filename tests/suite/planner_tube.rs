//! Tube to cut and to buy: what a small plan needs, against lengths divided by hand.

use elbowroom_bending::blank::Sawing;
use elbowroom_engine::{Settings, Watch};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::plan_week;
use elbowroom_planner::tube::{BarFrom, Supply, TubeDay};
use elbowroom_shop::Shop;
use elbowroom_shop::underway::Underway;
use elbowroom_tests::trial_shop::{date, order, part_with_radius, request, trial_shop};
use elbowroom_units::{Minutes, Mm, Money};
use std::time::{Duration, Instant};

struct Guard(Instant);

impl Watch for Guard {
    fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }
    fn limit(&self) -> Duration {
        Duration::from_secs(20)
    }
    fn cancelled(&self) -> bool {
        false
    }
}

fn planned(shop: &Shop) -> Plan {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(200) };
    plan_week(shop, &request(), &settings, &Guard(Instant::now())).expect("it can be planned").plan
}

/// The trial shop with one order of 40 pieces.
fn shop() -> Shop {
    let mut shop = trial_shop();
    shop.orders = vec![order("O-1", "P", 40, "2026-12-11")];
    shop
}

/// Bars for all pieces started, by dividing: bars of 6 m, 20 mm of them lost, cuts of 3 mm. The saw
/// is set in tenths of a millimetre.
fn bars_by_division(plan: &Plan) -> u32 {
    let sawing =
        Sawing { bar: Mm::new(6000.0), front_trim: Mm::new(20.0), kerf: Mm::new(3.0), cut_after_last: false };
    let blank = plan.orders[0].blank.expect("it is bent in this plan");
    let task = plan.cells.iter().flat_map(|cell| &cell.tasks).find(|task| task.step == "cut");
    let pieces = task.expect("it is cut in this plan").start_quantity;
    sawing.bars(Mm::new((blank.mm() * 10.0).ceil() / 10.0), pieces).expect("a bar holds a piece")
}

#[test]
fn bars_that_nobody_counts_are_all_listed() {
    let mut shop = shop();
    shop.tubes[0].price_per_metre = Some(Money::new(2.5));
    let plan = planned(&shop);
    let [buy] = plan.tube.buys.as_slice() else { panic!("one purchase, not {:?}", plan.tube.buys) };
    assert_eq!((buy.tube.as_str(), buy.counted, buy.bar), ("T-36", false, Mm::new(6000.0)));
    assert_eq!(buy.bars, bars_by_division(&plan));
    assert_eq!(buy.price, Some(Money::new(2.5 * 6.0 * f64::from(buy.bars))));
    assert_eq!((buy.order_by, buy.too_late), (None, None), "no lead time is known");
    let [day] = plan.tube.days.as_slice() else { panic!("one day, not {:?}", plan.tube.days) };
    assert_eq!((day.day, day.supply), (date("2026-12-07"), Supply::NotCounted));
    assert!(day.gap.abs() < 1e-9, "equal blanks are cut with the fewest bars");
}

#[test]
fn bars_in_the_house_go_first() {
    let mut shop = shop();
    shop.tubes[0].on_hand = Some(Mm::new(12_500.0));
    let plan = planned(&shop);
    assert_eq!(plan.tube.buys[0].bars, bars_by_division(&plan) - 2, "12.5 m are two bars");
    let house = plan.tube.days[0].cuts.iter().filter(|cut| cut.from == BarFrom::House);
    assert_eq!(house.map(|cut| cut.bars).sum::<u32>(), 2);
    shop.tubes[0].on_hand = Some(Mm::new(600_000.0));
    assert_eq!(planned(&shop).tube.buys, Vec::new());
}

/// Cut on Monday at 06:00: a lead of 2 days from the plan's first day ends on Wednesday at 07:00, the
/// hour at which the shop receives.
#[test]
fn what_comes_too_late_says_when_it_would_come() {
    let mut shop = shop();
    shop.tubes[0].on_hand = Some(Mm::ZERO);
    shop.tubes[0].lead = Some(Minutes::days(2));
    let plan = planned(&shop);
    let buy = &plan.tube.buys[0];
    assert_eq!(buy.order_by, Some(plan.start));
    assert_eq!(buy.too_late, Some(plan.clock.parse("2026-12-09T07:00").expect("a moment")));
}

/// Two orders of one part, the second released on Thursday by its own tube: that is not bought.
#[test]
fn tube_that_comes_with_its_order_is_not_bought() {
    let mut shop = shop();
    shop.tubes[0].on_hand = Some(Mm::new(600_000.0));
    shop.orders[0].material = Some(date("2026-12-10"));
    let plan = planned(&shop);
    assert_eq!(plan.tube.buys, Vec::new());
    assert_eq!(plan.tube.days[0].supply, Supply::Coming(date("2026-12-10")));
    assert!(plan.tube.days[0].cuts.iter().all(|cut| cut.from == BarFrom::New), "the house's bars stay");
    let bars: u32 = plan.tube.days[0].cuts.iter().map(|cut| cut.bars).sum();
    assert_eq!(bars, bars_by_division(&plan));
}

#[test]
fn what_no_bar_holds_is_said_and_what_is_cut_needs_nothing() {
    let mut shop = shop();
    shop.tubes[0].stock_length = Mm::new(1_000.0);
    let plan = planned(&shop);
    let too_long = &plan.tube.days[0].too_long;
    assert_eq!(too_long.len(), 1);
    assert!(too_long[0].1.contains("longer than the 980 mm"), "{too_long:?}");
    shop.tubes[0].other_lengths = vec![Mm::new(3_000.0)];
    let plan = planned(&shop);
    assert!(plan.tube.days[0].too_long.is_empty());
    assert!(plan.tube.buys.iter().all(|buy| buy.bar == Mm::new(3_000.0)), "{:?}", plan.tube.buys);
    shop.underway = vec![Underway { order: "O-1".to_owned(), done: vec!["cut".to_owned()], running: None }];
    assert_eq!(planned(&shop).tube.days, Vec::new());
}

#[test]
fn every_blank_started_is_cut_and_no_other() {
    let mut shop = shop();
    shop.parts.push(part_with_radius("Q", 144.0));
    shop.tubes[0].on_hand = Some(Mm::new(18_000.0));
    shop.orders.push(order("O-2", "Q", 13, "2026-12-11"));
    shop.orders.push(order("O-3", "P", 7, "2026-12-11"));
    shop.orders[2].material = Some(date("2026-12-09"));
    let plan = planned(&shop);
    let blanks: u32 = plan.tube.days.iter().map(TubeDay::blanks).sum();
    let started = plan.cells.iter().flat_map(|cell| &cell.tasks).filter(|task| task.step == "cut");
    assert_eq!(blanks, started.map(|task| task.start_quantity).sum::<u32>());
    for day in &plan.tube.days {
        assert!((0.5..=1.0).contains(&day.share_used()), "{day:?}");
    }
}
