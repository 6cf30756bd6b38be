//! How sure dates are: the shop's facts reach the right operations, and moments become dates.

use elbowroom_planner::confidence::{DatesKept, chances, date_kept};
use elbowroom_planner::{Compiled, Request, compile};
use elbowroom_problem::{OptionIdx, Placement, Schedule};
use elbowroom_rehearsal::{Delay, Finishes, Spread, Uncertainty};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::rack::ToolState;
use elbowroom_tests::trial_shop::{date, order, trial_shop, zinc};
use elbowroom_units::{Minute, Minutes, Money};

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
