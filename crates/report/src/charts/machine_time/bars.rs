//! The bars of a cell as lengths, before anything is drawn.

use crate::charts::axis::{Span, TimeAxis, gaps};
use elbowroom_planner::plan::{CellPlan, Task};
use elbowroom_shop::calendar::add_working_time;
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeSet;

/// A pause in a run shorter than this (a break) is not shown in its bar.
const LEAST_STANDSTILL: Minutes = Minutes::new(90);

/// One task as it appears on an axis, cut off at the axis' ends. Lengths are from and to, in
/// pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Which task of the cell.
    pub task: usize,
    /// Everything, from the setup's start to the run's end.
    pub whole: (f64, f64),
    /// Changing over.
    pub setup: Option<(f64, f64)>,
    /// Changed over, but the part is not there yet.
    pub waiting: Option<(f64, f64)>,
    /// The run.
    pub run: Option<(f64, f64)>,
    /// Where changing over or the run stands still because the cell is closed.
    pub still: Vec<(f64, f64)>,
    /// Whether it began before the axis does.
    pub from_before: bool,
    /// Whether it ends after the axis does.
    pub goes_on: bool,
    /// Whether its order will be late.
    pub late: bool,
    /// Whether it was under way at plan start.
    pub under_way: bool,
}

/// The bars of a cell that are on the axis, in order of time.
pub fn of_cell(cell: &CellPlan, axis: &TimeAxis, late: &BTreeSet<&str>) -> Vec<Bar> {
    let bar = |(i, task)| of_task(i, task, cell, axis, late);
    cell.tasks.iter().enumerate().filter_map(bar).collect()
}

fn of_task(i: usize, task: &Task, cell: &CellPlan, axis: &TimeAxis, late: &BTreeSet<&str>) -> Option<Bar> {
    let whole = axis.cut((task.setup_start, task.end))?;
    let (first, last) = axis.span();
    let ready = ready(task, &cell.open);
    Some(Bar {
        task: i,
        whole,
        setup: axis.cut((task.setup_start, ready)),
        waiting: axis.cut((ready, task.run_start)),
        run: axis.cut((task.run_start, task.end)),
        still: [(task.setup_start, ready), (task.run_start, task.end)]
            .into_iter()
            .flat_map(|span| standstills(span, &cell.open))
            .filter_map(|span| axis.cut(span))
            .collect(),
        from_before: task.setup_start < first,
        goes_on: task.end > last,
        late: late.contains(task.order.as_str()),
        under_way: task.under_way,
    })
}

/// When the cell is changed over: the first working minutes from the setup's start.
fn ready(task: &Task, open: &[Span]) -> Minute {
    if task.changeover <= Minutes::ZERO {
        return task.setup_start;
    }
    // Work that was under way may have been changed over outside working time.
    add_working_time(open, task.setup_start, task.changeover)
        .map_or(task.run_start, |m| m.min(task.run_start))
}

fn standstills((from, to): Span, open: &[Span]) -> Vec<Span> {
    let first = open.partition_point(|window| window.1 <= from);
    let last = open.partition_point(|window| window.0 < to);
    let here = open.get(first..last).unwrap_or_default();
    let closed = gaps(here, (from, to));
    closed.into_iter().filter(|span| span.0.until(span.1) >= LEAST_STANDSTILL).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_shop::cell::WorkKind;

    fn task(setup_start: i64, run_start: i64, end: i64, changeover: i64) -> Task {
        Task {
            order: "J-1".into(),
            part: "P-1".into(),
            quantity: 1,
            start_quantity: 1,
            step: "cut".into(),
            setup_start: Minute::new(setup_start),
            run_start: Minute::new(run_start),
            end: Minute::new(end),
            changeover: Minutes::new(changeover),
            run: Minutes::new(60),
            setup_factor: 1.0,
            run_factor: 1.0,
            tools: Vec::new(),
            mount: Vec::new(),
            setup_crew: None,
            run_crew: None,
            under_way: false,
        }
    }

    fn bars(tasks: Vec<Task>) -> Vec<Bar> {
        let open = vec![(Minute::new(0), Minute::new(480)), (Minute::new(1440), Minute::new(1920))];
        let (id, name) = ("saw-1".into(), "Saw 1".into());
        let cell = CellPlan { id, name, work: WorkKind::Cut, open, tasks };
        let axis = TimeAxis::new((Minute::new(0), Minute::new(1920)), &[], 0.0, 1920.0);
        of_cell(&cell, &axis, &BTreeSet::from(["J-1"]))
    }

    #[test]
    fn setup_waiting_and_run_follow_each_other() {
        let bars = bars(vec![task(10, 100, 300, 40)]);
        assert_eq!(bars[0].setup, Some((10.0, 50.0)));
        assert_eq!(bars[0].waiting, Some((50.0, 100.0)));
        assert_eq!(bars[0].run, Some((100.0, 300.0)));
        assert!(bars[0].still.is_empty() && bars[0].late && !bars[0].goes_on);
    }

    #[test]
    fn changing_over_stands_still_over_night_too() {
        let bars = bars(vec![task(460, 1480, 1600, 60)]);
        assert_eq!(bars[0].setup, Some((460.0, 1480.0)));
        assert_eq!(bars[0].still, [(480.0, 1440.0)]);
        assert_eq!(bars[0].waiting, None);
    }

    #[test]
    fn a_run_over_night_stands_still_where_the_cell_is_closed() {
        let bars = bars(vec![task(400, 400, 1500, 0), task(1500, 1530, 2500, 30)]);
        assert_eq!((bars[0].setup, bars[0].waiting), (None, None));
        assert_eq!(bars[0].still, [(480.0, 1440.0)]);
        assert!(bars[1].goes_on && !bars[1].from_before);
        assert_eq!(bars[1].run, Some((1530.0, 1920.0)));
    }
}
