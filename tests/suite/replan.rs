//! A new plan after something has happened: the frozen zone, the price of moving, and 1,000 random
//! disruptions of small shops. What is impossible is judged by the verifier, which shares nothing with
//! the planner; times of the trial shop are worked out by hand.

use chrono::NaiveDate;
use elbowroom_engine::{Settings, Watch};
use elbowroom_planner::{
    Kept, Near, PlanError, Planned, Replanned, Request, plan_week, plan_week_near, replan_week,
};
use elbowroom_problem::{JobIdx, OptionIdx, Placement, Problem, Schedule};
use elbowroom_shop::notice::{Change, Days, Notice};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::trial_shop::{date, order, trial_shop, zinc};
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::{Rule, verify};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

/// A watch without a clock: only the budget of search steps ends the solve.
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

fn settings(steps: u64) -> Settings {
    Settings { threads: 1, seed: 1, iterations: Some(steps) }
}

fn on(day: &str) -> Request {
    Request { start: date(day), weeks: 1 }
}

fn near(planned: &Planned, shift: Minutes) -> Near<'_> {
    Near { problem: &planned.problem, schedule: planned.schedule.schedule(), shift }
}

fn heeding(shop: &Shop, change: Change, why: &str) -> Shop {
    let mut shop = shop.clone();
    shop.heed(&Notice { change, why: why.to_owned() }).expect("it speaks of what is there");
    shop
}

/// Eight orders of 40 pieces; the saw takes each some 25 minutes.
fn busy_shop() -> Shop {
    let mut shop = trial_shop();
    shop.orders = (1..=8).map(|n| order(&format!("O-{n}"), "P", 40, "2026-12-09")).collect();
    shop
}

fn frozen(hours: i64) -> Steadiness {
    Steadiness { frozen: Minutes::new(60 * hours), ..Steadiness::default() }
}

fn again(shop: &Shop, first: &Planned, steady: &Steadiness) -> Replanned {
    let near = near(first, Minutes::ZERO);
    replan_week(shop, &on("2026-12-07"), &settings(300), &Unhurried, near, steady).expect("there is a plan")
}

/// Order and step of a placement.
fn name(problem: &Problem, at: OptionIdx) -> (String, String) {
    (problem.job(at.job).id.clone(), problem.operation(at).id.clone())
}

/// Where a step runs and when its run begins and ends, by order and step.
type Runs = BTreeMap<(String, String), (Option<String>, Minute, Minute)>;

fn runs(problem: &Problem, schedule: &Schedule, shift: Minutes) -> Runs {
    let run = |placed: &Placement| {
        let cell = problem.option(placed.option).on_cell().map(|work| problem.cell(work.cell).id.clone());
        (name(problem, placed.option), (cell, placed.run_start - shift, placed.end - shift))
    };
    schedule.operations.iter().map(run).collect()
}

fn runs_of(planned: &Planned) -> Runs {
    runs(&planned.problem, planned.schedule.schedule(), Minutes::ZERO)
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
    let monday: Vec<_> = first
        .schedule
        .schedule()
        .operations
        .iter()
        .filter(|placed| placed.setup_start < Minute::new(14 * 60))
        .map(|placed| name(&first.problem, placed.option))
        .collect();
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

/// A shop with a few orders of two parts, some of which go outside.
fn any_shop(make: &mut Chance) -> Shop {
    let mut shop = trial_shop();
    shop.vendors.push(zinc("Zinc"));
    let mut coated = shop.parts[0].clone();
    coated.id = "COATED".to_owned();
    coated.outside = vec!["zinc".to_owned()];
    shop.parts.push(coated);
    if make.yes(0.3) {
        shop.cells.retain(|cell| cell.id != "free");
    }
    if make.yes(0.4) {
        shop.crews[0].shifts[0].1 = 2;
    }
    for number in 0..make.from_to(2, 6) {
        let part = make.one_of(&["P", "P", "COATED"]);
        let mut order = order(&format!("O-{number}"), part, 5 + make.below(60) as u32, "2026-12-07");
        order.promised = any_day(make, 8);
        order.material = make.yes(0.2).then(|| any_day(make, 2));
        shop.orders.push(order);
    }
    shop
}

fn any_day(make: &mut Chance, most: usize) -> NaiveDate {
    date("2026-12-07") + chrono::Days::new(make.below(most) as u64)
}

/// A cell down, a die or tube late, an operator sick, an order in a hurry, new or called off.
fn any_change(make: &mut Chance, shop: &Shop) -> Change {
    let cell = shop.cells[make.below(shop.cells.len())].id.clone();
    let tool = shop.tools[make.below(shop.tools.len())].id.clone();
    let known = shop.orders[make.below(shop.orders.len())].id.clone();
    let from = any_day(make, 3);
    let days = Days { from, until: from + chrono::Days::new(make.below(3) as u64) };
    match make.below(7) {
        0 | 1 => Change::Down { cell, days, hours: None },
        2 => Change::Tool { tool, arrives: any_day(make, 5) },
        3 => Change::Tube { order: known, arrives: any_day(make, 5) },
        4 => Change::Absent { crew: "setters".to_owned(), heads: 1, days },
        5 => Change::Cancel { order: known },
        _ => {
            let mut rush = order("RUSH", "P", 5 + make.below(40) as u32, "2026-12-07");
            rush.late_cost_per_day = Some(Money::new(500.0));
            Change::Order(rush)
        }
    }
}

/// What of a plan is done or running on Tuesday morning; what should be and is not reported is left.
fn progress(make: &mut Chance, shop: &mut Shop, first: &Planned) {
    let tuesday = Minute::new(24 * 60 + 360);
    let mut busy = BTreeSet::new();
    for order in &first.plan.orders {
        if make.yes(0.2) {
            continue;
        }
        let mut underway = Underway { order: order.id.clone(), done: Vec::new(), running: None };
        for step in &order.steps {
            if step.end <= tuesday {
                underway.done.push(step.name.clone());
            } else if step.run_start < tuesday && busy.insert(step.place.clone()) {
                underway.running = Some(RunningStep {
                    step: step.name.clone(),
                    cell: step.place.clone(),
                    remaining: Minutes::new(make.from_to(1, 200)),
                });
            }
        }
        shop.underway.push(underway);
    }
}

/// Whether a step could stand with all those that do, by the verifier.
fn could_stand(planned: &Planned, standing: &[Placement], more: Placement) -> bool {
    let problem = &planned.problem;
    let under_way = problem.pinned.iter().map(|pin| Placement {
        option: pin.option,
        setup_start: pin.setup_start,
        run_start: pin.run_start,
        end: pin.end,
    });
    let operations = standing.iter().copied().chain(under_way).chain([more]).collect();
    let tried = Schedule { operations, ..Schedule::default() };
    let counts = |rule: Rule| !matches!(rule, Rule::Complete | Rule::ObjectiveClaim | Rule::BoundClaim);
    verify(problem, tried).map_or_else(|no| !no.violations.iter().any(|v| counts(v.rule)), |_| true)
}

/// Nothing frozen has moved but what is named; and what is named could not stand.
fn holds(case: usize, first: &Planned, then: &Replanned, shift: Minutes, hours: i64) -> (usize, usize) {
    let Kept { thawed, frozen_until, .. } = &then.kept;
    let (old, new) = (&first.problem, &then.planned.problem);
    let begin = new.cells.iter().filter_map(|cell| cell.windows.first()).map(|w| w.start).min();
    let begin = begin.expect("some cell is open");
    let until = begin + Minutes::new(60 * hours);
    assert_eq!(*frozen_until, Some(until), "case {case}");
    let is = runs_of(&then.planned);
    let under_way: BTreeSet<_> = new.pinned.iter().map(|pin| name(new, pin.option)).collect();
    let named: BTreeSet<_> = thawed.iter().map(|one| (one.order.clone(), one.step.clone())).collect();
    let mut standing = Vec::new();
    for placed in &first.schedule.schedule().operations {
        let step = name(old, placed.option);
        let setup = placed.setup_start - shift;
        if setup < begin || setup >= until || named.contains(&step) || under_way.contains(&step) {
            continue;
        }
        // What is gone was done, called off, or runs as work under way.
        let Some((cell, start, end)) = is.get(&step) else { continue };
        let place = old.option(placed.option).on_cell().map(|work| old.cell(work.cell).id.clone());
        assert_eq!((cell, *start), (&place, placed.run_start - shift), "case {case}: {step:?} moved");
        assert_eq!(*end, placed.end - shift, "case {case}: {step:?} moved");
        let now = &then.planned.schedule.schedule().operations;
        standing.extend(now.iter().filter(|one| name(new, one.option) == step));
    }
    let standing: Vec<Placement> = standing.into_iter().copied().collect();
    for placed in &first.schedule.schedule().operations {
        let step = name(old, placed.option);
        if !named.contains(&step) {
            continue;
        }
        let place = place(old, placed.option);
        for option in options(new, &step, &place) {
            let follows = option.operation > 0 && !standing.iter().any(|one| precedes(one.option, option));
            // As it was, and with no changeover at all.
            for setup in [placed.setup_start, placed.run_start] {
                let again = Placement {
                    option,
                    setup_start: setup - shift,
                    run_start: placed.run_start - shift,
                    end: placed.end - shift,
                };
                assert!(
                    follows || !could_stand(&then.planned, &standing, again),
                    "case {case}: {step:?} {thawed:?}"
                );
            }
        }
    }
    (standing.len(), named.len())
}

fn precedes(a: OptionIdx, b: OptionIdx) -> bool {
    (a.job, a.operation + 1) == (b.job, b.operation)
}

/// Cell and tools of an option; nothing for one outside.
fn place(problem: &Problem, option: OptionIdx) -> Option<(String, Vec<String>)> {
    let work = problem.option(option).on_cell()?;
    let tools = work.tools.iter().map(|tool| problem.tool(*tool).id.clone());
    Some((problem.cell(work.cell).id.clone(), tools.collect()))
}

/// Every way of doing a step on a cell with the same tools.
fn options(
    problem: &Problem,
    (order, step): &(String, String),
    there: &Option<(String, Vec<String>)>,
) -> Vec<OptionIdx> {
    let mut found = Vec::new();
    for (number, job) in problem.jobs.iter().enumerate().filter(|(_, job)| job.id == *order) {
        for (route, of) in job.routes.iter().enumerate() {
            for (operation, one) in of.operations.iter().enumerate().filter(|(_, one)| one.id == *step) {
                let all = (0..one.options.len()).map(|option| OptionIdx {
                    job: JobIdx::new(number),
                    route,
                    operation,
                    option,
                });
                found.extend(all.filter(|option| place(problem, *option) == *there));
            }
        }
    }
    found
}

/// Shops of the property, and disruptions of each.
const SHOPS: usize = 50;
/// They are shared out.
const THREADS: usize = 2;
const DISRUPTIONS: usize = 20;

#[test]
fn a_thousand_random_disruptions_move_nothing_frozen_but_what_is_named() {
    let (stood, fell) = std::thread::scope(|scope| {
        let share = |thread| (0..SHOPS).skip(thread).step_by(THREADS).map(disrupted);
        let threads: Vec<_> = (0..THREADS).map(|at| scope.spawn(move || share(at).collect())).collect();
        let all =
            threads.into_iter().flat_map(|one| -> Vec<(usize, usize)> { one.join().expect("it holds") });
        all.fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
    });
    println!("{stood} steps stood, {fell} could not");
    assert!(stood > 1_000 && fell > 100, "the cases are about something: {stood}, {fell}");
}

/// One shop and its disruptions: how many steps stood and how many could not.
fn disrupted(seed: usize) -> (usize, usize) {
    let mut make = Chance::new(seed as u64);
    let shop = any_shop(&mut make);
    let first = plan_week(&shop, &on("2026-12-07"), &settings(20), &Unhurried).expect("there is a plan");
    let cases =
        (0..DISRUPTIONS).map(|number| disruption(&mut make, seed * DISRUPTIONS + number, &shop, &first));
    cases.fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
}

fn disruption(make: &mut Chance, case: usize, shop: &Shop, first: &Planned) -> (usize, usize) {
    let mut then = heeding(shop, any_change(make, shop), "");
    if make.yes(0.2) && !then.orders.is_empty() {
        let further = any_change(make, &then);
        then = heeding_again(then, further);
    }
    let tuesday = make.yes(0.4);
    if tuesday {
        progress(make, &mut then, first);
    }
    let (start, shift) =
        if tuesday { ("2026-12-08", Minutes::days(1)) } else { ("2026-12-07", Minutes::ZERO) };
    let hours = make.one_of(&[2, 4, 8, 24, 48]);
    let price = if make.yes(0.1) { Money::new(100.0) } else { Money::ZERO };
    let steady = Steadiness { move_cost: price, ..frozen(hours) };
    let plan = || replan_week(&then, &on(start), &settings(5), &Unhurried, near(first, shift), &steady);
    let replanned = match plan() {
        Ok(replanned) => replanned,
        Err(PlanError::NothingToPlan { .. }) => return (0, 0),
        Err(error) => panic!("case {case}: {error}"),
    };
    let planned = &replanned.planned;
    verify(&planned.problem, planned.schedule.schedule().clone()).expect("every plan is verified");
    if case.is_multiple_of(10) {
        let twin = plan().expect("it was planned before");
        assert_eq!((&twin.planned.schedule, &twin.kept), (&planned.schedule, &replanned.kept));
    }
    holds(case, first, &replanned, shift, hours)
}

/// A second change; one that speaks of what the first took away is left out.
fn heeding_again(shop: Shop, change: Change) -> Shop {
    let mut then = shop.clone();
    match then.heed(&Notice { change, why: String::new() }) {
        Ok(()) => then,
        Err(_) => shop,
    }
}
