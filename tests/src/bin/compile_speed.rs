//! How long a large order book takes to compile: `cargo run --release -p elbowroom-tests --bin
//! compile_speed [ORDERS]`. Every order is for a part of its own.

use elbowroom_bending::process::Process;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_planner::compile;
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::part::Part;
use elbowroom_tests::chance::Chance;
use elbowroom_tests::trial_shop::{CLR, cell, draw, order, part, request, trial_shop};
use elbowroom_units::{Deg, Mm};
use std::time::Instant;

fn main() {
    let orders = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(5000);
    let shop = large_shop(orders);
    let start = Instant::now();
    match compile(&shop, &request()) {
        Ok(compiled) => {
            let pairs =
                |cell: &elbowroom_problem::Cell| cell.changeover.as_ref().map_or(0, |c| c.pairs.len());
            println!(
                "{orders} orders of {orders} parts on {} cells: {:.2} s; {} tools, {} pairs of keys, {} left out",
                shop.cells.len(),
                start.elapsed().as_secs_f64(),
                compiled.problem.tools.len(),
                compiled.problem.cells.iter().map(pairs).sum::<usize>(),
                compiled.left_out.len(),
            );
        }
        Err(error) => println!("{error:?}"),
    }
}

/// Parts of 1 to 8 bends with 1 of 40 radii on 12 bending cells.
fn large_shop(orders: usize) -> Shop {
    let mut chance = Chance::new(1);
    let mut shop = trial_shop();
    shop.parts.clear();
    for number in 3..10 {
        shop.cells.push(draw(&format!("draw-{number}")));
    }
    shop.cells.push(cell("free-2", WorkKind::Bend(Process::FreeForm)));
    shop.cells.push(cell("roll", WorkKind::Bend(Process::ThreeRoll)));
    for number in 0..orders {
        let id = format!("P-{number}");
        shop.parts.push(any_part(&id, &mut chance));
        shop.orders.push(order(&format!("O-{number}"), &id, 50, "2026-12-18"));
    }
    shop
}

fn any_part(id: &str, chance: &mut Chance) -> Part {
    let clr = Mm::new(CLR + 2.0 * chance.from_to(0, 39) as f64);
    let bends = (0..chance.from_to(1, 8)).map(|_| Bend {
        straight_before: Mm::new(chance.from_to(200, 600) as f64),
        rotation: Deg::new(0.0),
        clr,
        angle: Deg::new(chance.from_to(10, 45) as f64),
    });
    let shape = Shape::from_rows(bends.collect(), Mm::new(300.0)).expect("long straights and gentle bends");
    Part { shape, ..part(id) }
}
