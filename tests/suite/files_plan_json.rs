//! `plan.json`: every key of a small plan, and that its texts and minutes say the same.

use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_files::{PLAN_FORMAT, plan_json};
use elbowroom_planner::plan::{
    Cause, CellChance, CellPlan, Confidence, Course, DatesKept, Late, LeftOut, Load, MoneySum, NoTooling,
    OrderChance, OrderPlan, Plan, Purchase, Remedy, RemedyKind, Risk, Step, Task,
};
use elbowroom_planner::tube::{BarCut, BarFrom, CutPiece, Supply, TubeBuy, TubeDay, TubePlan};
use elbowroom_rehearsal::Finishes;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::cell::WorkKind;
use elbowroom_units::{Minute, Minutes, Mm, Money};
use serde_json::{Value, json};

/// Over the end of summer time in Vienna, on 25 October 2026 (IANA time zone data).
fn clock() -> PlanClock {
    PlanClock::new(chrono_tz::Europe::Vienna, "2026-10-23".parse().expect("this is a date"))
}

fn at(text: &str) -> Minute {
    clock().parse(text).expect("this is a moment")
}

fn plan() -> Plan {
    Plan {
        shop: "Trial \"shop\"".to_owned(),
        currency: "EUR".to_owned(),
        clock: clock(),
        start: clock().start(),
        weeks: 1,
        cells: vec![cell()],
        orders: vec![order()],
        left_out: vec![LeftOut { order: "O-2".into(), part: "P-2".into(), reasons: vec!["no cell".into()] }],
        purchases: vec![purchase()],
        no_tooling: vec![no_tooling()],
        tube: tube(),
        loads: vec![Load {
            cell: "draw-1".into(),
            week: (2026, 44),
            run: Minutes::new(90),
            setup: Minutes::new(30),
            open: Minutes::new(2_400),
        }],
        money: MoneySum {
            run: Money::new(10.5),
            late: Money::new(30.0),
            total: Money::new(40.5),
            ..MoneySum::default()
        },
        lower_bound: Some(Money::new(39.25)),
        confidence: Some(confidence()),
    }
}

fn confidence() -> Confidence {
    let finishes = ["2026-10-26T10:00", "2026-10-27T10:00"].map(at);
    let day = |text: &str| text.parse().expect("a date");
    let dates = DatesKept { in_50: day("2026-10-26"), in_80: day("2026-10-27"), in_95: day("2026-10-27") };
    let remedy = Remedy {
        kind: RemedyKind::Overtime,
        text: "Saturday shift".into(),
        brief: "Saturday".into(),
        finish: at("2026-10-26T10:00"),
        kept: 0.9,
        cures: true,
        cost: Money::new(410.0),
        puts_at_risk: vec!["O-3".into()],
    };
    Confidence {
        runs: 2,
        seed: 7,
        at_risk_below: 0.8,
        orders: vec![OrderChance {
            order: "O-1".into(),
            kept: 0.5,
            dates,
            finishes: Finishes::new(finishes.to_vec()),
        }],
        cells: vec![CellChance { cell: "draw-1".into(), week: (2026, 44), out_of_time: 0.25 }],
        risks: vec![Risk {
            order: "O-1".into(),
            kept: 0.5,
            late_in_plan: Minutes::ZERO,
            expected_cost: Money::new(30.0),
            remedies: vec![remedy],
            all_tried: true,
        }],
    }
}

/// Three bars of 6 m, one of them cut on Monday, and two to buy.
fn tube() -> TubePlan {
    let piece = CutPiece { order: "O-1".into(), length: Mm::new(1_460.5), count: 4 };
    let cut = BarCut {
        bar: Mm::new(6_000.0),
        bars: 1,
        from: BarFrom::House,
        pieces: vec![piece],
        rest: Mm::new(118.5),
        kept: false,
    };
    let day = TubeDay {
        tube: "T-1".into(),
        day: "2026-10-26".parse().expect("this is a date"),
        first_cut: at("2026-10-26T06:30"),
        supply: Supply::Coming("2026-10-25".parse().expect("this is a date")),
        orders: vec!["O-1".into()],
        cuts: vec![cut],
        gap: 0.005,
        too_long: vec![("O-9".into(), "too long".into())],
    };
    let buy = TubeBuy {
        tube: "T-1".into(),
        bar: Mm::new(6_000.0),
        bars: 2,
        counted: true,
        price: Some(Money::new(36.0)),
        order_by: Some("2026-10-23".parse().expect("this is a date")),
        too_late: Some(at("2026-10-27T07:00")),
        first_cut: at("2026-10-26T06:30"),
        orders: vec!["O-1".into()],
    };
    TubePlan { days: vec![day], buys: vec![buy] }
}

fn cell() -> CellPlan {
    let task = Task {
        order: "O-1".into(),
        part: "P-1".into(),
        quantity: 120,
        start_quantity: 124,
        step: "bend".into(),
        setup_start: at("2026-10-26T06:00"),
        run_start: at("2026-10-26T06:30"),
        end: at("2026-10-26T08:00"),
        changeover: Minutes::new(30),
        run: Minutes::new(90),
        setup_factor: 1.0,
        run_factor: 1.25,
        tools: vec!["BD-1".into(), "CD-1".into()],
        mount: vec!["BD-1".into()],
        setup_crew: Some("setters".into()),
        run_crew: None,
        under_way: false,
    };
    CellPlan {
        id: "draw-1".into(),
        name: "Rotary draw 65".into(),
        work: WorkKind::Bend(Process::RotaryDraw),
        open: vec![(at("2026-10-26T06:00"), at("2026-10-26T14:00"))],
        tasks: vec![task],
    }
}

fn order() -> OrderPlan {
    OrderPlan {
        id: "O-1".into(),
        part: "P-1".into(),
        part_name: "Rail".into(),
        quantity: 120,
        customer: None,
        promised: "2026-10-25".parse().expect("this is a date"),
        due: at("2026-10-25T16:00"),
        finish: at("2026-10-26T08:00"),
        process: Some(Process::RotaryDraw),
        blank: Some(Mm::new(1_460.4)),
        bend_cell: Some("draw-1".into()),
        steps: vec![Step {
            name: "bend".into(),
            place: "draw-1".into(),
            outside: false,
            run_start: at("2026-10-26T06:30"),
            end: at("2026-10-26T08:00"),
        }],
        cost: Money::new(40.5),
        late_cost: Money::new(30.0),
        late: Some(Late {
            cause: Cause::DieInUse,
            waited: Minutes::new(45),
            step: "bend".into(),
            text: "waited for BD-1".into(),
        }),
    }
}

fn purchase() -> Purchase {
    Purchase {
        tool: "BD-2".into(),
        kind: ToolKind::BendDie,
        price: Money::new(2_400.0),
        estimated: true,
        lead: Minutes::days(28),
        order_by: "2026-10-23".parse().expect("this is a date"),
        first_use: at("2026-11-20T06:00"),
        orders: vec!["O-3".into()],
    }
}

fn no_tooling() -> NoTooling {
    let course = |process, finish: &str, cost| Course {
        process,
        cell: "c".into(),
        finish: at(finish),
        cost: Money::new(cost),
    };
    NoTooling {
        order: "O-3".into(),
        without: course(Process::FreeForm, "2026-10-27T10:00", 500.0),
        waiting: course(Process::RotaryDraw, "2026-11-20T10:00", 3_000.0),
        tools: vec!["BD-2".into()],
        plan_waits: false,
    }
}

#[test]
fn how_sure_it_is() {
    let sure = &written()["confidence"];
    assert_eq!((&sure["runs"], &sure["seed"], &sure["at_risk_below"]), (&json!(2), &json!(7), &json!(0.8)));
    let order = &sure["orders"][0];
    assert_eq!((&order["order"], &order["kept"]), (&json!("O-1"), &json!(0.5)));
    let date = json!({
        "cases_of_hundred": 80,
        "date": "2026-10-27",
        "finish": "2026-10-27T10:00:00+01:00",
        "finish_minute": at("2026-10-27T10:00").get(),
    });
    assert_eq!(order["dates"][1], date);
    assert_eq!(order["dates"].as_array().map(Vec::len), Some(3));
    assert_eq!(sure["cells"][0], json!({"cell": "draw-1", "week": "2026-W44", "out_of_time": 0.25}));
    let risk = &sure["risks"][0];
    assert_eq!(
        (&risk["kept"], &risk["late_in_plan_min"], &risk["all_tried"]),
        (&json!(0.5), &json!(0), &json!(true))
    );
    let remedy = &risk["remedies"][0];
    assert_eq!((&remedy["kind"], &remedy["cost"]), (&json!("overtime"), &json!(410.0)));
    assert_eq!((&remedy["cures"], &remedy["puts_at_risk"]), (&json!(true), &json!(["O-3"])));
}

fn written() -> Value {
    serde_json::from_str(&plan_json(&plan())).expect("it is JSON")
}

#[test]
fn the_head_of_the_plan() {
    let plan = written();
    for (key, expected) in [
        ("format", json!(PLAN_FORMAT)),
        ("shop", json!("Trial \"shop\"")),
        ("currency", json!("EUR")),
        ("time_zone", json!("Europe/Vienna")),
        ("start", json!("2026-10-23")),
        ("weeks", json!(1)),
        ("lower_bound", json!(39.25)),
        (
            "money",
            json!({"run": 10.5, "setup": 0.0, "outside": 0.0, "purchases": 0.0, "late": 30.0, "total": 40.5}),
        ),
    ] {
        assert_eq!(plan[key], expected, "{key}");
    }
}

/// Minute 0 is Friday 00:00 at +02:00; Monday 06:00 at +01:00 is 3 days, 6 hours and the hour that
/// came twice later: 4320 + 360 + 60 = 4740 (computed).
#[test]
fn a_task_with_its_times_over_the_change_of_the_clocks() {
    assert_eq!(
        written()["cells"][0]["tasks"][0],
        json!({
            "order": "O-1", "part": "P-1", "quantity": 120, "start_quantity": 124, "step": "bend",
            "setup_start": "2026-10-26T06:00:00+01:00", "setup_start_minute": 4740,
            "run_start": "2026-10-26T06:30:00+01:00", "run_start_minute": 4770,
            "end": "2026-10-26T08:00:00+01:00", "end_minute": 4860,
            "changeover_min": 30, "run_min": 90, "setup_factor": 1.0, "run_factor": 1.25,
            "tools": ["BD-1", "CD-1"], "mount": ["BD-1"],
            "setup_crew": "setters", "run_crew": null, "under_way": false,
        })
    );
}

#[test]
fn an_order_that_is_late_and_why() {
    let order = &written()["orders"][0];
    assert_eq!(order["lateness_min"], 16 * 60);
    assert_eq!(order["is_late"], true);
    assert_eq!(
        order["late"],
        json!({"cause": "die_in_use", "waited_min": 45, "step": "bend", "text": "waited for BD-1"})
    );
    assert_eq!(order["process"], "rotary draw");
    assert_eq!(order["customer"], Value::Null);
}

#[test]
fn purchases_flags_loads_and_what_is_left_out() {
    let plan = written();
    assert_eq!(plan["purchases"][0]["lead_min"], 28 * 1440);
    assert_eq!(plan["purchases"][0]["order_by"], "2026-10-23");
    assert_eq!(plan["no_tooling"][0]["sooner"], true);
    assert_eq!(plan["no_tooling"][0]["cheaper"], true);
    assert_eq!(plan["no_tooling"][0]["without"]["finish"], "2026-10-27T10:00:00+01:00");
    assert_eq!(
        plan["loads"][0],
        json!({"cell": "draw-1", "week": "2026-W44", "run_min": 90, "setup_min": 30, "open_min": 2400})
    );
    assert_eq!(plan["left_out"][0], json!({"order": "O-2", "part": "P-2", "reasons": ["no cell"]}));
}

#[test]
fn tube_to_cut_and_to_buy() {
    let plan = written();
    assert_eq!(
        plan["tube_days"][0],
        json!({
            "tube": "T-1", "day": "2026-10-26", "first_cut": "2026-10-26T06:30:00+01:00",
            "first_cut_minute": 4770, "counted": false, "coming": "2026-10-25", "orders": ["O-1"],
            "cuts": [{
                "bar_mm": 6000.0, "bars": 1, "from": "house", "left_mm": 118.5, "kept": false,
                "pieces": [{"order": "O-1", "blank_mm": 1460.5, "count": 4}],
            }],
            "above_least_percent": 0.5, "too_long": [{"order": "O-9", "why": "too long"}],
        })
    );
    assert_eq!(
        plan["tube_to_buy"][0],
        json!({
            "tube": "T-1", "bar_mm": 6000.0, "bars": 2, "counted": true, "price": 36.0,
            "order_by": "2026-10-23", "too_late_arrival": "2026-10-27T07:00:00+01:00",
            "first_cut": "2026-10-26T06:30:00+01:00", "first_cut_minute": 4770, "orders": ["O-1"],
        })
    );
    assert_eq!(plan["orders"][0]["blank_mm"], 1460.4);
}

/// Every moment with a minute beside it says the same minute, and every key is in snake case.
#[test]
fn texts_and_minutes_agree_everywhere() {
    let mut seen = 0;
    walk(&written(), &mut seen);
    assert!(seen >= 10, "{seen} moments");
}

fn walk(value: &Value, seen: &mut usize) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| walk(item, seen)),
        Value::Object(members) => {
            for (key, value) in members {
                assert!(key.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_'), "{key}");
                if let Some(minute) = members.get(&format!("{key}_minute")) {
                    let text = value.as_str().expect("a moment is text");
                    assert_eq!(Some(at(text).get()), minute.as_i64(), "{key}");
                    *seen += 1;
                }
                walk(value, seen);
            }
        }
        _ => {}
    }
}
