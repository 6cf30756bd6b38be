//! Promise dates: against every sequence of all work on small shops; harm to nobody; what is
//! accepted is kept; and questions that have no answer.

use chrono::NaiveDate;
use elbowroom_bending::process::Process;
use elbowroom_engine::{Settings, Watch};
use elbowroom_planner::promise::{
    Answer, Inquiry, InquiryFault, Limit, PlanMisfit, Recompiled, Rehearsal, Standing,
};
use elbowroom_planner::{compile, plan_week};
use elbowroom_problem::{JobIdx, Problem};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::part::Part;
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::every_order::earliest_of_all;
use elbowroom_tests::trial_shop::{
    bend_die, cell, date, empty_shop, holders, order, part, request, trial_shop,
};
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::{recompute, verify};
use std::time::Duration;

/// No time passes: the budget of iterations decides.
struct Brief;

impl Watch for Brief {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }
    fn limit(&self) -> Duration {
        Duration::from_secs(60)
    }
    fn cancelled(&self) -> bool {
        false
    }
}

fn standing(shop: &Shop) -> Standing {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(300) };
    let planned = plan_week(shop, &request(), &settings, &Brief).expect("the shop can be planned");
    let recompiled = Recompiled::new(shop.clone(), request(), &planned.problem).expect("the same shop");
    recompiled.standing(planned.schedule.into_schedule()).expect("the plan stands")
}

fn inquiry(part: &str, quantity: u32) -> Inquiry {
    let id = "INQUIRY".to_owned();
    Inquiry { id, part: part.to_owned(), quantity, wanted: None, material: None, customer: None }
}

fn plain(id: &str) -> Part {
    Part { deburr: false, inspect: false, ..part(id) }
}

/// A saw and two draw benders that anybody changes over, with one die between them now and then;
/// two or three orders.
fn small_shop(seed: u64) -> Shop {
    let mut chance = Chance::new(seed);
    let mut shop = empty_shop();
    shop.cells = vec![cell("saw", WorkKind::Cut), cell("draw-1", WorkKind::Bend(Process::RotaryDraw))];
    shop.tools = vec![bend_die("BD-1")];
    if chance.yes(0.7) {
        shop.cells.push(cell("draw-2", WorkKind::Bend(Process::RotaryDraw)));
        if chance.yes(0.5) {
            shop.tools.push(bend_die("BD-2"));
        }
    }
    shop.cells.push(cell("wash", WorkKind::Wash));
    shop.tools.extend(holders(1));
    shop.tools.extend(holders(2));
    shop.parts = vec![plain("P"), plain("Q")];
    for number in 0..chance.from_to(1, 2) {
        let part = chance.one_of(&["P", "Q"]);
        let quantity = u32::try_from(chance.from_to(20, 300)).expect("a small number");
        let day = chance.from_to(7, 11);
        shop.orders.push(order(&format!("O-{number}"), part, quantity, &format!("2026-12-{day:02}")));
    }
    shop
}

/// The shop with the inquiry in its book, compiled; the inquiry is the last job.
fn with_inquiry(shop: &Shop, asked: &Inquiry) -> Problem {
    let mut shop = shop.clone();
    shop.orders.push(order(&asked.id, &asked.part, asked.quantity, "2027-03-01"));
    compile(&shop, &request()).expect("it can be made").problem
}

/// Each planned job that is on time must stay so; late ones may end whenever.
fn limits(standing: &Standing, problem: &Problem) -> Vec<Option<Minute>> {
    let planned = recompute(standing.problem(), standing.schedule().schedule()).completions;
    let due = |job: &elbowroom_problem::Job, end: Option<Minute>| {
        end.filter(|end| *end <= job.due).map(|_| job.due)
    };
    let mut limits: Vec<Option<Minute>> =
        standing.problem().jobs.iter().zip(planned).map(|(job, end)| due(job, end)).collect();
    limits.resize(problem.jobs.len(), None);
    limits
}

#[test]
fn no_date_is_sooner_than_the_earliest_of_all_sequences_nor_later_than_stated() {
    let (mut same, mut later) = (0, 0);
    for seed in 0..60 {
        let shop = small_shop(seed);
        let standing = standing(&shop);
        let asked =
            inquiry(if seed % 2 == 0 { "P" } else { "Q" }, 30 + 5 * u32::try_from(seed).expect("small"));
        let answer = standing.answer(&asked, 1).expect("there is a way");
        let problem = with_inquiry(&shop, &asked);
        let last = JobIdx::new(problem.jobs.len() - 1);
        let earliest = earliest_of_all(&problem, last, &limits(&standing, &problem)).expect("some sequence");
        let soonest = answer.offers.iter().map(|offer| offer.finish).min().expect("an offer");
        assert!(soonest >= earliest, "seed {seed}: {soonest} is promised, {earliest} is the earliest of all");
        for offer in &answer.offers {
            assert!(offer.not_before <= offer.date, "seed {seed}");
        }
        let bound = answer.offers.iter().map(|offer| offer.not_before).min().expect("an offer");
        let day = |minute: Minute| minute.get() / 1440;
        let stated = (bound - date("2026-12-07")).num_days();
        assert!(
            stated <= day(earliest) + 1,
            "seed {seed}: nothing is sooner than day {stated}, but {earliest} is"
        );
        if soonest == earliest { same += 1 } else { later += 1 }
    }
    assert!(same >= 45, "{same} at the earliest of all, {later} later");
}

/// A draw bender without its die, which is offered, beside a free-form bender; work for the saw.
fn shop_without_die() -> Shop {
    let mut shop = trial_shop();
    shop.terms.margin_percent = Some(25.0);
    shop.cells.retain(|cell| cell.id != "draw-2");
    let state = ToolState::Offered { price: Money::new(900.0), lead: Minutes::days(14), estimated: false };
    shop.tools.retain(|tool| tool.id != "BD");
    shop.tools.push(Tool { state, ..bend_die("BD") });
    shop.cells[4].run_rate = elbowroom_units::RatePerMinute::per_hour(240.0);
    shop.orders = vec![order("O-1", "P", 100, "2026-12-09"), order("O-2", "P", 60, "2026-12-11")];
    shop.orders.iter_mut().for_each(|order| order.part = "FREE".to_owned());
    shop.parts.push(Part { processes: Some(vec![Process::FreeForm]), ..part("FREE") });
    shop
}

#[test]
fn every_way_is_offered_with_and_without_the_die_and_split() {
    let answer = standing(&shop_without_die()).answer(&inquiry("P", 400), 2).expect("there are ways");
    let kinds: Vec<(usize, bool)> =
        answer.offers.iter().map(|offer| (offer.lots.len(), offer.buys_tools())).collect();
    assert!(kinds.contains(&(1, false)), "{kinds:?}");
    assert!(kinds.contains(&(1, true)), "{kinds:?}");
    assert!(kinds.contains(&(2, true)), "{kinds:?}");
    let with_die =
        answer.offers.iter().find(|offer| offer.lots.len() == 1 && offer.buys_tools()).expect("one");
    assert_eq!(with_die.cost.tools, Money::new(900.0));
    assert!(with_die.date >= date("2026-12-21"), "the die comes after two weeks: {}", with_die.date);
    assert_eq!(with_die.binding.limit, Limit::ToolArrival, "{}", with_die.binding.text);
    let split = answer.offers.iter().find(|offer| offer.lots.len() == 2).expect("a split");
    assert_eq!(split.lots.iter().map(|lot| lot.quantity).sum::<u32>(), 400);
    assert!(split.lots[0].date < split.lots[1].date);
    for offer in &answer.offers {
        let cost = &offer.cost;
        assert!(cost.total.same_as(cost.making + cost.tools + cost.others), "no tube price is listed");
        // A quarter on top of cost, 400 pieces: arithmetic.
        let price = cost.price_per_piece.expect("the shop has a margin");
        assert!(price.same_as(cost.total * (1.25 / 400.0)));
    }
}

#[test]
fn the_die_is_recommended_for_many_pieces_and_not_for_few() {
    let standing = standing(&shop_without_die());
    let few = standing.answer(&inquiry("P", 20), 1).expect("there are ways");
    assert!(!few.best().buys_tools(), "{}", few.reason);
    let many = Inquiry { wanted: Some(date("2027-01-29")), ..inquiry("P", 3000) };
    let many = standing.answer(&many, 1).expect("there are ways");
    assert!(many.best().buys_tools(), "{}", many.reason);
    assert!(many.reason.contains("cheaper"), "{}", many.reason);
}

#[test]
fn nobody_suffers_and_forcing_says_who_would() {
    let mut shop = shop_without_die();
    shop.orders = (0..4).map(|at| order(&format!("O-{at}"), "FREE", 500, "2026-12-07")).collect();
    for (at, order) in shop.orders.iter_mut().enumerate() {
        order.promised = date("2026-12-07") + chrono::Days::new(at as u64 + 1);
    }
    let standing = standing(&shop);
    let before = recompute(standing.problem(), standing.schedule().schedule()).completions;
    let answer = standing.answer(&inquiry("P", 60), 1).expect("there are ways");
    for offer in &answer.offers {
        let next = standing.accept(offer, standing.orders_of(&answer, offer)).expect("it was offered");
        let problem = next.problem();
        let after = recompute(problem, next.schedule().schedule()).completions;
        assert!(verify(problem, next.schedule().schedule().clone()).is_ok());
        for (job, ends) in problem.jobs.iter().zip(before.iter().zip(&after)) {
            let (was, is) = (ends.0.expect("planned"), ends.1.expect("planned"));
            assert!(is <= job.due.max(was), "`{}` ended {was}, would end {is}, due {}", job.id, job.due);
        }
    }
    let forced = answer.offers.iter().find_map(|offer| Some((offer, offer.forced.as_ref()?)));
    let (offer, forced) = forced.expect("the free-form bender is full, so going first gains days");
    assert!(forced.date < offer.date);
    assert!(!forced.harms.is_empty());
    assert!(forced.harms.iter().all(|harm| harm.becomes_late > harm.was_late));
    assert!(forced.extra_cost > Money::ZERO);
}

#[test]
fn what_is_accepted_is_in_the_way_of_the_next() {
    let shop = shop_without_die();
    let standing = standing(&shop);
    let mut asked = inquiry("FREE", 200);
    let first = standing.answer(&asked, 1).expect("a way");
    let orders = standing.orders_of(&first, first.best());
    let next = standing.accept(first.best(), orders.clone()).expect("it was offered");
    assert_eq!(next.finish("INQUIRY"), Some(first.best().finish));
    let again = next.answer(&asked, 1).expect_err("the id is taken");
    assert_eq!(again, InquiryFault::TakenId { id: "INQUIRY".to_owned() });
    asked.id = "NEXT".to_owned();
    let second = next.answer(&asked, 1).expect("a way");
    assert!(second.best().finish > first.best().finish);
    // The plan was made before the order was booked: it is fitted in when the plan is read again.
    let mut booked = shop.clone();
    booked.orders.extend(orders);
    let recompiled = Recompiled::new(booked, request(), standing.problem()).expect("the shop has all");
    let read = recompiled.standing(standing.schedule().schedule().clone()).expect("the plan still stands");
    assert_eq!(read.fitted(), ["INQUIRY"]);
    assert!(read.finish("INQUIRY").expect("fitted in") <= first.best().finish);
}

/// The date worth telling, where a late day costs 60: the critical fractile (worked example in
/// `planner::tooling::worth`) is 3/4 where waiting costs 15 a day, and 1/12 where it costs 55.
#[test]
fn the_date_to_tell_is_kept_as_often_as_it_is_worth() {
    let mut shop = shop_without_die();
    let rehearsal = Rehearsal { runs: 400, seed: 1, threads: 1 };
    let sure = |shop: &Shop, wanted: Option<NaiveDate>| {
        let standing = standing(shop);
        let asked = Inquiry { wanted, ..inquiry("FREE", 200) };
        let mut answer = standing.answer(&asked, 1).expect("a way");
        let sure = standing.how_sure(&answer, answer.best(), &rehearsal).expect("an offer of this plan");
        let at = answer.recommended;
        answer.offers[at].advised = sure.advised;
        let booked = standing.orders_of(&answer, answer.best())[0].promised;
        (answer.best().date, sure, booked)
    };
    let (soonest, plain, booked) = sure(&shop, None);
    assert_eq!((plain.advised, booked), (None, soonest), "nobody has said what waiting costs");
    shop.terms.later_promise_cost_per_day = Some(Money::new(15.0));
    let (soonest, patient, booked) = sure(&shop, None);
    let told = patient.advised.expect("the shop says what waiting costs");
    assert!((told.worth - 0.75).abs() < 1e-12 && told.kept >= 0.75, "{told:?}");
    assert!(told.date >= soonest && told.date <= patient.kept.in_80.max(soonest), "{told:?}");
    assert_eq!(booked, told.date, "what the customer is told is what is booked");
    shop.terms.later_promise_cost_per_day = Some(Money::new(55.0));
    let hasty = sure(&shop, None).1.advised.expect("as before");
    assert!(hasty.date <= told.date && (hasty.worth - 1.0 / 12.0).abs() < 1e-12, "{hasty:?}");
    let far = date("2027-03-01");
    assert_eq!(sure(&shop, Some(far)).1.advised.expect("as before").date, far, "it is wanted no sooner");
}

fn same(a: &Answer, b: &Answer) -> bool {
    let view = |answer: &Answer| -> Vec<_> {
        answer.offers.iter().map(|offer| (offer.lots.clone(), offer.cost, offer.forced.clone())).collect()
    };
    view(a) == view(b) && a.reason == b.reason
}

#[test]
fn threads_change_nothing() {
    let standing = standing(&shop_without_die());
    let asked = inquiry("P", 150);
    let one = standing.answer(&asked, 1).expect("a way");
    let three = standing.answer(&asked, 3).expect("a way");
    assert!(same(&one, &three));
}

#[test]
fn tube_that_is_not_on_hand_is_waited_for() {
    let mut shop = shop_without_die();
    shop.tubes[0].on_hand = Some(elbowroom_units::Mm::new(100_000.0));
    shop.tubes[0].lead = Some(Minutes::days(7));
    shop.tubes[0].price_per_metre = Some(Money::new(4.0));
    let standing = standing(&shop);
    let little = standing.answer(&inquiry("FREE", 20), 1).expect("a way");
    assert_eq!(little.inquiry.material, None);
    let much = standing.answer(&inquiry("FREE", 200), 1).expect("a way");
    assert_eq!(much.inquiry.material, Some(date("2026-12-14")));
    assert!(much.best().date >= date("2026-12-14"));
    assert_eq!(much.best().binding.limit, Limit::Material, "{}", much.best().binding.text);
    assert!(much.best().cost.tube.expect("it has a price") > Money::new(200.0 * 4.0));
}

#[test]
fn questions_without_an_answer_say_why() {
    let mut shop = shop_without_die();
    shop.parts.push(Part { processes: Some(vec![Process::ThreeRoll]), ..part("NOBODY") });
    let standing = standing(&shop);
    let fault = |asked: Inquiry| standing.answer(&asked, 1).expect_err("there is no answer");
    assert_eq!(fault(inquiry("P", 0)), InquiryFault::NoPieces);
    assert!(matches!(fault(inquiry("P", u32::MAX)), InquiryFault::TooMany { .. }));
    assert_eq!(fault(inquiry("X", 1)), InquiryFault::UnknownPart { part: "X".to_owned() });
    let past = Inquiry { wanted: Some(date("2026-12-06")), ..inquiry("P", 1) };
    assert!(fault(past).to_string().contains("2026-12-06"));
    let nobody = fault(inquiry("NOBODY", 5));
    assert!(matches!(&nobody, InquiryFault::CannotBeMade { reasons, .. } if !reasons.is_empty()), "{nobody}");
    assert!(nobody.remedy().contains("comes nearest"), "{}", nobody.remedy());
}

#[test]
fn a_plan_of_another_shop_does_not_stand() {
    let shop = shop_without_die();
    let standing = standing(&shop);
    let schedule = standing.schedule().schedule().clone();
    let mut slower = shop.clone();
    slower.cells.iter_mut().for_each(|cell| cell.speed_factor = 0.5);
    let recompiled = Recompiled::new(slower, request(), standing.problem()).expect("the same orders");
    assert!(matches!(recompiled.standing(schedule), Err(PlanMisfit::Broken { .. })));
    let mut fewer = shop.clone();
    fewer.orders.remove(0);
    let gone = Recompiled::new(fewer, request(), standing.problem()).expect_err("an order is gone");
    assert_eq!(gone, PlanMisfit::Gone { orders: vec!["O-1".to_owned()] });
}
