//! A Saturday shift on a cell that the order waits for.

use super::probes::{chosen, same_vendors};
use super::{Bench, Trial};
use crate::plan::RemedyKind;
use chrono::{Datelike, Days, NaiveDate, Weekday};
use elbowroom_engine::{Aim, probe};
use elbowroom_problem::{CellIdx, Crew, CrewIdx, HeadCount, JobIdx, Problem, Window};
use elbowroom_units::{Minute, Minutes};
use std::borrow::Cow;

/// Cells that are tried, those first before which the order waits longest.
const MOST_CELLS: usize = 3;

/// Tries a Saturday shift on one cell after the other.
pub(super) fn trials(bench: &Bench<'_>, job: JobIdx, take: &mut dyn FnMut(Trial<'_>)) {
    let planned = bench.planned;
    let Some(now) = chosen(planned.schedule.schedule(), job) else { return };
    let Some(day) = saturday(bench, job) else { return };
    let clock = &planned.plan.clock;
    let facts = &bench.shop.uncertainty.overtime;
    let shift = Window { start: clock.minute(day, facts.from), end: clock.minute(day, facts.to) };
    for cell in waited_for(bench, job).into_iter().take(MOST_CELLS) {
        if bench.time_is_up() {
            return;
        }
        let Some((problem, gained)) = with_shift(&planned.problem, cell, shift) else { continue };
        let only =
            |at: elbowroom_problem::OptionIdx| at.route == now[0].route && same_vendors(&problem, &now, at);
        let found = probe(&problem, planned.schedule.schedule(), job, Aim::Earliest, &only);
        let Some(schedule) = found.map(|found| found.schedule) else { continue };
        let premium = 1.0 + facts.premium_percent / 100.0;
        let id = &bench.shop.cells[cell.get()].id;
        take(Trial {
            kind: RemedyKind::Overtime,
            brief: format!("Saturday {day} on {id}"),
            text: format!(
                "Saturday shift on {day}, {} to {}, on {id}",
                facts.from.format("%H:%M"),
                facts.to.format("%H:%M"),
            ),
            shop: Cow::Borrowed(bench.shop),
            problem: Cow::Owned(problem),
            key: Cow::Borrowed(&planned.key),
            schedule,
            extra: bench.shop.cells[cell.get()].run_rate * gained * premium,
        });
    }
}

/// The last Saturday before the order is due that is not a holiday; the first of the plan where
/// there is none before.
fn saturday(bench: &Bench<'_>, job: JobIdx) -> Option<NaiveDate> {
    let (plan, job) = (&bench.planned.plan, bench.planned.problem.job(job));
    let due = plan.clock.date(job.due).max(plan.start);
    let is_open = |day: &NaiveDate| {
        day.weekday() == Weekday::Sat && !bench.shop.holidays.iter().any(|holiday| holiday.date == *day)
    };
    let before = (0..14).filter_map(|back| due.checked_sub_days(Days::new(back)));
    let after = (0..14).filter_map(|on| plan.start.checked_add_days(Days::new(on)));
    before.take_while(|day| *day >= plan.start).find(is_open).or_else(|| after.into_iter().find(is_open))
}

/// The cells of an order, those first before which it waits longest for its turn.
fn waited_for(bench: &Bench<'_>, job: JobIdx) -> Vec<CellIdx> {
    let problem = &bench.planned.problem;
    let mut steps: Vec<_> =
        bench.planned.schedule.schedule().operations.iter().filter(|p| p.option.job == job).collect();
    steps.sort_by_key(|placed| placed.option.operation);
    let mut ready = problem.job(job).release;
    let mut waits: Vec<(Minutes, CellIdx)> = Vec::new();
    for placed in steps {
        if let Some(work) = problem.option(placed.option).on_cell() {
            waits.push((ready.until(placed.end), work.cell));
        }
        ready = placed.end + problem.operation(placed.option).lag_after;
    }
    waits.sort_by_key(|(wait, _)| std::cmp::Reverse(*wait));
    let mut cells = Vec::new();
    for (_, cell) in waits {
        if !cells.contains(&cell) {
            cells.push(cell);
        }
    }
    cells
}

/// The problem with a cell open in a span, and a head of its crews there where nobody is; with the
/// time gained. `None` if nothing is gained.
fn with_shift(problem: &Problem, cell: CellIdx, shift: Window) -> Option<(Problem, Minutes)> {
    let mut parts = problem.clone().into_parts();
    let windows = &mut parts.cells[cell.get()].windows;
    let open =
        |windows: &[Window]| -> Minutes { windows.iter().map(|window| window.start.until(window.end)).sum() };
    let before = open(windows);
    add_window(windows, shift);
    let gained = open(windows) - before;
    if gained <= Minutes::ZERO || shift.start < Minute::ZERO || shift.end > parts.horizon {
        return None;
    }
    for crew in crews_of(problem, cell) {
        man(&mut parts.crews[crew.get()], shift);
    }
    Problem::new(parts).ok().map(|problem| (problem, gained))
}

/// Windows stay sorted, disjoint and not touching.
fn add_window(windows: &mut Vec<Window>, mut added: Window) {
    let touches = |window: &Window| window.start <= added.end && added.start <= window.end;
    let (near, mut rest): (Vec<Window>, Vec<Window>) = windows.iter().partition(|window| touches(window));
    for window in near {
        added = Window { start: added.start.min(window.start), end: added.end.max(window.end) };
    }
    rest.push(added);
    rest.sort_by_key(|window| window.start);
    *windows = rest;
}

/// Crews that any work on a cell needs.
fn crews_of(problem: &Problem, cell: CellIdx) -> Vec<CrewIdx> {
    let options = problem.jobs.iter().flat_map(|job| &job.routes).flat_map(|route| &route.operations);
    let works = options.flat_map(|operation| &operation.options).filter_map(|option| option.on_cell());
    let mut crews: Vec<CrewIdx> = works
        .filter(|work| work.cell == cell)
        .flat_map(|work| [work.setup_crew, work.run_crew])
        .flatten()
        .collect();
    crews.sort_unstable();
    crews.dedup();
    crews
}

/// One head more during a shift in which nobody was to be there.
fn man(crew: &mut Crew, shift: Window) {
    let overlaps = |count: &HeadCount| {
        count.heads > 0 && count.window.start < shift.end && shift.start < count.window.end
    };
    if crew.capacity.iter().any(overlaps) {
        return;
    }
    crew.capacity.retain(|count| count.heads > 0);
    crew.capacity.push(HeadCount { window: shift, heads: 1 });
    crew.capacity.sort_by_key(|count| count.window.start);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window(start: i64, end: i64) -> Window {
        Window { start: Minute::new(start), end: Minute::new(end) }
    }

    #[test]
    fn a_window_that_touches_others_becomes_one_with_them() {
        let check = |added, expected: &[Window]| {
            let mut windows = vec![window(10, 20), window(30, 40)];
            add_window(&mut windows, added);
            assert_eq!(windows, expected);
        };
        check(window(50, 60), &[window(10, 20), window(30, 40), window(50, 60)]);
        check(window(22, 25), &[window(10, 20), window(22, 25), window(30, 40)]);
        check(window(20, 30), &[window(10, 40)]);
        check(window(0, 35), &[window(0, 40)]);
    }

    #[test]
    fn a_crew_gets_one_head_where_nobody_is_there() {
        let mut crew = Crew {
            id: "w".to_owned(),
            capacity: vec![
                HeadCount { window: window(0, 10), heads: 2 },
                HeadCount { window: window(10, 50), heads: 0 },
            ],
        };
        man(&mut crew, window(5, 8));
        assert_eq!(crew.capacity.len(), 2, "somebody is there");
        man(&mut crew, window(20, 30));
        assert_eq!(crew.capacity[1], HeadCount { window: window(20, 30), heads: 1 });
    }
}
