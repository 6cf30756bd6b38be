//! The tools that the shop has: idle, worn, wanted twice.

use super::answer::{Idle, Second, Worn};
use super::cases::{beyond_the_book, booked};
use crate::compile::{Frame, StepKind, serves_exactly};
use crate::insertion::{Relaxed, Resource, earliest_finish};
use crate::promise::Standing;
use chrono::{Days, NaiveDate};
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_problem::{Availability, JobIdx, ToolIdx};
use elbowroom_shop::part::Part;
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money};

/// Days in a year of forecast.
const DAYS_A_YEAR: u64 = 365;
/// Days beyond which wear is nobody's concern.
const FAR: u64 = 3650;
/// Wear counts as near within a quarter of a year.
const NEAR: u64 = 91;

/// A tool and the parts of the book that it serves.
fn served<'s>(standing: &'s Standing, tool: &Tool) -> Vec<&'s Part> {
    let shop = standing.shop();
    let frame = Frame::new(shop, standing.request());
    let ways = standing.known().ways(&frame);
    let fits_cell = |cell: elbowroom_problem::CellIdx| {
        tool.fits.as_ref().is_none_or(|cells| cells.contains(&shop.cells[cell.get()].id))
    };
    let serves = |need: &ToolSpec| serves_exactly(&tool.spec, need, &shop.rules);
    let wanted = |at: usize| {
        let said = ways.of(at);
        said.fits.iter().any(|(cell, fit)| fits_cell(*cell) && fit.needs.iter().any(serves))
    };
    shop.parts.iter().enumerate().filter(|(at, _)| wanted(*at)).map(|(_, part)| part).collect()
}

/// Tools in the house or on order that serve no part which is ordered or forecast.
pub(super) fn idle(standing: &Standing) -> Vec<Idle> {
    let owned = standing.shop().tools.iter().filter(|tool| !matches!(tool.state, ToolState::Offered { .. }));
    owned
        .filter_map(|tool| {
            let parts = served(standing, tool);
            let asked = |part: &&Part| booked(standing, part) > 0 || part.yearly_quantity.unwrap_or(0) > 0;
            let nobody = !parts.iter().any(asked);
            let parts = parts.iter().map(|part| part.id.clone()).collect();
            nobody.then(|| Idle { tool: tool.id.clone(), kind: tool.spec.kind, parts })
        })
        .collect()
}

/// Bends of a piece that a tool makes.
fn bends_of(part: &Part, spec: &ToolSpec) -> u64 {
    let near = |clr: elbowroom_units::Mm| spec.clr.is_none_or(|own| (own - clr).abs().mm() < 0.1);
    part.shape.bends().iter().filter(|bend| near(bend.clr)).count() as u64
}

/// Tools whose bends are counted, the first to be worn out first.
pub(super) fn worn(standing: &Standing) -> Vec<Worn> {
    let counted = standing.shop().tools.iter().filter(|tool| tool.wear.is_some());
    let mut worn: Vec<Worn> = counted.filter_map(|tool| wear_of(standing, tool)).collect();
    worn.sort_by_key(|tool| (tool.worn_out.unwrap_or(NaiveDate::MAX), tool.tool.clone()));
    worn
}

fn wear_of(standing: &Standing, tool: &Tool) -> Option<Worn> {
    let wear = tool.wear?;
    let (limit, bends) = (u64::from(wear.limit), u64::from(wear.bends));
    let planned = planned_bends(standing, tool);
    let parts = served(standing, tool);
    let year = |part: &&Part| u64::from(beyond_the_book(standing, part)) * bends_of(part, &tool.spec);
    let yearly: u64 = parts.iter().map(year).sum();
    let days = days_left(limit, bends, planned, yearly);
    let after = |days: u64| standing.start().checked_add_days(Days::new(days));
    let lead = standing.shop().rules.tooling.default.of(tool.spec.kind).lead;
    let lead = lead.count().unsigned_abs().div_ceil(MINUTES_PER_DAY.unsigned_abs());
    let order_in = days.map(|days| days.saturating_sub(lead));
    let soon = NEAR.max(u64::from(standing.request().weeks) * 7);
    Some(Worn {
        tool: tool.id.clone(),
        kind: tool.spec.kind,
        bends,
        limit,
        planned,
        yearly,
        worn_out: days.and_then(after),
        order_by: order_in.and_then(after),
        near: order_in.is_some_and(|days| days <= soon),
    })
}

/// Days until a tool is worn out: those of the plan count as one with the year's, spread evenly.
fn days_left(limit: u64, bends: u64, planned: u64, yearly: u64) -> Option<u64> {
    let left = limit.saturating_sub(bends);
    let rate = planned + yearly;
    let days = (left * DAYS_A_YEAR).checked_div(rate)?;
    (days <= FAR).then_some(days)
}

/// Bends that the plan's lots make with a tool.
fn planned_bends(standing: &Standing, tool: &Tool) -> u64 {
    let (problem, key) = (standing.problem(), standing.key());
    let Some(at) = problem.tools.iter().position(|known| known.id == tool.id).map(ToolIdx::new) else {
        return 0;
    };
    let placed = standing.schedule().schedule().operations.iter();
    let uses = placed.filter(|placed| {
        let work = problem.option(placed.option).on_cell();
        work.is_some_and(|work| work.tools.contains(&at)) && key.step(placed.option).kind == StepKind::Bend
    });
    uses.map(|placed| {
        let order = &standing.shop().orders[key.job(placed.option.job).order];
        let part = standing.shop().parts.iter().find(|part| part.id == order.part);
        u64::from(key.step(placed.option).pieces) * part.map_or(0, |part| bends_of(part, &tool.spec))
    })
    .sum()
}

/// Tools that several lots share and of which another one would save late days.
pub(super) fn seconds(standing: &Standing) -> Vec<Second> {
    let problem = standing.problem();
    let tools = (0..problem.tools.len()).map(ToolIdx::new);
    let mut found: Vec<Second> = tools.filter_map(|tool| second(standing, tool)).collect();
    found.sort_by_key(|second| std::cmp::Reverse(second.saved));
    found
}

fn second(standing: &Standing, tool: ToolIdx) -> Option<Second> {
    let (problem, key) = (standing.problem(), standing.key());
    if matches!(problem.tool(tool).availability, Availability::Offer { .. }) {
        return None;
    }
    let usual = standing.shop().rules.tooling.default.of(key.tool(tool).kind);
    let there = standing.arrival(usual.lead);
    let jobs = users(standing, tool);
    let gains: Vec<(JobIdx, Minutes)> =
        jobs.into_iter().filter_map(|job| Some((job, gain(standing, job, tool, there)?))).collect();
    let order = |job: JobIdx| &standing.shop().orders[key.job(job).order];
    let days = |gain: Minutes| gain.count() as f64 / MINUTES_PER_DAY as f64;
    let saved: Money = gains.iter().map(|(job, gain)| standing.late_cost(order(*job)) * days(*gain)).sum();
    (!gains.is_empty()).then(|| Second {
        tool: problem.tool(tool).id.clone(),
        orders: gains.iter().map(|(job, gain)| (order(*job).id.clone(), *gain)).collect(),
        saved,
        price: usual.price,
        lead: usual.lead,
    })
}

/// Jobs that use a tool and are late.
fn users(standing: &Standing, tool: ToolIdx) -> Vec<JobIdx> {
    let problem = standing.problem();
    let schedule = standing.schedule().schedule();
    let uses = |placed: &&elbowroom_problem::Placement| {
        problem.option(placed.option).on_cell().is_some_and(|work| work.tools.contains(&tool))
    };
    let mut jobs: Vec<JobIdx> =
        schedule.operations.iter().filter(uses).map(|placed| placed.option.job).collect();
    jobs.sort_unstable();
    jobs.dedup();
    jobs.retain(|job| standing.end(*job) > problem.job(*job).due);
    jobs
}

/// How much less late a job could be with a piece of the tool to itself; only if that still helps
/// once the piece could be here.
fn gain(standing: &Standing, job: JobIdx, tool: ToolIdx, there: Minute) -> Option<Minutes> {
    let (problem, schedule) = (standing.problem(), standing.schedule().schedule());
    let relaxed = Relaxed { rivals_gone: false, free: &[Resource::Tool(tool)] };
    let with = earliest_finish(problem, schedule, job, relaxed)?;
    let plain = earliest_finish(problem, schedule, job, Relaxed::default())?;
    let (due, now) = (problem.job(job).due, standing.end(job).min(plain));
    let (with, now) = (with.max(due).max(there), now.max(due));
    (with < now).then(|| now - with)
}
