//! What the shop floor reported becomes the work under way of the next plan.

use super::outside::Outside;
use crate::document::{Cell, Plan, Task};
use chrono::{DateTime, NaiveDate, NaiveTime, Timelike, Utc};
use chrono_tz::Tz;
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::{DatedSpan, PlanClock};
use elbowroom_shop::rack::ToolState;
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_store::{Floor, StepProgress, StepState};
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeMap;

/// The shop with reports carried over: finished steps are done, started ones are running, what they
/// were made with is mounted, and no cell is open before now. `plan`: the plan that the reports are about.
#[must_use]
pub fn carried_over(
    mut shop: Shop,
    floor: &Floor,
    plan: Option<&Plan>,
    start: NaiveDate,
    now: DateTime<Utc>,
) -> Shop {
    let minute_0 = PlanClock::new(shop.terms.time_zone, start).local(Minute::ZERO).to_utc();
    let outside = Outside { vendors: &shop.vendors, minute_0, now };
    let mut all = std::mem::take(&mut shop.underway);
    for (order, steps) in floor.orders() {
        let known = all.iter().position(|underway| underway.order == order);
        let mut underway = known.map_or_else(|| nothing_done(order), |at| all.remove(at));
        add_reports(&mut underway, steps, plan, &outside);
        all.push(underway);
    }
    for order in plan.iter().flat_map(|plan| &plan.orders) {
        let known = all.iter().position(|underway| underway.order == order.id);
        let running = outside.presumed(order, floor, known.map(|at| &all[at]));
        let Some(running) = running else { continue };
        let mut underway = known.map_or_else(|| nothing_done(&order.id), |at| all.remove(at));
        underway.running = Some(running);
        all.push(underway);
    }
    shop.underway = all;
    plan.iter().for_each(|plan| mount(&mut shop, floor, plan));
    let past = past_spans(start, now, shop.terms.time_zone);
    shop.cells.iter_mut().for_each(|cell| cell.closed.extend(past.iter().cloned()));
    shop
}

/// On each cell stand the tools and the program of the lot that was reported last.
fn mount(shop: &mut Shop, floor: &Floor, plan: &Plan) {
    let mut last: BTreeMap<&str, (DateTime<Utc>, &Task)> = BTreeMap::new();
    for (cell, task) in plan.cells.iter().flat_map(|cell| cell.tasks.iter().map(move |task| (cell, task))) {
        let told = floor.step(&task.order, &task.step);
        let elsewhere = told.cell.is_some_and(|told| told != cell.id);
        let Some(at) = told.finished.or(told.started).filter(|_| !elsewhere) else { continue };
        if last.get(cell.id.as_str()).is_none_or(|(before, _)| *before <= at) {
            last.insert(&cell.id, (at, task));
        }
    }
    for (cell, (_, task)) in last {
        let here = |id: &&String| {
            shop.tools.iter().any(|tool| tool.id == **id && matches!(tool.state, ToolState::Rack))
        };
        let mounted: Vec<String> = task.tools.iter().filter(here).cloned().collect();
        if mounted.is_empty() {
            continue;
        }
        let single = |id: &String| shop.tools.iter().any(|tool| tool.id == *id && tool.pieces == 1);
        let moved: Vec<String> = mounted.iter().filter(|id| single(id)).cloned().collect();
        for other in &mut shop.cells {
            if other.id == cell {
                other.mounted.clone_from(&mounted);
                other.mounted_program = Some(task.part.clone());
            } else {
                other.mounted.retain(|id| !moved.contains(id));
            }
        }
    }
}

fn nothing_done(order: &str) -> Underway {
    Underway { order: order.to_owned(), done: Vec::new(), running: None }
}

fn add_reports(
    underway: &mut Underway,
    steps: &BTreeMap<String, StepProgress>,
    plan: Option<&Plan>,
    outside: &Outside<'_>,
) {
    for (name, told) in steps {
        match told.state {
            StepState::Planned => {}
            StepState::Finished => {
                if !underway.done.contains(name) {
                    underway.done.push(name.clone());
                }
                if underway.running.as_ref().is_some_and(|running| running.step == *name) {
                    underway.running = None;
                }
            }
            StepState::Running | StepState::Stopped => {
                if let Some(running) =
                    plan.and_then(|plan| running(plan, &underway.order, name, told, outside))
                {
                    underway.running = Some(running);
                }
            }
        }
    }
}

/// A step that has been started, with the working time left by the pieces that were counted and the time
/// it has been running since.
fn running(
    plan: &Plan,
    order: &str,
    name: &str,
    told: &StepProgress,
    outside: &Outside<'_>,
) -> Option<RunningStep> {
    let step = plan.order(order)?.steps.iter().find(|step| step.name == name)?;
    if step.outside {
        return outside.reported(step, told);
    }
    let place = told.cell.clone().unwrap_or_else(|| step.place.clone());
    let tasks = plan.cells.iter().flat_map(|cell| cell.tasks.iter().map(move |task| (cell, task)));
    let (cell, task) = tasks.into_iter().find(|(_, task)| task.order == order && task.step == name)?;
    let left = left(cell, task, told, outside.now).max(1);
    Some(RunningStep { step: name.to_owned(), cell: place, remaining: Minutes::new(left), presumed: false })
}

fn left(cell: &Cell, task: &Task, told: &StepProgress, now: DateTime<Utc>) -> i64 {
    let made = i64::from(told.good) + i64::from(told.scrap);
    let since = told.counted.or(told.started).filter(|_| told.state == StepState::Running);
    let pieces = i64::from(task.start_quantity).max(1);
    let left = task.run_min * (pieces - made).max(0) / pieces;
    left - since.map_or(0, |since| open_minutes(cell, since, now))
}

/// For how long a cell was open between two moments.
fn open_minutes(cell: &Cell, from: DateTime<Utc>, to: DateTime<Utc>) -> i64 {
    let moment = |text: &str| DateTime::parse_from_rfc3339(text).map(|at| at.with_timezone(&Utc));
    let spans = cell.open.iter().filter_map(|[open, close]| Some((moment(open).ok()?, moment(close).ok()?)));
    spans.map(|(open, close)| (close.min(to) - open.max(from)).num_minutes().max(0)).sum()
}

/// What of the plan's time has passed already.
fn past_spans(start: NaiveDate, now: DateTime<Utc>, zone: Tz) -> Vec<DatedSpan> {
    let here = now.with_timezone(&zone);
    let today = here.date_naive();
    let passed = |date, times| DatedSpan { date, times, reason: "has passed".to_owned() };
    let mut spans: Vec<DatedSpan> =
        start.iter_days().take_while(|day| *day < today).map(|day| passed(day, None)).collect();
    let minute = NaiveTime::from_hms_opt(here.hour(), here.minute(), 0).unwrap_or(NaiveTime::MIN);
    if start <= today && minute > NaiveTime::MIN {
        spans.push(passed(today, Some((NaiveTime::MIN, minute))));
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    #[test]
    fn what_has_passed_is_closed() {
        let spans = |now: &str| past_spans("2026-12-07".parse().unwrap(), at(now), chrono_tz::Europe::Vienna);
        assert!(spans("2026-12-06T20:00:00Z").is_empty());
        assert!(spans("2026-12-06T23:00:00Z").is_empty(), "midnight in Vienna");
        let monday = spans("2026-12-07T09:30:20Z");
        assert_eq!(monday.len(), 1);
        assert_eq!(monday[0].times, Some((NaiveTime::MIN, "10:30".parse().unwrap())));
        let wednesday = spans("2026-12-09T09:30:00Z");
        assert_eq!(wednesday.iter().filter(|span| span.times.is_none()).count(), 2);
    }

    #[test]
    fn working_time_counts_only_open_hours() {
        let cell = Cell {
            id: "draw-1".to_owned(),
            name: "x".to_owned(),
            work: "rotary draw".to_owned(),
            open: vec![
                ["2026-12-07T06:00:00+01:00".to_owned(), "2026-12-07T14:00:00+01:00".to_owned()],
                ["2026-12-08T06:00:00+01:00".to_owned(), "2026-12-08T14:00:00+01:00".to_owned()],
            ],
            tasks: Vec::new(),
            more: serde_json::Map::default(),
        };
        // Monday 13:00 to Tuesday 07:30 in Vienna: one hour and one and a half.
        assert_eq!(open_minutes(&cell, at("2026-12-07T12:00:00Z"), at("2026-12-08T06:30:00Z")), 150);
    }
}
