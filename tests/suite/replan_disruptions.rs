//! 1,000 random disruptions of small shops: nothing in the frozen zone moves but what is named, what is named
//! could not stand, and every plan is verified. What is impossible is judged by the verifier, which shares
//! nothing with the planner.

use chrono::NaiveDate;
use elbowroom_planner::{Kept, PlanError, Planned, Replanned, plan_week, replan_week};
use elbowroom_problem::{JobIdx, OptionIdx, Placement, Problem, Schedule, Window};
use elbowroom_shop::calendar::add_working_time;
use elbowroom_shop::notice::{Change, Days, Notice};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::replans::{frozen, heeding, name, near, on, runs_of, settings};
use elbowroom_tests::trial_shop::{date, order, trial_shop, zinc};
use elbowroom_tests::watches::Unhurried;
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::{Rule, verify};
use std::collections::BTreeSet;

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
                    presumed: false,
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
        let mut now = then.planned.schedule.schedule().operations.iter();
        let now = now.find(|one| name(new, one.option) == step).expect("it runs");
        // The verifier has seen that a run which takes another time ends when it must.
        if new.option(now.option).run == old.option(placed.option).run {
            assert_eq!(*end, placed.end - shift, "case {case}: {step:?} moved");
        }
        standing.push(*now);
    }
    for placed in &first.schedule.schedule().operations {
        let step = name(old, placed.option);
        if !named.contains(&step) {
            continue;
        }
        let place = place(old, placed.option);
        for option in options(new, &step, &place) {
            let follows = option.operation > 0 && !standing.iter().any(|one| precedes(one.option, option));
            // As it was, and with no changeover at all; for as long as it was to run, and as it runs now.
            let run_start = placed.run_start - shift;
            for setup_start in [placed.setup_start - shift, run_start] {
                for end in [placed.end - shift, end_now(old, new, option, run_start, shift)] {
                    let again = Placement { option, setup_start, run_start, end };
                    assert!(
                        follows || !could_stand(&then.planned, &standing, again),
                        "case {case}: {step:?} {thawed:?}"
                    );
                }
            }
        }
    }
    (standing.len(), named.len())
}

/// When a run ends by its time now, if its cell is open as it was; else as it begins, which is no run at all.
fn end_now(old: &Problem, new: &Problem, option: OptionIdx, start: Minute, shift: Minutes) -> Minute {
    let run = new.option(option).run;
    let Some(on) = new.option(option).on_cell() else { return start + run };
    let cell = new.cell(on.cell);
    let spans = |windows: &[Window], less: Minutes| -> Vec<(Minute, Minute)> {
        windows.iter().map(|window| (window.start - less, window.end - less)).collect()
    };
    let before = old.cells.iter().find(|other| other.id == cell.id);
    let was = before.and_then(|before| add_working_time(&spans(&before.windows, shift), start, run));
    let is = add_working_time(&spans(&cell.windows, Minutes::ZERO), start, run);
    if was == is { is.unwrap_or(start) } else { start }
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
