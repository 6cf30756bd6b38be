//! From shop to plan: random small shops planned and read back, and a week worked out by hand.

use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_engine::{Settings, Watch};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::{PlanError, Planned, plan_week};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::Part;
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_tests::trial_shop::{
    CLR, OD, bend_die, cell, crew, date, draw, empty_shop, holders, order, part, part_with_radius, request,
    ring, trial_shop, zinc,
};
use elbowroom_units::{Minute, Minutes, Mm, Money, RatePerMinute};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::time::{Duration, Instant};

/// Stops after some seconds; tests set iterations, so it only guards against hanging.
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

fn planned(shop: &Shop) -> Result<Planned, PlanError> {
    let settings = Settings { threads: 1, seed: 1, iterations: Some(300) };
    plan_week(shop, &request(), &settings, &Guard(Instant::now()))
}

/// Two orders for one bender on which the die of the cheaper one is mounted, both in time in either
/// order: the cheapest plan begins with that one and saves a changeover. A shop that wants three days to
/// spare makes the dear one first: what is missing for it weighs more than a changeover.
#[test]
fn time_to_spare_is_bought_where_it_is_worth_it() {
    let mut shop = empty_shop();
    shop.cells = vec![
        cell("saw", WorkKind::Cut),
        cell("draw", WorkKind::Bend(Process::RotaryDraw)),
        cell("wash", WorkKind::Wash),
    ];
    let other = 1.5 * CLR;
    let die = |id: &str, clr: f64| Tool {
        spec: ToolSpec::with_radius(ToolKind::BendDie, Mm::new(OD), Mm::new(clr)),
        ..bend_die(id)
    };
    shop.tools = vec![bend_die("BD-P"), die("BD-Q", other)];
    shop.tools.extend(holders(1));
    shop.cells[1].mounted = ["BD-P", "CD-1", "PD-1", "CO-1"].map(str::to_owned).to_vec();
    let plain = |part: Part| Part { deburr: false, inspect: false, ..part };
    shop.parts = vec![plain(part("P")), plain(part_with_radius("Q", other))];
    let late_cost = |cost: f64, order: Order| Order { late_cost_per_day: Some(Money::new(cost)), ..order };
    shop.orders = vec![
        late_cost(20.0, order("CHEAP", "P", 600, "2026-12-10")),
        late_cost(900.0, order("DEAR", "Q", 60, "2026-12-10")),
    ];
    let finish = |planned: &Planned, id: &str| {
        planned.plan.orders.iter().find(|order| order.id == id).map(|order| order.finish).expect("planned")
    };
    let cheapest = planned(&shop).expect("it can be planned");
    shop.terms.spare = Minutes::days(3);
    let spare = planned(&shop).expect("it can be planned");
    assert!(finish(&cheapest, "CHEAP") < finish(&cheapest, "DEAR"));
    assert!(finish(&spare, "DEAR") < finish(&spare, "CHEAP"));
    for planned in [&cheapest, &spare] {
        assert_eq!(planned.schedule.figures().late_jobs, 0);
        let schedule = planned.schedule.schedule();
        assert!(schedule.lower_bound.is_none_or(|bound| bound <= schedule.objective));
    }
    // What is told is what the plan costs by its true dates: some changing over more, and no lateness.
    let (least, told) = (cheapest.schedule.figures().objective, spare.schedule.figures().objective);
    assert!(least < told && told < least + 60.0, "{least} {told}");
}

#[derive(Clone, Debug)]
struct AnyOrder {
    part: usize,
    quantity: u32,
    promised: i64,
    material: Option<i64>,
    done: Option<usize>,
    running: bool,
}

fn any_order() -> impl Strategy<Value = AnyOrder> {
    let fields = (
        0..4usize,
        1..200u32,
        -3..20i64,
        proptest::option::of(-2..8i64),
        proptest::option::of(0..5usize),
        any::<bool>(),
    );
    fields.prop_map(|(part, quantity, promised, material, done, running)| AnyOrder {
        part,
        quantity,
        promised,
        material,
        done,
        running,
    })
}

#[derive(Clone, Debug)]
struct AnyShop {
    orders: Vec<AnyOrder>,
    die: u8,
    second_holders: bool,
    mounted: bool,
    free: bool,
    welders: u32,
}

fn any_shop() -> impl Strategy<Value = AnyShop> {
    let orders = proptest::collection::vec(any_order(), 1..8);
    (orders, 0..4u8, any::<bool>(), any::<bool>(), any::<bool>(), 1..3u32).prop_map(
        |(orders, die, second_holders, mounted, free, welders)| AnyShop {
            orders,
            die,
            second_holders,
            mounted,
            free,
            welders,
        },
    )
}

fn day(offset: i64) -> chrono::NaiveDate {
    date("2026-12-07") + chrono::Duration::days(offset)
}

/// Steps of the parts of [`built`] as far as every one of them has them.
const STEPS: [(&str, &str); 3] = [("cut", "saw"), ("deburr", "bench"), ("bend", "draw-1")];

fn built(wanted: &AnyShop) -> Shop {
    let mut shop = trial_shop();
    if !wanted.free {
        shop.cells.retain(|cell| cell.id != "free");
    }
    if !wanted.second_holders {
        shop.tools.retain(|tool| !tool.id.ends_with("-2"));
    }
    match wanted.die {
        0 => {}
        1 => shop.tools[0].state = ToolState::OnOrder { arrives: day(3) },
        2 => {
            let (price, lead) = (Money::new(300.0), Minutes::days(4));
            shop.tools[0].state = ToolState::Offered { price, lead, estimated: false };
        }
        _ => drop(shop.tools.remove(0)),
    }
    if wanted.mounted {
        shop.cells[2].mounted = vec!["BD".to_owned(), "CD-1".to_owned()];
        shop.cells[2].mounted_program = Some("P".to_owned());
        shop.cells[2].mounted.retain(|id| shop.tools.iter().any(|tool| &tool.id == id));
    }
    shop.crews.push(crew("welders", wanted.welders));
    let mut weld = cell("weld", WorkKind::Weld);
    weld.run_crew = Some("welders".to_owned());
    shop.cells.push(weld);
    shop.vendors.push(zinc("Zinc"));
    let mut welded = part("WELDED");
    welded.weld = Some(elbowroom_units::Seconds::new(90.0));
    let mut coated = part_with_radius("COATED", 144.0);
    coated.outside = vec!["zinc".to_owned()];
    coated.quality.clean_inside = true;
    shop.parts.extend([welded, coated, part_with_radius("TIGHT", 20.0)]);
    add_orders(&mut shop, &wanted.orders);
    shop
}

fn add_orders(shop: &mut Shop, wanted: &[AnyOrder]) {
    for (number, any) in wanted.iter().enumerate() {
        let id = format!("O-{number}");
        let mut order = order(&id, ["P", "WELDED", "COATED", "TIGHT"][any.part], any.quantity, "2026-12-07");
        order.promised = day(any.promised);
        order.material = any.material.map(day);
        shop.orders.push(order);
        let Some(done) = any.done else { continue };
        let running = STEPS.get(done).filter(|_| any.running).map(|(step, cell)| RunningStep {
            step: (*step).to_owned(),
            cell: (*cell).to_owned(),
            remaining: Minutes::new(100),
            presumed: false,
        });
        let done = STEPS.iter().take(done).map(|(step, _)| (*step).to_owned()).collect();
        shop.underway.push(Underway { order: id, done, running });
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_shop_is_planned_verified_and_read_back(wanted in any_shop()) {
        let shop = built(&wanted);
        match planned(&shop) {
            Ok(planned) => holds_together(&shop, &planned),
            Err(PlanError::NothingToPlan { left_out, .. }) => {
                prop_assert!(left_out.iter().all(|out| !out.reasons.is_empty()));
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}

fn holds_together(shop: &Shop, planned: &Planned) {
    let plan = &planned.plan;
    every_order_is_accounted_for(shop, planned);
    money_adds_up(planned);
    for order in &plan.orders {
        assert_eq!(order.late.is_some(), order.is_late(), "{order:?}");
        assert_eq!(order.late_cost > Money::ZERO, order.is_late(), "{order:?}");
        assert_eq!(order.finish, order.steps.last().expect("it has steps").end);
        if let Some(late) = &order.late {
            assert!(!late.text.is_empty() && !late.step.is_empty(), "{late:?}");
        }
    }
    loads_count_all_work(plan);
    purchases_come_in_time(shop, plan);
    for choice in &plan.no_tooling {
        assert!(!choice.tools.is_empty() && choice.without.cost > Money::ZERO, "{choice:?}");
    }
}

fn every_order_is_accounted_for(shop: &Shop, planned: &Planned) {
    let plan = &planned.plan;
    let planned_ids = plan.orders.iter().map(|order| order.id.as_str());
    let left_out = plan.left_out.iter().map(|out| out.order.as_str());
    let done = planned.findings.iter().filter(|finding| finding.message.contains("every step is done"));
    let mut all: Vec<&str> = planned_ids.chain(left_out).chain(done.map(|f| f.subject.as_str())).collect();
    all.sort_unstable();
    let book: BTreeSet<&str> = shop.orders.iter().map(|order| order.id.as_str()).collect();
    assert_eq!(all, book.into_iter().collect::<Vec<_>>());
}

fn money_adds_up(planned: &Planned) {
    let money = &planned.plan.money;
    let sum = money.run + money.setup + money.outside + money.purchases + money.late;
    assert!(sum.same_as(money.total), "{money:?}");
    let objective = Money::new(planned.schedule.schedule().objective);
    assert!(money.total.same_as(objective), "{money:?}, objective {objective}");
    let orders: Money = planned.plan.orders.iter().map(|order| order.cost).sum();
    assert!((orders + money.purchases).same_as(money.total), "orders {orders}, {money:?}");
    let prices: Money = planned.plan.purchases.iter().map(|purchase| purchase.price).sum();
    assert!(prices.same_as(money.purchases));
}

fn loads_count_all_work(plan: &Plan) {
    for cell in &plan.cells {
        let loads = plan.loads.iter().filter(|load| load.cell == cell.id);
        let (run, setup) = loads.fold((Minutes::ZERO, Minutes::ZERO), |(run, setup), load| {
            assert!(load.run + load.setup <= load.open, "{load:?}");
            (run + load.run, setup + load.setup)
        });
        assert_eq!(run, cell.tasks.iter().map(|task| task.run).sum(), "{}", cell.id);
        assert_eq!(setup, cell.tasks.iter().map(|task| task.changeover).sum(), "{}", cell.id);
        for task in &cell.tasks {
            assert!(task.mount.iter().all(|tool| task.tools.contains(tool)), "{task:?}");
            assert!(task.mount.is_empty() || task.changeover > Minutes::ZERO, "{task:?}");
        }
    }
}

fn purchases_come_in_time(shop: &Shop, plan: &Plan) {
    for purchase in &plan.purchases {
        assert!(purchase.order_by >= plan.start, "{purchase:?}");
        let days = purchase.lead.count().div_euclid(1440) + i64::from(purchase.lead.count() % 1440 > 0);
        let arrives = purchase.order_by + chrono::Duration::days(days);
        let there = plan.clock.minute(arrives, shop.terms.receive_by);
        assert!(there <= purchase.first_use, "{purchase:?}");
        let next = plan.clock.minute(arrives + chrono::Duration::days(1), shop.terms.receive_by);
        assert!(next > purchase.first_use, "a day later would do too: {purchase:?}");
        assert!(!purchase.orders.is_empty(), "{purchase:?}");
    }
}

/// One order in a shop where nothing competes: every minute can be said beforehand.
#[test]
fn a_week_worked_out_by_hand() {
    let mut shop = empty_shop();
    shop.cells = vec![cell("saw", WorkKind::Cut), draw("draw-1"), cell("gauge", WorkKind::Inspect)];
    shop.tools = vec![bend_die("BD")];
    shop.tools.extend(holders(1));
    shop.cells[1].mounted = vec!["CD-1".to_owned(), "BD".to_owned()];
    shop.parts = vec![part("P")];
    shop.parts[0].deburr = false;
    shop.orders = vec![order("O-1", "P", 50, "2026-12-11")];
    let planned = planned(&shop).expect("there is a plan");
    let plan = &planned.plan;
    let saw = &plan.cells[0].tasks[0];
    // Another bundle: 10 min; 4 min + 51 x 12 s, begun minutes counted: 15 min; 15 min to the bender.
    assert_eq!((saw.changeover, saw.run), (Minutes::new(10), Minutes::new(15)));
    assert_eq!(saw.run_start, Minute::new(370));
    let bend = &plan.cells[1].tasks[0];
    assert_eq!(bend.run_start, Minute::new(385 + 15));
    // Pressure die and collet on, 8 min; aligning 5, program 5.
    assert_eq!(
        (bend.changeover, bend.mount.as_slice()),
        (Minutes::new(18), &["PD-1".to_owned(), "CO-1".to_owned()][..])
    );
    assert_eq!((bend.start_quantity, bend.quantity), (51, 50));
    assert_eq!(bend.setup_crew.as_deref(), Some("setters"));
    let order = &plan.orders[0];
    assert_eq!(order.finish, bend.end + Minutes::new(15 + 11));
    assert!(!order.is_late());
    assert_eq!(order.bend_cell.as_deref(), Some("draw-1"));
    let week = plan.loads.iter().find(|load| load.cell == "saw").expect("every cell has loads");
    assert_eq!((week.week, week.open), ((2026, 50), Minutes::new(5 * 480)));
    // 60 an hour running, 30 changing over; inspection takes 11 minutes and no changeover.
    let run = Money::new((15 + 11) as f64 + bend.run.count() as f64);
    assert!(plan.money.run.same_as(run), "{:?}", plan.money);
    assert!(plan.money.setup.same_as(Money::new(0.5 * 28.0)), "{:?}", plan.money);
    assert_eq!((plan.money.late, plan.money.purchases), (Money::ZERO, Money::ZERO));
}

#[test]
fn an_order_that_can_never_be_done_is_left_out_and_the_rest_is_planned() {
    let mut shop = trial_shop();
    shop.orders = vec![order("O-1", "P", 10, "2026-12-11"), order("O-2", "HELD", 10, "2026-12-11")];
    // Its bend die comes in two years, far beyond the longest horizon, and free-form is not approved.
    let mut held = part_with_radius("HELD", 144.0);
    held.processes = Some(vec![elbowroom_bending::process::Process::RotaryDraw]);
    shop.parts.push(held);
    let mut die = bend_die("BD-144");
    die.spec.clr = Some(elbowroom_units::Mm::new(144.0));
    die.state = ToolState::OnOrder { arrives: date("2028-12-07") };
    shop.tools.push(die);
    let planned = planned(&shop).expect("the rest is planned");
    assert_eq!(planned.plan.orders.len(), 1);
    assert_eq!(planned.plan.left_out.len(), 1);
    let out = &planned.plan.left_out[0];
    assert_eq!(out.order, "O-2");
    assert_eq!(out.reasons, ["rotary draw: BD-144 comes later than the 60 weeks that a plan can reach"]);
}

#[test]
fn going_without_new_tools_shows_both_courses() {
    let mut shop = trial_shop();
    shop.tools = holders(1);
    shop.tools.push(ring("RING"));
    shop.orders = vec![order("O-1", "P", 20, "2026-12-11")];
    let planned = planned(&shop).expect("there is a plan");
    let [choice] = planned.plan.no_tooling.as_slice() else { panic!("{:?}", planned.plan.no_tooling) };
    assert_eq!(choice.order, "O-1");
    assert_eq!(choice.tools, ["bend die 36x108"]);
    assert!(!choice.plan_waits);
    assert!(choice.sooner() && choice.cheaper());
    // The die comes on the 28th at 07:00 and costs 1000.
    assert!(choice.waiting.finish > Minute::new(21 * 1440 + 420));
    assert!(choice.waiting.cost > choice.without.cost + Money::new(1000.0));
    let order = &planned.plan.orders[0];
    assert_eq!(choice.without.finish, order.finish);
    assert!(choice.without.cost.same_as(order.cost), "{choice:?} {order:?}");
}

/// Draw benders have their die; the free-form bender's ring would have to be bought.
#[test]
fn waiting_for_tools_is_a_question_only_where_they_would_be_used() {
    let asked = |hourly: f64| {
        let mut shop = trial_shop();
        shop.tools.retain(|tool| tool.id != "RING");
        shop.cells[4].run_rate = RatePerMinute::per_hour(hourly);
        shop.orders = vec![order("O-1", "P", 20, "2026-12-11")];
        planned(&shop).expect("there is a plan").plan.no_tooling
    };
    assert!(asked(600.0).is_empty(), "nobody would free-form it even with a ring");
    let cheap = asked(6.0);
    assert_eq!(cheap.len(), 1);
    assert_eq!(cheap[0].tools, ["ring 36"]);
    assert!(cheap[0].sooner() && !cheap[0].plan_waits);
}
