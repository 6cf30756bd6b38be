//! A week looked back at, worked out by hand (common practice, no source, but for the arithmetic).

use chrono::{DateTime, TimeDelta, Utc};
use elbowroom_lookback::{
    Actual, CellFacts, Event, Facts, OrderFacts, PlannedLot, Reported, Review, lots, review,
};

/// A moment of the week: day and hour after Monday 00:00.
fn at(day: i64, hour: f64) -> DateTime<Utc> {
    let monday: DateTime<Utc> = "2026-12-07T00:00:00Z".parse().expect("it is a moment");
    monday + TimeDelta::days(day) + TimeDelta::seconds((hour * 3600.0) as i64)
}

fn reported(order: &str, cell: &str, at: DateTime<Utc>, event: Event) -> Reported {
    Reported { order: order.to_owned(), step: "bend".to_owned(), cell: Some(cell.to_owned()), at, event }
}

fn stopped(reason: &str) -> Event {
    Event::Stopped { reason: reason.to_owned() }
}

fn planned(order: &str, cell: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> PlannedLot {
    PlannedLot {
        order: order.to_owned(),
        step: "bend".to_owned(),
        part: "P-1".to_owned(),
        cell: cell.to_owned(),
        pieces: 100,
        setup_start: from,
        end: to,
        setup_min: 30.0,
        run_min: 90.0,
        setup_factor: 1.0,
        run_factor: 1.0,
    }
}

fn order(id: &str, due: f64, planned: f64, finished: Option<f64>) -> OrderFacts {
    OrderFacts {
        id: id.to_owned(),
        first_due: at(0, due),
        last_due: at(0, due),
        planned: at(0, planned),
        planned_cause: None,
        finished: finished.map(|hour| at(0, hour)),
    }
}

fn facts(orders: Vec<OrderFacts>, planned: Vec<PlannedLot>, actual: Vec<Actual>) -> Facts {
    let open = (0..5).map(|day| (at(day, 6.0), at(day, 14.0))).collect();
    Facts {
        period: (at(0, 0.0), at(7, 0.0)),
        zone: chrono_tz::UTC,
        now: at(7, 0.0),
        orders,
        planned,
        actual,
        cells: vec![CellFacts { id: "draw-1".to_owned(), open }],
    }
}

fn near(found: Option<f64>, expected: f64) {
    let found = found.expect("there is a value");
    assert!((found - expected).abs() < 1e-9, "{found}, expected {expected}");
}

/// O-1 takes from Monday 13:00 over the night to Tuesday 08:00 with a stop of half an hour on Tuesday:
/// 180 open minutes, 30 of them still, 30 of changing over as planned, 120 of running. It was to run
/// 90 minutes for 100 pieces and made 100, 96 of them good.
fn one_lot() -> Review {
    let reports = [
        reported("O-1", "draw-1", at(0, 13.0), Event::Started),
        reported("O-1", "draw-1", at(1, 6.5), stopped("no blanks")),
        reported("O-1", "draw-1", at(1, 7.0), Event::Started),
        reported("O-1", "draw-1", at(1, 8.0), Event::Finished { good: 96, scrap: 4 }),
    ];
    review(&facts(Vec::new(), vec![planned("O-1", "draw-1", at(0, 12.0), at(0, 14.0))], lots(&reports)))
}

#[test]
fn times_count_open_hours_only() {
    let review = one_lot();
    let [cell] = review.cells.as_slice() else { panic!("one cell") };
    let elements = cell.elements;
    assert_eq!((elements.production, elements.setup, elements.delay), (120.0, 30.0, 30.0));
    assert_eq!((elements.planned_busy, elements.order_execution), (5.0 * 480.0, 19.0 * 60.0));
    near(elements.effectiveness(), 0.75);
    near(elements.quality_ratio(), 0.96);
    near(elements.technical_efficiency(), 0.8);
    let [lot] = review.lots.as_slice() else { panic!("one lot") };
    assert_eq!(
        (lot.took_min, lot.start_shift_min, lot.end_shift_min),
        (Some(180.0), Some(60.0), Some(18.0 * 60.0))
    );
    assert!(lot.as_planned, "begun an hour late on the planned day");
}

#[test]
fn adherence_counts_cell_and_day() {
    let reports = [
        reported("O-1", "draw-1", at(0, 6.0), Event::Started),
        reported("O-2", "draw-2", at(0, 6.0), Event::Started),
        reported("O-3", "draw-1", at(1, 6.0), Event::Started),
    ];
    let plan = ["O-1", "O-2", "O-3", "O-4"].map(|id| planned(id, "draw-1", at(0, 8.0), at(0, 10.0)));
    near(review(&facts(Vec::new(), plan.to_vec(), lots(&reports))).adherence(), 0.25);
}

/// Finish less promise: -2, 0, 3, -1, 5 days: mean lateness 1, mean tardiness 1.6, 2 of 5 late.
#[test]
fn lateness_against_tardiness() {
    let finish = [-2.0, 0.0, 3.0, -1.0, 5.0].map(|days| 48.0 + 24.0 * days);
    let orders = finish.iter().map(|finish| order(&format!("to {finish}"), 48.0, 48.0, Some(*finish)));
    let on_time = review(&facts(orders.collect(), Vec::new(), Vec::new())).on_time;
    assert_eq!((on_time.due, on_time.kept), (5, 3));
    near(on_time.mean_lateness_min, 1440.0);
    near(on_time.mean_tardiness_min, 1.6 * 1440.0);
    near(on_time.share(), 0.6);
}

/// Promised for hour 100, then for 140, finished at 130: late against the first, early against the
/// last; both are told.
#[test]
fn a_promise_that_moved() {
    let moved = OrderFacts { last_due: at(0, 140.0), ..order("O-1", 100.0, 90.0, Some(130.0)) };
    let review = review(&facts(vec![moved], Vec::new(), Vec::new()));
    assert_eq!((review.on_time.kept, review.on_time.kept_last), (0, 1));
    assert_eq!((review.orders[0].lateness_min, review.orders[0].lateness_last_min), (1800.0, -600.0));
}

/// Due at hour 48, planned for hour 50 because of its tube (2 hours), finished at hour 58: 8 hours
/// more, of which 3 were a breakdown.
#[test]
fn lateness_is_put_down_to_plan_reports_and_the_rest() {
    let late =
        OrderFacts { planned_cause: Some("its tube".to_owned()), ..order("O-1", 48.0, 50.0, Some(58.0)) };
    let reports = [
        reported("O-1", "draw-1", at(1, 6.0), Event::Started),
        reported("O-1", "draw-1", at(1, 7.0), stopped("spindle")),
        reported("O-1", "draw-1", at(1, 10.0), Event::Started),
        reported("O-1", "draw-1", at(1, 11.0), Event::Finished { good: 1, scrap: 0 }),
    ];
    let review = review(&facts(vec![late], Vec::new(), lots(&reports)));
    let causes: Vec<(&str, f64)> =
        review.causes.iter().map(|cause| (cause.cause.as_str(), cause.minutes)).collect();
    assert_eq!(
        causes,
        [
            ("took or waited longer than planned, no reason reported", 300.0),
            ("spindle", 180.0),
            ("its tube", 120.0)
        ]
    );
    assert_eq!(causes.iter().map(|cause| cause.1).sum::<f64>(), review.orders[0].lateness_min);
}

#[test]
fn more_reported_than_lost_is_scaled_down() {
    let late = order("O-1", 48.0, 48.0, Some(49.0));
    let reports = [
        reported("O-1", "draw-1", at(1, 6.0), stopped("a")),
        reported("O-1", "draw-1", at(1, 7.0), stopped("b")),
        reported("O-1", "draw-1", at(1, 10.0), Event::Finished { good: 1, scrap: 0 }),
    ];
    let review = review(&facts(vec![late], Vec::new(), lots(&reports)));
    let causes: Vec<(&str, f64)> =
        review.causes.iter().map(|cause| (cause.cause.as_str(), cause.minutes)).collect();
    assert_eq!(causes, [("b", 45.0), ("a", 15.0)]);
}

/// A lot that was only reported as finished began nobody knows when: its pieces count, and no time.
#[test]
fn a_lot_of_which_nobody_said_when_it_began_takes_no_time() {
    let done = Event::Finished { good: 90, scrap: 10 };
    let actual = lots(&[reported("A", "draw-1", at(0, 9.0), done)]);
    let planned = vec![planned("A", "draw-1", at(0, 6.0), at(0, 8.0))];
    let found = review(&facts(Vec::new(), planned, actual));
    let cell = &found.cells[0].elements;
    assert_eq!((cell.produced, cell.scrap, cell.untimed), (100.0, 10.0, 100.0));
    assert_eq!((cell.processing(), cell.planned_production, cell.order_execution), (0.0, 0.0, 0.0));
    assert_eq!((cell.scrap_ratio(), cell.throughput_rate(), cell.effectiveness()), (Some(0.1), None, None));
    assert_eq!((found.lots[0].took_min, found.lots[0].start_shift_min), (None, None));
    assert_eq!(found.lots[0].end_shift_min, Some(60.0));
}
