//! What follows from orders on a cell, on a cell with two operations whose numbers are added up by hand.

use super::super::tasks::Shop;
use super::sequence::Sequence;

const A: (usize, usize) = (0, 0);
const B: (usize, usize) = (1, 0);

/// One cell, always open, nothing mounted; a run of 100 minutes with key `a` and one of 300 with key `b`.
/// From `a` to `b` it takes 5 minutes to change over, otherwise 20.
fn shop() -> Shop {
    let job = |id: &str, run: i64, key: &str| {
        format!(
            r#"{{"id": "{id}", "release": 0, "due": 0, "late_cost_per_day": 1.0, "routes": [{{"id": "only",
               "cost": 0.0, "operations": [{{"id": "bend", "lag_after": 0, "options": [{{"cell": "bend",
               "run": {run}, "setup_key": "{key}", "tools": [], "setup_crew": null, "run_crew": null,
               "cost": 0.0}}]}}]}}]}}"#
        )
    };
    let text = format!(
        r#"{{"format": "elbowroom-problem/1", "name": "two", "objective": "cost", "horizon": 1000,
           "cells": [{{"id": "bend", "windows": [[0, 1000]], "run_rate": 0.0, "setup_rate": 1.0,
           "initial_setup": null, "changeover": {{"default": 20, "same": 0, "pairs": [["a", "b", 5]]}}}}],
           "tools": [], "crews": [], "jobs": [{}, {}], "pinned": [], "committed_purchases": []}}"#,
        job("A", 100, "a"),
        job("B", 300, "b")
    );
    let problem = elbowroom_contract::read_problem(text.as_bytes()).expect("the text is a problem");
    Shop::new(&problem, None)
}

fn starts(shop: &Shop, (job, step): (usize, usize)) -> (i64, i64) {
    let choice = &shop.tasks[job].steps[step].choices[0];
    (choice.first, choice.last)
}

fn start_by(shop: &mut Shop, (job, step): (usize, usize), last: i64) {
    shop.tasks[job].steps[step].choices[0].last = last;
}

#[test]
fn the_order_that_is_left_narrows_both() {
    let mut shop = shop();
    let sequence = Sequence::new(&shop);
    assert_eq!((starts(&shop, A), starts(&shop, B)), ((20, 900), (5, 700)));
    assert!(matches!(sequence.narrow(&mut shop, &[]), Ok(false)), "either may come first");
    // B before A would have A begin at 5 + 300 + 20 = 325 or later.
    start_by(&mut shop, A, 324);
    start_by(&mut shop, B, 250);
    assert!(matches!(sequence.narrow(&mut shop, &[]), Ok(true)));
    // A before B: A ends 5 minutes before 250, and B begins after 20 + 100 + 5.
    assert_eq!((starts(&shop, A), starts(&shop, B)), ((20, 145), (125, 250)));
}

#[test]
fn an_order_that_cannot_be_kept_leaves_nothing() {
    let mut shop = shop();
    let sequence = Sequence::new(&shop);
    start_by(&mut shop, A, 324);
    assert!(sequence.narrow(&mut shop, &[(B, A)]).is_err());
}

#[test]
fn nothing_is_asked_about_an_order_that_is_known() {
    let mut shop = shop();
    let sequence = Sequence::new(&shop);
    assert_eq!(sequence.questions(&shop, &[], 5).len(), 1);
    assert!(sequence.narrow(&mut shop, &[(A, B)]).is_ok());
    assert!(sequence.questions(&shop, &[(A, B)], 5).is_empty());
}

#[test]
fn least_setups_follow_what_can_stand_before() {
    let base = shop();
    let sequence = Sequence::new(&base);
    let setups = |orders: &[_]| {
        let mut shop = base.clone();
        assert!(sequence.narrow(&mut shop, orders).is_ok());
        sequence.raise(&mut shop, &base, orders, &Vec::new());
        [A, B].map(|(job, step)| shop.tasks[job].steps[step].choices[0].setup)
    };
    assert_eq!(setups(&[]), [20, 5], "B may stand right behind A");
    assert_eq!(setups(&[(A, B)]), [20, 5]);
    assert_eq!(setups(&[(B, A)]), [20, 20], "nothing stands before B");
}
