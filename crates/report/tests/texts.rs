//! Lists and summary word for word, for a plan small enough to check by hand.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod common;

use chrono::NaiveDate;
use common::{Wish, plan};
use elbowroom_bending::process::Process;
use elbowroom_planner::plan::{Cause, Late, MoneySum, Plan};
use elbowroom_report::{RenderOptions, render, summary};
use elbowroom_units::{Minute, Minutes, Money};
use unicode_width::UnicodeWidthStr;

/// Two orders on two cells: `J-1000` on time, `J-1001` late by 1 d 02 h.
fn small() -> Plan {
    let mut plan = plan(Wish::new(2, 2, 1));
    let date = |text: &str| text.parse::<NaiveDate>().unwrap();
    plan.left_out.clear();
    plan.no_tooling.clear();
    let saw = plan.cells[1].tasks.first().or(plan.cells[0].tasks.first()).cloned().unwrap();
    let task = |order: &str, setup: i64, run: i64, end: i64| {
        let mut task = saw.clone();
        task.order = order.into();
        task.part = "RAIL-7".into();
        (task.quantity, task.start_quantity) = (40, 42);
        (task.setup_start, task.run_start, task.end) =
            (Minute::new(setup), Minute::new(run), Minute::new(end));
        task.changeover = Minutes::new(run - setup);
        task.mount = if run > setup { vec!["die-38x114".into()] } else { Vec::new() };
        (task.setup_crew, task.run_crew) = ((run > setup).then(|| "setter".into()), Some("operator".into()));
        task.under_way = setup == 0;
        task
    };
    plan.cells[0].tasks = vec![task("J-1000", 360, 410, 600), task("J-1001", 1800, 1800, 2000)];
    plan.cells[1].tasks = Vec::new();
    for (order, end, promised) in [(0, 600, "2026-12-08"), (1, 3000, "2026-12-07")] {
        let order = &mut plan.orders[order];
        (order.part, order.quantity) = ("RAIL-7".into(), 40);
        order.finish = Minute::new(end);
        order.promised = date(promised);
        order.due = plan.clock.start_of(order.promised.succ_opt().unwrap());
        order.process = Some(Process::RotaryDraw);
        order.steps.truncate(1);
        order.steps[0].place = "rd-1".into();
        order.cost = Money::new(1250.0);
        order.late = None;
    }
    plan.orders[1].late = Some(Late {
        cause: Cause::Setter,
        waited: Minutes::new(900),
        step: "bend".into(),
        text: "the setter was on saw-1 until Tue 06:00".into(),
    });
    let amounts = [1500.0, 300.0, 0.0, 4200.0, 700.0, 6700.0].map(Money::new);
    let [run, setup, outside, purchases, late, total] = amounts;
    plan.money = MoneySum { run, setup, outside, purchases, late, total };
    plan.lower_bound = Some(Money::new(6365.0));
    plan.loads[0].run = Minutes::new(390);
    plan.loads[0].setup = Minutes::new(50);
    plan
}

fn file(plan: &Plan, name: &str, text_width: usize) -> String {
    let options = RenderOptions { text_width, png_scale: None, ..RenderOptions::default() };
    let files = render(plan, &options);
    let bytes = files.into_iter().find(|file| file.name == name).unwrap().bytes;
    String::from_utf8(bytes).unwrap()
}

fn check(actual: &str, expected: &str) {
    assert!(actual == expected, "expected\n{expected}\nfound\n{actual}");
}

#[test]
fn dispatch_list() {
    let expected = "\
Aspen Ridge Tube Works: dispatch lists, plan from Mon 2026-12-07

Rotary draw 1 (rd-1, rotary draw)
Setup starts          Run starts  Ends   Order   Part    Pieces  Put on      Changeover min  Crew                   Note
--------------------  ----------  -----  ------  ------  ------  ----------  --------------  ---------------------  --------------------
Mon 2026-12-07 06:00  06:50       10:00  J-1000  RAIL-7      40  die-38x114              50  setter, then operator  start 42
Tue 2026-12-08 06:00  06:00       09:20  J-1001  RAIL-7      40                              operator               LATE ORDER, start 42

Saw 1 (saw-1, cut)
  nothing planned
";
    check(&file(&small(), "dispatch.txt", 160), expected);
}

#[test]
fn order_lists() {
    let expected = "\
Aspen Ridge Tube Works: orders, plan from Mon 2026-12-07

Late orders
Order   Part    Promised        Finished              Late by   Held up by  Why
------  ------  --------------  --------------------  --------  ----------  ---------------------------------------
J-1001  RAIL-7  Mon 2026-12-07  Wed 2026-12-09 02:00  1 d 02 h  the setter  the setter was on saw-1 until Tue 06:00

All orders (cost in EUR, lateness included)
Order   Part    Pieces  Promised        Finished              Spare or late   How          Where      Cost
------  ------  ------  --------------  --------------------  --------------  -----------  -----  --------
J-1000  RAIL-7      40  Tue 2026-12-08  Mon 2026-12-07 10:00  1 d 14 h spare  rotary draw  rd-1   1 250.00
J-1001  RAIL-7      40  Mon 2026-12-07  Wed 2026-12-09 02:00  1 d 02 h LATE   rotary draw  rd-1   1 250.00

Orders left out of the plan
  none; every order is planned
";
    check(&file(&small(), "orders.txt", 160), expected);
}

#[test]
fn summary_on_one_screen() {
    let expected = "\
Aspen Ridge Tube Works: plan from Mon 2026-12-07 for 1 week

Orders      2 planned: 1 on time, 1 late
Worst       J-1001 is 1 d 02 h late (promised Mon 2026-12-07): the setter was on
            saw-1 until Tue 06:00
Cost        6 700.00 EUR: running 1 500.00, changing over 300.00, tools to buy
            4 200.00, being late 700.00
Proven      no plan for these orders costs less than 6 365.00 EUR: at most 5.0 %
            could still be saved
Buy         die-50x150 (about 4 200.00 EUR) by Mon 2026-12-07
Tube        3 bars (115.20 EUR) are to be bought, the first by Mon 2026-12-07; 1
            of these purchases COMES TOO LATE even if ordered at once
Bottleneck  Rotary draw 1 is the fullest cell: 7.3 h of work in 75.0 h open
            (10 %)
";
    check(&summary(&small(), 80), expected);
}

#[test]
fn the_bottleneck_is_the_cell_that_late_orders_wait_for() {
    let mut plan = small();
    plan.orders[1].steps[0].place = "saw-1".into();
    let step = plan.orders[1].steps[0].name.clone();
    let text = "saw-1 was busy with J-1000".into();
    plan.orders[1].late = Some(Late { cause: Cause::Cell, waited: Minutes::new(90), step, text });
    assert!(summary(&plan, 100).contains("Saw 1, for which 1 late order waits: "), "{}", summary(&plan, 100));
}

#[test]
fn a_large_plan_still_fits_one_screen() {
    let text = summary(&plan(Wish::new(16, 150, 2)), 80);
    assert!(text.lines().count() <= 24, "{text}");
    assert!(text.lines().all(|line| line.width() <= 80), "{text}");
}

#[test]
fn no_bound_is_said_plainly() {
    let mut plan = small();
    plan.lower_bound = None;
    assert!(summary(&plan, 80).contains("how much cheaper a plan could be is not known"));
    plan.lower_bound = Some(plan.money.total);
    assert!(summary(&plan, 80).contains("no plan for these orders costs less\n"));
}

#[test]
fn tooling_lists() {
    let plan = plan(Wish::new(2, 2, 1));
    let text = file(&plan, "tooling.txt", 120);
    assert!(text.contains("Mon 2026-12-07  die-50x150  bend die  ~4 200.00"), "{text}");
    let text = file(&plan, "no-tooling.txt", 240);
    assert!(text.contains("9 days sooner, 3 800.00 EUR cheaper"), "{text}");
    assert!(text.contains("goes without: sooner and cheaper"), "{text}");
}

#[test]
fn work_beyond_the_weeks_is_counted_not_listed() {
    let mut plan = small();
    let mut beyond = plan.cells[0].tasks[1].clone();
    let week = Minutes::days(7);
    beyond.setup_start += week;
    beyond.run_start += week;
    beyond.end += week;
    plan.cells[0].tasks.push(beyond);
    let text = file(&plan, "dispatch.txt", 160);
    assert!(text.contains("and 1 more from Mon 2026-12-14 on"), "{text}");
    assert_eq!(text.matches("J-1001").count(), 1);
}

#[test]
fn lists_keep_to_any_width() {
    let plan = plan(Wish { long_names: true, ..Wish::new(3, 10, 1) });
    for width in [20, 40, 80, 120, 200] {
        for name in ["dispatch.txt", "orders.txt", "tooling.txt", "no-tooling.txt", "load.txt", "summary.txt"]
        {
            let text = file(&plan, name, width);
            let widest = text.lines().map(UnicodeWidthStr::width).max().unwrap();
            assert!(widest <= width, "{name} at {width}: {widest}\n{text}");
        }
    }
}
