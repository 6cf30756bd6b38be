//! A new plan after something has happened: the frozen zone and the price of moving. What is impossible is
//! judged by the verifier, which shares nothing with the planner; times of the trial shop are worked out by
//! hand.

use elbowroom_planner::{Planned, Presumed, Replanned, plan_week, plan_week_near, replan_week};
use elbowroom_shop::notice::{Change, Days};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_tests::replans::{frozen, heeding, name, near, on, runs_of, settings};
use elbowroom_tests::trial_shop::{date, order, trial_shop, zinc};
use elbowroom_tests::watches::Unhurried;
use elbowroom_units::{Minute, Minutes, Money};
use std::collections::{BTreeMap, BTreeSet};

/// Eight orders of 40 pieces; the saw takes each some 25 minutes.
fn busy_shop() -> Shop {
    let mut shop = trial_shop();
    shop.orders = (1..=8).map(|n| order(&format!("O-{n}"), "P", 40, "2026-12-09")).collect();
    shop
}

fn again(shop: &Shop, first: &Planned, steady: &Steadiness) -> Replanned {
    let near = near(first, Minutes::ZERO);
    replan_week(shop, &on("2026-12-07"), &settings(300), &Unhurried, near, steady).expect("there is a plan")
}

/// Order and step of everything that begins before a minute.
fn begun_before(planned: &Planned, until: Minute) -> Vec<(String, String)> {
    let placed = planned.schedule.schedule().operations.iter();
    let before = placed.filter(|placed| placed.setup_start < until);
    before.map(|placed| name(&planned.problem, placed.option)).collect()
}

#[test]
fn what_begins_within_the_frozen_zone_stands_when_a_rush_order_comes() {
    let shop = busy_shop();
    let first = plan_week(&shop, &on("2026-12-07"), &settings(500), &Unhurried).expect("there is a plan");
    let mut rush = order("X-1", "P", 20, "2026-12-07");
    rush.late_cost_per_day = Some(Money::new(5_000.0));
    let hurried = heeding(&shop, Change::Order(rush), "");
    let then = again(&hurried, &first, &frozen(8));
    // The shift is from 06:00 to 14:00: eight hours from its beginning are all of Monday.
    assert_eq!(then.kept.frozen_until, Some(Minute::new(14 * 60)));
    assert!(then.kept.thawed.is_empty(), "{:?}", then.kept.thawed);
    let (was, is) = (runs_of(&first), runs_of(&then.planned));
    let monday = begun_before(&first, Minute::new(14 * 60));
    assert_eq!(then.kept.frozen, monday.len());
    monday.iter().for_each(|step| assert_eq!(was[step], is[step], "{step:?}"));
    assert_eq!(then.planned.plan.lower_bound, None, "it would be one for what is not frozen only");
    // Without the zone the order in a hurry goes first.
    let free = again(&hurried, &first, &Steadiness::default());
    let (standing, free_is) = (finishes(&then.planned), finishes(&free.planned));
    assert!(free_is["X-1"] <= standing["X-1"], "the zone keeps the order in a hurry back, if anything");
    assert_eq!((free.kept.frozen_until, free.kept.frozen), (None, 0));
}

#[test]
fn what_cannot_stand_is_named_with_its_reason() {
    let shop = busy_shop();
    let first = plan_week(&shop, &on("2026-12-07"), &settings(500), &Unhurried).expect("there is a plan");
    let days = Days::one(date("2026-12-07"));
    let down = Change::Down { cell: "saw".to_owned(), days, hours: None };
    let then = again(&heeding(&shop, down, "motor"), &first, &frozen(4));
    let cuts = then.kept.thawed.iter().filter(|thawed| thawed.step == "cut");
    let whys: BTreeSet<&str> = cuts.map(|thawed| thawed.why.as_str()).collect();
    assert!(whys.iter().all(|why| why.starts_with("saw is closed at Mon 2026-12-07 ")), "{whys:?}");
    assert!(whys.iter().all(|why| why.ends_with("(motor)")), "{whys:?}");
    let later = then.kept.thawed.iter().find(|thawed| thawed.step == "deburr").expect("it follows a cut");
    assert_eq!(later.why, "cut before it cannot stand");
    let clock = &then.planned.plan.clock;
    let said = then.kept.sentences(clock, &shop.terms);
    assert!(said[0].starts_with("frozen until Mon 2026-12-07 10:00: 0 steps stand"), "{said:?}");
    assert!(said[1].contains("cut on saw, Mon 2026-12-07 06:"), "{said:?}");
    assert!(said[1].contains(", could not stand: saw is closed at "), "{said:?}");
    // A tube that comes on Wednesday takes only its own order out of the zone.
    let runs = runs_of(&first);
    let cuts = runs.iter().filter(|((_, step), _)| step == "cut");
    let step = cuts.min_by_key(|(_, run)| run.1).expect("there is a first cut").0;
    let tube = Change::Tube { order: step.0.clone(), arrives: date("2026-12-09") };
    let then = again(&heeding(&shop, tube, ""), &first, &frozen(4));
    assert!(then.kept.thawed.iter().all(|thawed| thawed.order == step.0), "{:?}", then.kept.thawed);
    assert_eq!(then.kept.thawed[0].why, "its tube is in the house only from Wed 2026-12-09 07:00");
}

/// Pieces that were scrapped or called off, or times that were measured, change how long a run takes.
#[test]
fn a_run_that_takes_another_time_begins_when_it_did() {
    let shop = busy_shop();
    let first = plan_week(&shop, &on("2026-12-07"), &settings(500), &Unhurried).expect("there is a plan");
    let was = runs_of(&first);
    let cuts = was.iter().filter(|((_, step), _)| step == "cut");
    let ((order, _), run) = cuts.min_by_key(|(_, run)| run.1).expect("there is a first cut");
    let cut = (order.clone(), "cut".to_owned());
    let of = |quantity: u32| {
        let mut changed = shop.clone();
        let found = changed.orders.iter_mut().find(|one| one.id == *order).expect("it is in the book");
        found.quantity = quantity;
        again(&changed, &first, &frozen(8))
    };
    let fewer = of(30);
    assert!(fewer.kept.thawed.is_empty(), "{:?}", fewer.kept.thawed);
    let is = runs_of(&fewer.planned);
    assert!((is[&cut].1, is[&cut].2 < run.2) == (run.1, true), "{:?} was {run:?}", is[&cut]);
    let monday = begun_before(&first, Minute::new(14 * 60));
    monday
        .iter()
        .for_each(|step| assert_eq!((&was[step].0, was[step].1), (&is[step].0, is[step].1), "{step:?}"));
    monday.iter().filter(|step| step.0 != *order).for_each(|step| assert_eq!(was[step], is[step]));
    // With more pieces it begins when it did; what it runs into is named.
    let more = of(60);
    let is = runs_of(&more.planned);
    assert!((is[&cut].1, is[&cut].2 > run.2) == (run.1, true), "{:?} was {run:?}", is[&cut]);
    assert!(more.kept.thawed.iter().all(|thawed| (&thawed.order, thawed.step.as_str()) != (order, "cut")));
    let named = more.kept.thawed.iter().any(|thawed| thawed.why == "saw is not free then");
    assert!(named, "{:?}", more.kept.thawed);
}

/// What is taken as sent out is work under way with its vendor, and named.
#[test]
fn what_is_taken_as_sent_out_stands_and_is_named() {
    let mut shop = trial_shop();
    shop.vendors.push(zinc("Zinc"));
    shop.parts[0].outside = vec!["zinc".to_owned()];
    shop.orders = vec![order("O-1", "P", 40, "2026-12-11"), order("O-2", "P", 40, "2026-12-14")];
    let first = plan_week(&shop, &on("2026-12-07"), &settings(100), &Unhurried).expect("there is a plan");
    let done = ["cut", "deburr", "bend"].map(str::to_owned).to_vec();
    let remaining = Minutes::new(1_000);
    let out = RunningStep { step: "zinc".to_owned(), cell: "Zinc".to_owned(), remaining, presumed: true };
    shop.underway = vec![Underway { order: "O-1".to_owned(), done, running: Some(out) }];
    let then = again(&shop, &first, &frozen(8));
    let zinc = ("O-1".to_owned(), "zinc".to_owned());
    assert_eq!(runs_of(&then.planned)[&zinc], (None, Minute::ZERO, Minute::new(1_000)));
    let sent = Presumed { order: "O-1".to_owned(), step: "zinc".to_owned(), vendor: "Zinc".to_owned() };
    assert_eq!(then.kept.presumed, [sent]);
    let said = then.kept.sentences(&then.planned.plan.clock, &shop.terms);
    let named = said.iter().any(|one| one.contains("as nothing is reported: O-1 zinc (Zinc) ("));
    assert!(named, "{said:?}");
}

fn cost(planned: &Planned) -> f64 {
    planned.schedule.figures().objective
}

#[test]
fn without_a_price_the_plan_is_the_plain_one_and_with_a_high_one_nothing_announced_moves() {
    let shop = busy_shop();
    let first = plan_week(&shop, &on("2026-12-07"), &settings(500), &Unhurried).expect("there is a plan");
    let mut rush = order("X-1", "P", 60, "2026-12-07");
    rush.late_cost_per_day = Some(Money::new(900.0));
    let hurried = heeding(&shop, Change::Order(rush), "");
    let plain =
        plan_week_near(&hurried, &on("2026-12-07"), &settings(300), &Unhurried, near(&first, Minutes::ZERO));
    let plain = plain.expect("there is a plan");
    let by = Minutes::new(30);
    let steady = |price: f64| Steadiness { move_cost: Money::new(price), moved_by: by, ..frozen(0) };
    let free = again(&hurried, &first, &steady(0.0));
    assert_eq!(free.planned.schedule, plain.schedule);
    assert_eq!((free.kept.announced, free.kept.freely), (8, None));
    assert!(free.kept.moved > 0, "the order in a hurry pushes others away");
    let dear = again(&hurried, &first, &steady(1e6));
    assert_eq!(dear.kept.moved, 0);
    let (was, is) = (finishes(&first), finishes(&dear.planned));
    let near = |a: Minute, b: Minute| a.until(b) <= by && b.until(a) <= by;
    was.iter().for_each(|(order, finish)| assert!(near(*finish, is[order]), "{order}"));
    let (saved, moves) = dear.kept.freely.expect("moving freely costs less");
    assert!(saved > Money::ZERO && moves > 0, "{saved} {moves}");
    // Between them the sum of cost and moves is never above that of either.
    for price in [1.0, 20.0, 100.0, 400.0] {
        let then = again(&hurried, &first, &steady(price));
        let sum = |replanned: &Replanned| cost(&replanned.planned) + price * replanned.kept.moved as f64;
        assert!(sum(&then) <= sum(&free).min(sum(&dear)) * (1.0 + 1e-9), "price {price}");
    }
}

fn finishes(planned: &Planned) -> BTreeMap<String, Minute> {
    planned.plan.orders.iter().map(|order| (order.id.clone(), order.finish)).collect()
}
