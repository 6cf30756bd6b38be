//! A quote and a plan say the same: for every part of the demo shop, ordered alone, the cells that
//! `fit` offers are the bend options of the compiled routes, with the same tools and minutes.

use elbowroom_files::read_shop;
use elbowroom_planner::fit::{CellFit, Fit, Inquiry, Offer, StepFit, ToolSource, fit};
use elbowroom_planner::{CompileError, Compiled, Request, StepKind, compile};
use elbowroom_problem::{Availability, Cell, CellWork, Operation, Work};
use elbowroom_shop::Shop;
use elbowroom_shop::order::Order;
use elbowroom_tests::program::repository;
use elbowroom_tests::trial_shop::{date, trial_shop};
use elbowroom_units::{Minutes, Money};
use std::collections::BTreeSet;

const TODAY: &str = "2026-12-07";
const QUANTITY: u32 = 130;

fn demo() -> Shop {
    read_shop(&repository().join("examples/ottergrund")).shop.expect("the demo can be read")
}

/// The shop with nothing to do but one order for a part.
fn with_one_order(shop: &Shop, part: &str) -> Shop {
    let order = Order {
        id: "O".to_owned(),
        part: part.to_owned(),
        quantity: QUANTITY,
        promised: date("2027-06-01"),
        material: None,
        customer: None,
        late_cost_per_day: None,
    };
    Shop { orders: vec![order], underway: Vec::new(), ..shop.clone() }
}

fn compiled(shop: &Shop, part: &str) -> Option<Compiled> {
    match compile(&with_one_order(shop, part), &Request { start: date(TODAY), weeks: 1 }) {
        Ok(compiled) => Some(compiled),
        Err(CompileError::NothingToPlan { .. }) => None,
        Err(CompileError::Faulty(faults)) => panic!("{part}: {faults:?}"),
    }
}

fn asked(shop: &Shop, part: &str) -> Fit {
    let part = shop.parts.iter().find(|found| found.id == part).expect("the part is listed");
    fit(shop, part, &Inquiry { quantity: QUANTITY, today: date(TODAY) }).expect("its tube is listed")
}

/// Changing a cell of a problem over from what is mounted at the plan's start.
fn from_start(cell: &Cell, to: &str) -> Minutes {
    let table = cell.changeover.as_ref().expect("a bending cell is changed over");
    match cell.initial_setup.as_deref() {
        None => table.default,
        Some(from) if from == to => table.same,
        Some(from) => {
            let pair = table.pairs.iter().find(|(a, b, _)| a == from && b == to);
            pair.map_or(table.default, |(_, _, minutes)| *minutes)
        }
    }
}

fn tools_of(compiled: &Compiled, work: &CellWork) -> BTreeSet<String> {
    work.tools.iter().map(|tool| compiled.problem.tool(*tool).id.clone()).collect()
}

fn bend_options<'c>(compiled: &'c Compiled, route: usize, cell: &str) -> Vec<(&'c Work, &'c CellWork)> {
    let operations = &compiled.problem.jobs[0].routes[route].operations;
    let bend = operations.iter().find(|operation| operation.id == "bend").expect("it is bent");
    let on = |work: &'c Work| work.on_cell().map(|place| (work, place));
    bend.options.iter().filter_map(on).filter(|(_, at)| compiled.problem.cell(at.cell).id == cell).collect()
}

/// The offer of a cell against the compiled route of its process.
fn agrees(part: &str, compiled: &Compiled, route: usize, cell: &CellFit, offer: &Offer) {
    let what = format!("{part} on {}", cell.cell);
    let options = bend_options(compiled, route, &cell.cell);
    let wanted: BTreeSet<String> = offer.tools.iter().map(|tool| tool.tool.clone()).collect();
    let (work, place) = *options
        .iter()
        .find(|(_, place)| tools_of(compiled, place) == wanted)
        .unwrap_or_else(|| panic!("{what}: the plan has no option with {wanted:?}"));
    assert_eq!(offer.bending().run, work.run, "{what}: bending");
    assert_eq!(
        offer.setup_today,
        from_start(compiled.problem.cell(place.cell), &place.setup_key),
        "{what}: setup"
    );
    for tool in &offer.tools {
        same_source(&what, compiled, &tool.tool, tool.source);
    }
    let operations = &compiled.problem.jobs[0].routes[route].operations;
    let names: Vec<&str> = operations.iter().map(|operation| operation.id.as_str()).collect();
    let steps: Vec<&str> = offer.steps.iter().map(|step| step.name.as_str()).collect();
    assert_eq!(steps, names, "{what}: steps");
    for (at, (step, operation)) in offer.steps.iter().zip(operations).enumerate() {
        assert_eq!(step.pieces, compiled.key.jobs[0].routes[route].steps[at].pieces, "{what}: {}", step.name);
        if step.kind != StepKind::Bend {
            same_step(&what, compiled, route, at, (step, operation));
        }
    }
}

/// A tool that can be used at once is in the house in both; one to buy has the same price.
fn same_source(what: &str, compiled: &Compiled, id: &str, source: ToolSource) {
    let tool = compiled.problem.tools.iter().find(|tool| tool.id == id).expect("the plan has the tool");
    match (tool.availability, source) {
        (Availability::From(minute), ToolSource::Mounted | ToolSource::Rack) => {
            assert_eq!(minute.get(), 0, "{what}: {id}");
        }
        (Availability::From(minute), ToolSource::OnOrder { usable }) => {
            assert_eq!(compiled.clock.date(minute), usable, "{what}: {id}");
        }
        (Availability::Offer { price, lead }, ToolSource::ToBuy { price: quoted, usable, .. }) => {
            assert_eq!((price, compiled.clock.date(lead)), (quoted, usable), "{what}: {id}");
        }
        (planned, quoted) => panic!("{what}: {id} is {planned:?} in the plan and {quoted:?} in the quote"),
    }
}

/// The step's place is one of the plan's, with the same minutes, and none of them is cheaper.
fn same_step(
    what: &str,
    compiled: &Compiled,
    route: usize,
    at: usize,
    (step, operation): (&StepFit, &Operation),
) {
    let places = &compiled.key.jobs[0].routes[route].steps[at].places;
    let option = places.iter().position(|place| *place == step.place).expect("the plan has the place");
    assert_eq!(step.run, operation.options[option].run, "{what}: {}", step.name);
    let cost = |work: &Work| {
        let on_cell = |place: &CellWork| {
            let cell = compiled.problem.cell(place.cell);
            let change = cell.changeover.as_ref().map_or(Minutes::ZERO, |table| table.default);
            cell.run_rate * work.run + cell.setup_rate * change
        };
        work.cost + work.on_cell().map_or(Money::ZERO, on_cell)
    };
    let cheapest = operation.options.iter().map(cost).min().expect("there is an option");
    assert!(step.cost().same_as(cheapest), "{what}: {} costs {} and {cheapest}", step.name, step.cost());
}

fn is_estimated(offer: &Offer) -> bool {
    offer.tools.iter().any(|tool| matches!(tool.source, ToolSource::ToBuy { estimated: true, .. }))
}

/// How many offers were compared, and how many parts nobody can make.
fn compare(shop: &Shop, part: &str) -> (usize, usize) {
    let found = asked(shop, part);
    let Some(compiled) = compiled(shop, part) else {
        assert_eq!(found.able().count(), 0, "{part}: the plan leaves it out");
        assert!(found.cells.iter().all(|cell| cell.offer.as_ref().is_err_and(|why| !why.is_empty())));
        return (0, 1);
    };
    let mut compared = 0;
    for (at, route) in compiled.key.jobs[0].routes.iter().enumerate() {
        let process = route.process.expect("the order has not been bent");
        let able: Vec<_> = found.able().filter(|(cell, _)| cell.process == process).collect();
        // A plan buys what nobody has offered only where the process cannot do without.
        let spared = able.iter().any(|(_, offer)| !is_estimated(offer));
        let (left, planned): (Vec<_>, Vec<_>) =
            able.into_iter().partition(|(_, offer)| spared && is_estimated(offer));
        planned.iter().for_each(|(cell, offer)| agrees(part, &compiled, at, cell, offer));
        left.iter().for_each(|(cell, _)| assert_eq!(bend_options(&compiled, at, &cell.cell), [], "{part}"));
        let cells: BTreeSet<&str> = planned.iter().map(|(cell, _)| cell.cell.as_str()).collect();
        let bend = route.steps.iter().find(|step| step.kind == StepKind::Bend).expect("it is bent");
        assert_eq!(cells, bend.places.iter().map(String::as_str).collect(), "{part} by {process}");
        compared += planned.len();
    }
    let processes: BTreeSet<_> = found.able().map(|(cell, _)| cell.process).collect();
    let routes: BTreeSet<_> = compiled.key.jobs[0].routes.iter().filter_map(|route| route.process).collect();
    assert_eq!(processes, routes, "{part}");
    (compared, 0)
}

#[test]
fn every_part_of_the_demo() {
    let shop = demo();
    let counts: Vec<(usize, usize)> = shop.parts.iter().map(|part| compare(&shop, &part.id)).collect();
    let (offers, nobody) = counts.iter().fold((0, 0), |sum, count| (sum.0 + count.0, sum.1 + count.1));
    assert!(
        shop.parts.len() >= 40 && offers >= 80 && nobody >= 1,
        "{offers} offers, {nobody} that nobody can"
    );
}

#[test]
fn cells_that_nobody_mans_and_steps_that_nobody_does() {
    let mut shop = trial_shop();
    let part = shop.parts[0].id.clone();
    shop.crews.clear();
    shop.cells.iter_mut().for_each(|cell| cell.setup_crew = None);
    shop.calendars.push(elbowroom_shop::calendar::Calendar {
        id: "never".to_owned(),
        shifts: Vec::new(),
        extra: Vec::new(),
        closed: Vec::new(),
    });
    let bending = shop.cells.iter().position(|cell| cell.id == "draw-1").expect("the trial shop draws");
    shop.cells[bending].calendar = "never".to_owned();
    assert!(compare(&shop, &part).0 >= 2);
    let reasons = |shop: &Shop, cell: &str| -> Vec<String> {
        let found = asked(shop, &part);
        let cell = found.cells.iter().find(|found| found.cell == cell).expect("every bending cell answers");
        cell.offer.as_ref().expect_err("it cannot").iter().map(ToString::to_string).collect()
    };
    assert_eq!(reasons(&shop, "draw-1"), ["never open with its crew"]);
    shop.cells.retain(|cell| cell.work != elbowroom_shop::cell::WorkKind::Cut);
    assert_eq!(compare(&shop, &part), (0, 1));
    assert_eq!(reasons(&shop, "draw-2"), ["the shop has no cell for the step `cut`"]);
}

/// By hand, from the trial shop's rules: 60 an hour running, 30 changing over, no tube price.
#[test]
fn money_of_an_offer_adds_up() {
    let shop = trial_shop();
    let found = asked(&shop, &shop.parts[0].id);
    let (cell, offer) = found.able().next().expect("it can be made");
    let setup: i64 = offer.steps.iter().map(|step| step.setup.count()).sum();
    let run: i64 = offer.steps.iter().map(|step| step.run.count()).sum();
    assert_eq!(offer.work(), Minutes::new(setup + run), "{}", cell.cell);
    assert!(offer.cost.setup.same_as(Money::new(setup as f64 * 0.5)));
    assert!(offer.cost.run.same_as(Money::new(run as f64)));
    assert_eq!(offer.cost.tube, None);
    assert_eq!(
        found.able().map(|(_, offer)| offer.cost.total()).min(),
        Some(offer.cost.total()),
        "best first"
    );
    assert!(found.why.as_ref().is_some_and(|why| why.contains(&cell.cell)), "{:?}", found.why);
}
