//! Rows and bars as marks.

use super::bars::Bar;
use super::{OFF, Row, Sizes, labels};
use crate::charts::axis::{TimeAxis, gaps};
use crate::charts::frame;
use crate::charts::legend::{LATE_FRAME, SIGN, late_sign, setup_bar, under_way_sign, work_band};
use crate::picture::{Frame, Group, Ink};
use crate::when;
use elbowroom_planner::plan::{Plan, Task};

/// What lies behind all bars: open and closed time of every cell, lines between cells and days.
pub fn ground(plan: &Plan, axis: &TimeAxis, rows: &[Row<'_>], sizes: Sizes) -> Group {
    let mut group = Group::default();
    for row in rows {
        let room =
            Frame { top: row.frame.top - sizes.lane, bottom: row.frame.bottom + sizes.signs, ..row.frame };
        group.area(room, Ink::Open);
        for (left, right) in gaps(&row.cell.open, axis.span()).into_iter().filter_map(|gap| axis.cut(gap)) {
            group.area(Frame { left, right, ..room }, OFF);
        }
        for day in crate::charts::axis::days(&plan.clock, axis).iter().skip(1) {
            group.line(vec![(day.left, room.top), (day.left, room.bottom)], Ink::Rule, 1.0);
        }
        group.line(vec![(room.left, room.top), (room.right, room.top)], Ink::Rule, 1.0);
    }
    if let (Some(first), Some(last)) = (rows.first(), rows.last()) {
        let (top, bottom) = (first.frame.top - sizes.lane, last.frame.bottom + sizes.signs);
        group.line(Frame { top, bottom, ..first.frame }.outline(1.0), Ink::Rule, 1.0);
    }
    group
}

/// A cell's name, its bars with their signs, and the words above them.
pub fn row(plan: &Plan, axis: &TimeAxis, row: &Row<'_>, sizes: Sizes) -> Vec<Group> {
    let mut groups = Vec::with_capacity(row.bars.len() + 1);
    let mut wishes = Vec::with_capacity(row.bars.len());
    let mut signs_from = f64::MIN;
    for (i, bar) in row.bars.iter().enumerate() {
        let task = &row.cell.tasks[bar.task];
        let mut group = Group { hint: Some(hint(plan, task, bar)), marks: Vec::new() };
        draw_bar(&mut group, row, bar);
        let run = bar.run.map(|(left, right)| Frame { left, right, ..row.frame });
        let texts = run.map(|run| labels::inside(task, run)).unwrap_or_default();
        wishes.push(labels::wish(task, bar, i == 0, !texts.is_empty()));
        texts.into_iter().for_each(|text| group.text(text));
        signs_from = draw_signs(&mut group, bar, row.frame.bottom + 2.0, signs_from, row.frame.right);
        groups.push(group);
    }
    let mut names = Group::default();
    frame::cell_name(&mut names, row.cell, row.frame.top + sizes.bar / 2.0, row.frame.left, sizes.name_lines);
    if sizes.lane > 10.0 {
        let middle = row.frame.top - sizes.lane / 2.0 + 0.5;
        labels::above(&wishes, middle, axis.x(axis.span().1) - 2.0)
            .into_iter()
            .for_each(|text| names.text(text));
    }
    groups.push(names);
    groups
}

fn draw_bar(group: &mut Group, row: &Row<'_>, bar: &Bar) {
    let part = |(left, right): (f64, f64)| Frame { left, right, ..row.frame };
    if let Some(setup) = bar.setup {
        draw_setup(group, bar, part(setup));
    }
    if let Some(waiting) = bar.waiting {
        group.area(part(waiting), Ink::Setup);
        group.line(part(waiting).outline(1.0), Ink::Text, 1.0);
    }
    if let Some(run) = bar.run {
        draw_run(group, row, bar, part(run));
    }
}

/// Changing over, hatched but for the time that it stands still.
fn draw_setup(group: &mut Group, bar: &Bar, setup: Frame) {
    setup_bar(group, setup);
    for pause in pauses(bar, setup) {
        group.area(pause, Ink::Still);
    }
    group.line(setup.outline(1.0), Ink::Text, 1.0);
}

/// Where a part of a bar stands still.
fn pauses(bar: &Bar, part: Frame) -> impl Iterator<Item = Frame> + Clone {
    let inside = move |&&(left, right): &&(f64, f64)| part.left <= left && right <= part.right;
    bar.still.iter().filter(inside).map(move |&(left, right)| Frame { left, right, ..part })
}

fn draw_run(group: &mut Group, row: &Row<'_>, bar: &Bar, run: Frame) {
    group.area(run, Ink::of_work(row.cell.work));
    let still = pauses(bar, run);
    still.clone().for_each(|frame| group.area(frame, Ink::Still));
    let mut left = run.left;
    for pause in still {
        work_band(group, Frame { left, right: pause.left, ..run }, row.cell.work);
        left = pause.right;
    }
    work_band(group, Frame { left, ..run }, row.cell.work);
    outline(group, run, bar);
}

/// The outline of a run, heavy where its order will be late, open where it goes on beyond the
/// picture.
fn outline(group: &mut Group, run: Frame, bar: &Bar) {
    let width = if bar.late { LATE_FRAME } else { 1.0 };
    if run.width() < 2.0 * width + 1.0 {
        // Nothing would be left between two sides: the run is its outline.
        group.area(Frame { right: run.right.max(run.left + 0.5), ..run }, Ink::Text);
        return;
    }
    let corners = run.outline(width);
    let (lt, rt, rb, lb) = (corners[0], corners[1], corners[2], corners[3]);
    let began = bar.from_before && bar.setup.is_none() && bar.waiting.is_none();
    let lines = match (began, bar.goes_on) {
        (false, false) => vec![corners],
        (true, false) => vec![vec![lt, rt, rb, lb]],
        (false, true) => vec![vec![rt, lt, lb, rb]],
        (true, true) => vec![vec![lt, rt], vec![lb, rb]],
    };
    lines.into_iter().for_each(|points| group.line(points, Ink::OnWork, width));
}

/// Adds the signs of a bar below it, no earlier than `from`; answers where the next may stand.
///
/// A sign without room is left out: a late bar has its heavy outline all the same, and work under
/// way is the first on its cell and always has room.
fn draw_signs(group: &mut Group, bar: &Bar, y: f64, from: f64, right: f64) -> f64 {
    let mut x = bar.whole.0.min(right - 2.0 * SIGN);
    let mut free = from;
    if bar.under_way && x >= free {
        under_way_sign(group, x, y);
        x += SIGN + 2.0;
        free = x;
    }
    if bar.late && x >= free {
        late_sign(group, x, y);
        free = x + SIGN + 1.0;
    }
    free
}

/// What a pointer shows on a bar.
fn hint(plan: &Plan, task: &Task, bar: &Bar) -> String {
    let at = |minute| when::moment(&plan.clock, minute);
    let mut lines = vec![format!("{}, {}: {} × {}", task.order, task.step, task.quantity, task.part)];
    if task.changeover.count() > 0 {
        lines.push(format!("change over {} ({})", at(task.setup_start), task.changeover));
    }
    lines.push(format!("run {} to {}", at(task.run_start), at(task.end)));
    if !task.mount.is_empty() {
        lines.push(format!("put on {}", task.mount.join(", ")));
    }
    if bar.late {
        lines.push("order will be late".to_owned());
    }
    if bar.under_way {
        lines.push("under way when the plan begins".to_owned());
    }
    lines.join("; ")
}
