//! Days and shift hours above the rows, and their lines through them.

use crate::charts::axis::{self, Day, TimeAxis};
use crate::charts::{NAME, SMALL};
use crate::picture::lettering::{self, Weight};
use crate::picture::{Anchor, Group, Ink, Text};
use crate::when;
use elbowroom_planner::plan::Plan;
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_units::Minute;

/// Height of a line of the scale.
const LINE: f64 = 15.0;

/// Adds the scale from `top` on; answers where the rows may begin.
pub fn draw(group: &mut Group, plan: &Plan, axis: &TimeAxis, top: f64, several_weeks: bool) -> f64 {
    let days = axis::days(&plan.clock, axis);
    let mut y = top + LINE * 0.6;
    if several_weeks {
        week_names(group, &days, y);
        y += LINE;
    }
    for day in &days {
        day_name(group, day, y);
    }
    y += 2.0 * LINE;
    if several_weeks {
        return y - 4.0;
    }
    for (x, words) in ticks(plan, axis) {
        group.text(Text::new((x, y), words, SMALL).ink(Ink::Quiet).anchor(Anchor::Middle));
        group.line(vec![(x, y + 7.0), (x, y + 11.0)], Ink::Rule, 1.0);
    }
    y + 11.0
}

fn week_names(group: &mut Group, days: &[Day], y: f64) {
    for week in days.chunk_by(|a, b| IsoWeek::of(a.date) == IsoWeek::of(b.date)) {
        let room = week[week.len() - 1].right - week[0].left - 6.0;
        let name = IsoWeek::of(week[0].date).to_string();
        let short = name.split_once('-').map_or(name.as_str(), |(_year, week)| week).to_owned();
        if let Some(words) = first_fitting(&[name, short], NAME, Weight::Bold, room) {
            group.text(Text::new((week[0].left + 3.0, y), words, NAME).bold());
        }
    }
}

/// Weekday and date on two lines, as long as the day is wide.
fn day_name(group: &mut Group, day: &Day, y: f64) {
    let room = day.right - day.left - 4.0;
    let middle = (day.left + day.right) / 2.0;
    let weekday = axis::weekday(day.date);
    let letters = [weekday.clone(), weekday.chars().take(2).collect(), weekday.chars().take(1).collect()];
    if let Some(words) = first_fitting(&letters, NAME, Weight::Bold, room) {
        group.text(Text::new((middle, y), words, NAME).bold().anchor(Anchor::Middle));
    }
    let dates = ["%Y-%m-%d", "%m-%d", "%d"].map(|form| day.date.format(form).to_string());
    for size in [NAME - 1.0, SMALL] {
        if let Some(words) = first_fitting(&dates[..1], size, Weight::Regular, room) {
            group.text(Text::new((middle, y + LINE), words, size).anchor(Anchor::Middle));
            return;
        }
    }
    if let Some(words) = first_fitting(&dates[1..], SMALL, Weight::Regular, room) {
        group.text(Text::new((middle, y + LINE), words, SMALL).anchor(Anchor::Middle));
    }
}

fn first_fitting(forms: &[String], size: f64, weight: Weight, room: f64) -> Option<String> {
    forms.iter().find(|form| lettering::width(form, size, weight) <= room).cloned()
}

/// Pixels and clock times of shift changes, those of most cells first, as many as fit.
fn ticks(plan: &Plan, axis: &TimeAxis) -> Vec<(f64, String)> {
    let (first, last) = axis.span();
    let mut placed: Vec<(f64, f64, String)> = Vec::new();
    for tick in axis::shift_ticks(plan, (first, last)) {
        let words = when::hour_minute(&plan.clock, tick.at);
        let half = lettering::width(&words, SMALL, Weight::Regular) / 2.0;
        let x = axis.x(tick.at);
        let inside = axis.x(first) <= x - half && x + half <= axis.x(last);
        if inside && placed.iter().all(|(other, width, _)| (x - other).abs() > half + width + 4.0) {
            placed.push((x, half, words));
        }
    }
    placed.into_iter().map(|(x, _, words)| (x, words)).collect()
}

/// Lines between the names of days, and the line at which the plan begins; `heights` are those of
/// the scale's top, its bottom and the bottom of all rows.
pub fn rules(plan: &Plan, axis: &TimeAxis, heights: (f64, f64, f64)) -> Group {
    let mut group = Group::default();
    let (scale_top, top, bottom) = heights;
    let days = axis::days(&plan.clock, axis);
    for (i, day) in days.iter().enumerate() {
        let week_begins = i > 0 && IsoWeek::of(day.date) != IsoWeek::of(days[i - 1].date);
        let width = if week_begins { 2.0 } else { 1.0 };
        group.line(vec![(day.left, scale_top), (day.left, top)], Ink::Rule, width);
    }
    if let Some(last) = days.last() {
        group.line(vec![(last.right, scale_top), (last.right, top)], Ink::Rule, 1.0);
    }
    let (first, _) = axis.span();
    if first < Minute::ZERO {
        let x = axis.x(Minute::ZERO);
        group.line(vec![(x, top), (x, bottom)], Ink::Text, 1.5);
    }
    group
}
