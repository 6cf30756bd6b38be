//! The lot in two halves: the second can be made elsewhere, or follow the first through the shop.

use super::{Bench, Trial};
use crate::compile::{Compiled, Request, compile_further};
use crate::plan::RemedyKind;
use elbowroom_engine::{Aim, probe};
use elbowroom_problem::{JobIdx, Placement, Schedule};
use elbowroom_shop::Shop;
use elbowroom_units::Money;
use std::borrow::Cow;
use std::collections::BTreeSet;

/// A horizon at least as long as the plan's is reached by stretching so often.
const STRETCHES: [u32; 2] = [1, 64];

/// Tries two halves, the second wherever it fits.
pub(super) fn trials(bench: &Bench<'_>, job: JobIdx, take: &mut dyn FnMut(Trial<'_>)) {
    let position = bench.planned.key.job(job).order;
    let order = &bench.shop.orders[position];
    let begun = bench.shop.underway.iter().any(|underway| underway.order == order.id);
    if order.quantity < 2 || begun {
        return;
    }
    let (first, second) = (order.quantity.div_ceil(2), order.quantity / 2);
    let shop = in_halves(bench, job, first, second);
    let Some(compiled) = compiled(bench, &shop) else { return };
    let Some((half, schedule)) = laid_in(bench, job, &compiled) else { return };
    let key = &compiled.key;
    for aim in [Aim::Cheapest, Aim::Earliest] {
        let Some(found) = probe(&compiled.problem, &schedule, half, aim, &|_| true) else { return };
        let schedule = found.schedule;
        let bent = schedule.operations.iter().map(|placed| placed.option);
        let bent = bent
            .into_iter()
            .find(|at| at.job == half && key.step(*at).kind == crate::compile::StepKind::Bend);
        let place = bent.map_or_else(String::new, |at| format!(", the second bent on {}", key.place(at)));
        take(Trial {
            kind: RemedyKind::Split,
            text: format!("split into lots of {first} and {second} pieces{place}"),
            brief: format!("in lots of {first} and {second} pieces"),
            shop: Cow::Borrowed(&shop),
            problem: Cow::Borrowed(&compiled.problem),
            key: Cow::Borrowed(key),
            schedule,
            extra: Money::ZERO,
        });
    }
}

/// The id of the second half of an order.
pub(super) fn second_half(shop: &Shop, order: &str) -> String {
    let mut id = format!("{order} (second half)");
    while shop.orders.iter().any(|one| one.id == id) {
        id.push('\'');
    }
    id
}

/// The shop with the order's first half in its place and the second at the end of the book. Being
/// late costs what it did, half for each.
fn in_halves(bench: &Bench<'_>, job: JobIdx, first: u32, second: u32) -> Shop {
    let mut shop = bench.shop.clone();
    let position = bench.planned.key.job(job).order;
    let half_cost = bench.planned.problem.job(job).late_cost_per_day / 2.0;
    let whole = &mut shop.orders[position];
    (whole.quantity, whole.late_cost_per_day) = (first, Some(half_cost));
    let mut half = whole.clone();
    half.id = second_half(bench.shop, &half.id);
    half.quantity = second;
    shop.orders.push(half);
    shop
}

/// The shop compiled with the same orders as the plan, and the second half as the last job; `None`
/// if it comes out otherwise.
fn compiled(bench: &Bench<'_>, shop: &Shop) -> Option<Compiled> {
    let planned = bench.planned;
    let request = Request { start: planned.plan.start, weeks: planned.plan.weeks };
    let known: BTreeSet<usize> = planned.key.jobs.iter().map(|job| job.order).collect();
    let without: BTreeSet<usize> =
        (0..bench.shop.orders.len()).filter(|order| !known.contains(order)).collect();
    let compile = |stretch| compile_further(shop, &request, &without, stretch).ok();
    let compiled = STRETCHES
        .into_iter()
        .filter_map(compile)
        .find(|compiled| compiled.problem.horizon >= planned.problem.horizon)?;
    let (was, is) = (&planned.problem.jobs, &compiled.problem.jobs);
    let same = was.iter().zip(is).all(|(was, is)| was.id == is.id && was.routes.len() == is.routes.len());
    (is.len() == was.len() + 1 && same).then_some(compiled)
}

/// The plan's schedule with the second half right behind the first: a sequence, whose times the
/// probe works out.
fn laid_in(bench: &Bench<'_>, job: JobIdx, compiled: &Compiled) -> Option<(JobIdx, Schedule)> {
    let half = JobIdx::new(compiled.problem.jobs.len().checked_sub(1)?);
    let mut schedule = bench.planned.schedule.schedule().clone();
    schedule.lower_bound = None;
    let behind = |placed: &Placement| {
        let mut placed = *placed;
        placed.option.job = half;
        placed
    };
    let halves: Vec<Placement> =
        schedule.operations.iter().filter(|placed| placed.option.job == job).map(behind).collect();
    schedule.operations.extend(halves);
    Some((half, schedule))
}
