//! How sure dates are: the shop's facts reach the right operations, and moments become dates.

use elbowroom_bending::process::Process;
use elbowroom_engine::Watch;
use elbowroom_planner::confidence::{Asked, assess, chances, date_kept};
use elbowroom_planner::plan::{DatesKept, RemedyKind};
use elbowroom_planner::{Compiled, Planned, Request, compile, plan_week};
use elbowroom_problem::{OptionIdx, Placement, Schedule};
use elbowroom_rehearsal::{Delay, Finishes, Spread, Uncertainty};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::rack::ToolState;
use elbowroom_tests::trial_shop::{date, order, trial_shop, zinc};
use elbowroom_units::{Minute, Minutes, Money};
use std::time::Duration;

/// Monday.
const START: &str = "2026-12-07";

fn compiled(shop: &Shop) -> Compiled {
    compile(shop, &Request { start: date(START), weeks: 1 }).expect("it can be planned")
}

/// What is uncertain about the first option of everything on every job's first route.
fn of_first_options(shop: &Shop, compiled: &Compiled) -> (Schedule, Uncertainty) {
    let mut schedule = Schedule::default();
    for (at, job) in compiled.problem.jobs.iter().enumerate() {
        for operation in 0..job.routes[0].operations.len() {
            let option =
                OptionIdx { job: elbowroom_problem::JobIdx::new(at), route: 0, operation, option: 0 };
            let at = Minute::ZERO;
            schedule.operations.push(Placement { option, setup_start: at, run_start: at, end: at });
        }
    }
    let found = chances(shop, &compiled.key, &compiled.problem, &schedule);
    (schedule, found)
}

#[test]
fn every_step_has_the_spread_of_its_kind_of_work() {
    let mut shop = trial_shop();
    shop.parts[0].outside = vec!["zinc".to_owned()];
    shop.vendors = vec![zinc("Z")];
    shop.orders = vec![order("O", "P", 100, "2026-12-18")];
    shop.uncertainty.cut.run_cv = 0.01;
    shop.uncertainty.bend[0].run_cv = 0.02;
    shop.uncertainty.bend[0].scrap_percent = 3.0;
    shop.uncertainty.wash.between_failures = Minutes::ZERO;
    let compiled = compiled(&shop);
    let (schedule, found) = of_first_options(&shop, &compiled);
    let step = |name: &str| {
        let at = schedule
            .operations
            .iter()
            .position(|placed| compiled.problem.operation(placed.option).id == name);
        &found.work[at.expect("the part has this step")]
    };
    assert_eq!(step("cut").run, Spread::lognormal(0.01));
    assert_eq!(step("cut").setup, Spread::lognormal(0.3));
    assert_eq!(step("bend").run, Spread::lognormal(0.02));
    assert_eq!(step("zinc").run, Spread::lognormal(0.2), "of the vendor's time");
    let scrap = step("bend").scrap.expect("bent pieces can be spoilt");
    let setup_pieces = shop.rules.times.rotary_draw.start_mandrel.setup_pieces;
    assert_eq!(scrap.share, 0.03);
    assert_eq!(scrap.spare, scrap.pieces - 100 - setup_pieces);
    let breaks: Vec<bool> = found.cells.iter().map(Option::is_some).collect();
    assert_eq!(breaks, [true, true, true, true, true, false, true], "the washer is the last but one");
}

#[test]
fn only_what_is_to_come_can_come_late() {
    let mut shop = trial_shop();
    shop.orders = vec![order("A", "P", 10, "2026-12-18"), order("B", "P", 10, "2026-12-18")];
    shop.orders[1].material = Some(date("2026-12-09"));
    shop.tools[0].state = ToolState::OnOrder { arrives: date("2026-12-08") };
    let compiled = compiled(&shop);
    let (_, found) = of_first_options(&shop, &compiled);
    let late = Delay { probability: 0.1, mean: Minutes::days(2) };
    assert_eq!(found.releases, [Delay::NEVER, late]);
    let of_tool = |id: &str| {
        let at = compiled.problem.tools.iter().position(|tool| tool.id == id);
        found.tools[at.expect("the problem has this tool")]
    };
    assert_eq!(of_tool("BD"), Delay { probability: 0.3, mean: Minutes::days(7) });
    assert_eq!(of_tool("CD-1"), Delay::NEVER);
}

#[test]
fn an_offered_tool_can_come_late() {
    let mut shop = trial_shop();
    shop.orders = vec![order("A", "P", 10, "2026-12-18")];
    let (price, lead) = (Money::new(100.0), Minutes::days(7));
    shop.tools[0].state = ToolState::Offered { price, lead, estimated: false };
    let compiled = compiled(&shop);
    let (_, found) = of_first_options(&shop, &compiled);
    let at = compiled.problem.tools.iter().position(|tool| tool.id == "BD").expect("it is in the problem");
    assert_eq!(found.tools[at].probability, 0.3);
}

#[test]
fn a_date_is_kept_by_finishing_before_the_shop_ships() {
    let shop = trial_shop();
    let clock = PlanClock::new(shop.terms.time_zone, date(START));
    let ship_by = clock.minute(date("2026-12-09"), shop.terms.ship_by);
    let check = |minutes: i64, expected: &str| {
        let finish = ship_by + Minutes::new(minutes);
        assert_eq!(date_kept(finish, &shop.terms, &clock), date(expected), "{minutes}");
    };
    check(0, "2026-12-09");
    check(-60, "2026-12-09");
    check(1, "2026-12-10");
    let finishes = (0..100).map(|day| ship_by + Minutes::days(day)).collect();
    let dates = DatesKept::new(&Finishes::new(finishes), &shop.terms, &clock);
    assert_eq!(dates.in_50, date("2026-12-09") + chrono::Days::new(49));
    assert_eq!(dates.in_80, date("2026-12-09") + chrono::Days::new(79));
    assert_eq!(dates.in_95, date("2026-12-09") + chrono::Days::new(94));
}

/// A watch without a clock: the budget of search steps ends the solve.
struct Unhurried;

impl Watch for Unhurried {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(3600)
    }

    fn cancelled(&self) -> bool {
        false
    }
}

fn planned(shop: &Shop) -> Planned {
    let settings = elbowroom_engine::Settings { threads: 1, seed: 1, iterations: Some(200) };
    let request = Request { start: date(START), weeks: 1 };
    plan_week(shop, &request, &settings, &Unhurried).expect("the shop can be planned")
}

const ASKED: Asked = Asked { runs: 800, seed: 1, threads: 2, remedied: 3 };

/// One order, bent on the one free-form cell, promised for the Monday after the plan's week.
fn one_order(quantity: u32) -> Shop {
    let mut shop = trial_shop();
    shop.parts[0].processes = Some(vec![Process::FreeForm]);
    shop.orders = vec![order("O", "P", quantity, "2026-12-14")];
    shop
}

/// The smallest lot, in tens, that is late: done the next morning.
fn slightly_late() -> (Shop, Planned) {
    let lots = (80..95).map(|tens| one_order(10 * tens));
    let tried = lots.map(|shop| (planned(&shop), shop)).find(|(planned, _)| planned.plan.orders[0].is_late());
    let (planned, shop) = tried.expect("some lot is too large");
    assert!(planned.plan.orders[0].lateness() < Minutes::days(1), "{:?}", planned.plan.orders[0]);
    (shop, planned)
}

#[test]
fn a_saturday_shift_that_keeps_a_late_promise_is_found_with_its_cost() {
    let (mut shop, planned) = slightly_late();
    // Only the lot's own length is at stake.
    shop.uncertainty.bend[3].between_failures = Minutes::ZERO;
    shop.uncertainty.bend[3].run_cv = 0.01;
    let sure = assess(&shop, &planned, &ASKED, &Unhurried);
    let risk = &sure.risks[0];
    assert_eq!((risk.order.as_str(), risk.late_in_plan), ("O", planned.plan.orders[0].lateness()));
    assert!(risk.kept < 0.5 && risk.all_tried, "{risk:?}");
    let shift = risk.remedies.iter().find(|remedy| remedy.kind == RemedyKind::Overtime).expect("it helps");
    assert!(shift.cures && shift.kept > 0.8, "{shift:?}");
    assert_eq!(shift.text, "Saturday shift on 2026-12-12, 06:00 to 12:00, on free");
    assert!(shift.finish <= planned.plan.orders[0].due);
    // Six hours at 60 and half as much again, less the money for being late that is saved.
    let expected = Money::new(540.0) - planned.plan.orders[0].late_cost;
    assert!(shift.cost.same_as(expected), "{} against {expected}", shift.cost);
}

#[test]
fn what_is_easily_kept_is_not_at_risk() {
    let shop = one_order(20);
    let sure = assess(&shop, &planned(&shop), &ASKED, &Unhurried);
    assert!(sure.risks.is_empty(), "{:?}", sure.risks);
    let [only] = &sure.orders[..] else { panic!("one order") };
    assert!(only.kept > 0.99 && only.dates.in_95 <= date("2026-12-14"), "{only:?}");
    assert!(only.dates.in_50 <= only.dates.in_80 && only.dates.in_80 <= only.dates.in_95);
    assert!(sure.cells.iter().all(|cell| cell.week == (2026, 50) && cell.out_of_time < 0.05));
}

#[test]
fn the_same_seed_gives_the_same_answer_at_any_number_of_threads() {
    let (shop, planned) = slightly_late();
    let with = |threads| format!("{:?}", assess(&shop, &planned, &Asked { threads, ..ASKED }, &Unhurried));
    assert_eq!(with(1), with(3));
}
