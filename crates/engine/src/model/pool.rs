//! The columns: good ways of making each job.

use super::Assignment;
use crate::bound::BoundBudget;
use crate::bound::ascent::Ascent;
use crate::bound::meter::Meter;
use crate::bound::prices::{Prices, Resolution};
use crate::bound::relaxation::Relaxation;
use crate::bound::tasks::{Choice, Shop, Step, Task};
use crate::bound::way::{Leg, Pricing, Scratch, Way};
use crate::watch::Watch;
use elbowroom_problem::ToolIdx;
use elbowroom_units::Minute;
use std::collections::BTreeSet;
use std::time::Duration;

/// Evaluations of the relaxation that columns are taken from, at most.
const EVALUATIONS: u32 = 120;
/// Columns of one job, at most, besides the cheapest of each route.
const COLUMNS: usize = 12;
/// How coarsely columns see time.
const RESOLUTION: Resolution = Resolution { slot: 60, bucket: 8, mounting: 10 };

/// The columns of each job.
pub(super) struct Pool {
    pub(super) ways: Vec<Vec<Way>>,
    /// For each column, when the run of each step starts.
    pub(super) starts: Vec<Vec<Vec<i64>>>,
    /// The column of each job that is cheapest at the relaxation's prices.
    pub(super) cheapest: Vec<usize>,
}

impl Pool {
    /// Columns that the relaxation finds cheap on its climb, until the given time.
    pub(super) fn fill(shop: &Shop, watch: &dyn Watch, until: Duration) -> Option<Self> {
        let longest = shop.cells.iter().map(|cell| cell.time.total()).max().unwrap_or(0);
        let bucket = RESOLUTION.bucket.max((longest / 4_096).max(1).ilog2() + 1);
        let resolution = Resolution { bucket, mounting: RESOLUTION.mounting.max(bucket), ..RESOLUTION };
        let relaxation = Relaxation::new(shop, resolution);
        let mut meter = Meter::new(&BoundBudget { until, evaluations: Some(EVALUATIONS) }, watch);
        let mut ascent = Ascent::new(&relaxation, vec![0.0; relaxation.grid.size], 0.1, &meter)?;
        let mut found: Vec<Vec<Way>> = vec![Vec::new(); shop.tasks.len()];
        while meter.count() {
            if ascent.step(1.2 * ascent.value() + 1.0, &meter).is_none() {
                break;
            }
            for (ways, way) in found.iter_mut().zip(&ascent.work().ways) {
                ways.extend(way.clone());
            }
        }
        let prices = Prices::new(shop, &relaxation.grid, ascent.center());
        let pricing = Pricing { shop, prices: &prices };
        let own = cheapest_by_route(&pricing);
        let ways: Vec<Vec<Way>> = found.into_iter().zip(own).map(|(found, own)| keep(found, own)).collect();
        let jobs = || shop.tasks.iter().zip(&ways);
        let starts =
            jobs().map(|(task, ways)| ways.iter().map(|way| starts_of(&relaxation, task, way)).collect());
        let cheapest = jobs().map(|(task, ways)| cheapest_column(&pricing, task, ways)).collect();
        Some(Self { starts: starts.collect(), cheapest, ways })
    }

    /// The assignment of one chosen column for each job.
    pub(super) fn assignment(&self, shop: &Shop, chosen: &[usize]) -> Assignment {
        let mut out =
            Assignment { route: Vec::new(), option: Vec::new(), start: Vec::new(), purchases: Vec::new() };
        let mut bought = BTreeSet::new();
        for (job, task) in shop.tasks.iter().enumerate() {
            let way = &self.ways[job][chosen[job]];
            let choices: Vec<&Choice> =
                legs(task, way).map(|(step, leg)| &step.choices[leg.choice]).collect();
            out.route.push(task.routes[way.plan].index);
            out.option.push(choices.iter().map(|choice| choice.index).collect());
            out.start.push(self.starts[job][chosen[job]].iter().map(|minute| Minute::new(*minute)).collect());
            let offers = choices.iter().flat_map(|choice| &choice.offers);
            bought.extend(offers.map(|link| shop.offers[shop.offer_links[*link]].tool));
        }
        out.purchases = bought.into_iter().map(ToolIdx::new).collect();
        out
    }
}

/// The steps of a way with their legs.
pub(super) fn legs<'a>(task: &'a Task, way: &'a Way) -> impl Iterator<Item = (&'a Step, Leg)> {
    task.routes[way.plan].steps.iter().zip(&way.legs).map(|(step, leg)| (&task.steps[*step], *leg))
}

/// The cheapest way of each route of each job.
fn cheapest_by_route(pricing: &Pricing<'_>) -> Vec<Vec<Way>> {
    let mut scratch = Scratch::default();
    let mut of_task = |task: &Task| {
        let plans = 0..task.routes.len();
        plans.filter_map(|plan| pricing.cheapest_of_route(task, plan, &mut scratch)).collect()
    };
    pricing.shop.tasks.iter().map(&mut of_task).collect()
}

fn cheapest_column(pricing: &Pricing<'_>, task: &Task, ways: &[Way]) -> usize {
    let prices = ways.iter().map(|way| pricing.price(task, way)).enumerate();
    prices.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(column, _)| column)
}

/// The latest distinct columns found, and each route's own.
fn keep(found: Vec<Way>, own: Vec<Way>) -> Vec<Way> {
    let mut seen = BTreeSet::new();
    let latest = found.into_iter().rev().filter(|way| seen.insert(way.clone())).take(COLUMNS);
    let mut out: Vec<Way> = latest.collect();
    for way in own {
        if !out.contains(&way) {
            out.push(way);
        }
    }
    out
}

/// When the run of each step starts: as early as its slot allows.
fn starts_of(relaxation: &Relaxation<'_>, task: &Task, way: &Way) -> Vec<i64> {
    let start = |(step, leg): (&Step, Leg)| {
        let choice = &step.choices[leg.choice];
        match (step.pinned, choice.cell) {
            (Some((start, _)), _) => start,
            (None, None) => relaxation.grid.slots.start(leg.slot).max(choice.first),
            (None, Some(cell)) => {
                let position = relaxation.grid.maps[cell].low[leg.slot].max(choice.first);
                relaxation.shop.cells[cell].time.worked(position)
            }
        }
    };
    legs(task, way).map(start).collect()
}
