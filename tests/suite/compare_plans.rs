//! One plan held against another.

use chrono::{DateTime, FixedOffset};
use elbowroom_planner::compare::{
    CellOutline, Fate, LotOutline, OrderOutline, Outline, StepOutline, compare,
};
use elbowroom_planner::plan::MoneySum;
use elbowroom_tests::trial_shop::date;
use elbowroom_units::{Minutes, Money};

fn moment(text: &str) -> DateTime<FixedOffset> {
    text.parse().expect("a test writes moments that exist")
}

/// An order due at 16:00 on the 11th and finished on a day of December at 12:00.
fn order(id: &str, day: u32, cell: &str) -> OrderOutline {
    let finish = moment(&format!("2026-12-{day:02}T12:00:00+01:00"));
    let due = moment("2026-12-11T16:00:00+01:00");
    OrderOutline {
        id: id.to_owned(),
        part: "P".to_owned(),
        quantity: 10,
        promised: date("2026-12-11"),
        due,
        finish,
        bent: Some(("rotary draw".to_owned(), cell.to_owned())),
        cost: Money::new(100.0),
        late: (finish > due).then(|| format!("of day {day}")),
        steps: vec![step("bend", cell, &format!("{day:02}T08:00"), &format!("{day:02}T12:00"))],
    }
}

fn outline(orders: Vec<OrderOutline>, cost: f64) -> Outline {
    Outline {
        shop: "Trial".to_owned(),
        currency: "EUR".to_owned(),
        start: date("2026-12-07"),
        money: MoneySum { total: Money::new(cost), ..MoneySum::default() },
        orders,
        left_out: Vec::new(),
        cells: Vec::new(),
    }
}

/// A step in December 2026.
fn step(name: &str, place: &str, start: &str, end: &str) -> StepOutline {
    let at = |text: &str| moment(&format!("2026-12-{text}:00+01:00"));
    StepOutline { name: name.to_owned(), place: place.to_owned(), start: at(start), end: at(end) }
}

/// A cell that is open all day on days of December, with lots on it.
fn cell(id: &str, days: &[u32], lots: &[(&str, &str, &str)]) -> CellOutline {
    let at = |text: &str| moment(&format!("2026-12-{text}:00+01:00"));
    let day = |day: &u32| (at(&format!("{day:02}T06:00")), at(&format!("{day:02}T22:00")));
    let lot = |(order, from, to): &(&str, &str, &str)| LotOutline {
        order: (*order).to_owned(),
        step: "bend".to_owned(),
        from: at(from),
        to: at(to),
    };
    CellOutline {
        id: id.to_owned(),
        open: days.iter().map(day).collect(),
        lots: lots.iter().map(lot).collect(),
    }
}

#[test]
fn an_order_that_moved_in_time_is_told_which_step_and_what_has_its_place() {
    let why = |new_day: u32, new_cell: &str, cells: Vec<CellOutline>| {
        let mut old = outline(vec![order("O-1", 8, "draw-1")], 1.0);
        old.cells = vec![cell("draw-1", &[8, 9], &[("O-1", "08T08:00", "08T12:00")])];
        let mut new = outline(vec![order("O-1", new_day, new_cell)], 1.0);
        new.cells = cells;
        compare(&old, &new, Minutes::new(60)).moved[0].why.clone()
    };
    let rush = [("O-1", "09T08:00", "09T12:00"), ("RUSH", "08T07:00", "08T09:00")];
    assert_eq!(
        why(9, "draw-1", vec![cell("draw-1", &[8, 9], &rush)]).as_deref(),
        Some("bend begins 1 day later: RUSH bend has its place on draw-1")
    );
    assert_eq!(
        why(9, "draw-1", vec![cell("draw-1", &[9], &[])]).as_deref(),
        Some("bend begins 1 day later: draw-1 is closed then")
    );
    assert_eq!(
        why(8, "draw-2", vec![cell("draw-2", &[8, 9], &[])]).as_deref(),
        Some("bend is on draw-2, not draw-1: there is no draw-1 now")
    );
    assert_eq!(
        why(7, "draw-1", vec![cell("draw-1", &[7, 8, 9], &[])]).as_deref(),
        Some("bend begins 1 day sooner")
    );
}

#[test]
fn every_fate_is_told_the_worst_first() {
    let (a, b) = ("draw-1", "draw-2");
    let old = outline(
        vec![
            order("same", 10, a),
            order("late now", 10, a),
            order("later still", 12, a),
            order("in time now", 14, a),
            order("less late", 14, a),
            order("later", 8, a),
            order("sooner", 10, a),
            order("elsewhere", 9, a),
            order("gone", 9, a),
            order("impossible", 9, a),
        ],
        1000.0,
    );
    let mut new = outline(
        vec![
            order("same", 10, a),
            order("late now", 13, a),
            order("later still", 15, a),
            order("in time now", 10, b),
            order("less late", 13, a),
            order("later", 10, a),
            order("sooner", 8, a),
            order("elsewhere", 9, b),
            order("new", 9, a),
            order("new and late", 12, a),
        ],
        990.0,
    );
    new.left_out = vec![("impossible".to_owned(), vec!["no cell".to_owned(), "no die".to_owned()])];
    let told = compare(&old, &new, Minutes::new(60));
    let fates: Vec<(&str, Fate)> = told.moved.iter().map(|moved| (moved.id.as_str(), moved.fate)).collect();
    assert_eq!(
        fates,
        [
            ("impossible", Fate::LeftOut),
            ("late now", Fate::NowLate),
            ("new and late", Fate::NowLate),
            ("later still", Fate::LaterStill),
            ("in time now", Fate::NowInTime),
            ("less late", Fate::LessLate),
            ("later", Fate::Later),
            ("sooner", Fate::Sooner),
            ("elsewhere", Fate::Elsewhere),
            ("new", Fate::New),
            ("gone", Fate::Gone),
        ]
    );
    assert_eq!(told.unchanged, 1);
    assert_eq!(told.extra_cost, Money::new(-10.0));
    let why: Vec<Option<&str>> = told.moved.iter().map(|moved| moved.why.as_deref()).collect();
    assert_eq!(why[0], Some("no cell; no die"));
    assert_eq!(why[1], Some("of day 13"));
    assert_eq!(why[4], Some("it was late because of day 14"));
    assert!(told.moved[4].is_elsewhere() && !told.moved[1].is_elsewhere());
    assert_eq!(told.moved[1].shift(), Some(Minutes::days(3)));
}

#[test]
fn small_moves_are_left_out_unless_the_order_becomes_late() {
    let mut new = outline(vec![order("O-1", 10, "a"), order("O-2", 11, "a")], 1.0);
    new.orders[0].finish += chrono::TimeDelta::minutes(59);
    new.orders[1].finish += chrono::TimeDelta::minutes(241);
    let old = outline(vec![order("O-1", 10, "a"), order("O-2", 11, "a")], 1.0);
    let told = compare(&old, &new, Minutes::new(300));
    assert_eq!(told.moved.len(), 1, "{told:?}");
    assert_eq!((told.moved[0].id.as_str(), told.moved[0].fate), ("O-2", Fate::NowLate));
}

#[test]
fn a_plan_is_as_it_was_against_itself() {
    let one = outline(vec![order("O-1", 10, "a"), order("O-2", 13, "a")], 1.0);
    let told = compare(&one, &one, Minutes::new(1));
    assert_eq!((told.moved.len(), told.unchanged), (0, 2));
}
