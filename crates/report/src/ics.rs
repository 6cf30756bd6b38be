//! A calendar for each cell (RFC 5545), to be shown by any calendar program.
//!
//! Times are in UTC, so that nothing depends on time zone tables. A lot that runs over a night or a
//! weekend is one event for each stretch of work. An event keeps its UID from plan to plan, so that
//! importing the next plan moves it rather than doubling it.

use crate::clean::plain;
use crate::lists::dispatch::caption;
use crate::when::{hour_minute, moment};
use chrono::{DateTime, Utc};
use elbowroom_planner::plan::{CellPlan, Plan, Task};
use elbowroom_units::{Minute, Minutes};
use std::collections::BTreeMap;

/// Longest line in octets, its line break not counted (RFC 5545, 3.1).
const LONGEST_LINE: usize = 75;

/// Work that stands still for this long is shown as two events; shorter breaks are not.
const STANDSTILL: Minutes = Minutes::new(4 * 60);

/// The calendar of a cell; `made`: when the plan was made.
#[must_use]
pub fn calendar(plan: &Plan, cell: &CellPlan, made: DateTime<Utc>) -> String {
    let mut out = Lines(String::new());
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line("PRODID:-//Elbowroom//Dispatch list//EN");
    out.line("CALSCALE:GREGORIAN");
    let name = text(&format!("{}, {}", caption(cell), plan.shop));
    out.line(&format!("NAME:{name}"));
    // The older name of the same, which many programs read instead of RFC 7986's.
    out.line(&format!("X-WR-CALNAME:{name}"));
    let mut counts: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for task in &cell.tasks {
        let count = counts.entry((&task.order, &task.step)).or_default();
        for (at, stretch) in stretches(cell, task).into_iter().enumerate() {
            *count += 1;
            let event = Event { task, number: *count, goes_on: at > 0, stretch };
            event.write(&mut out, plan, cell, made);
        }
    }
    out.line("END:VCALENDAR");
    out.0
}

/// From the beginning of changing over to the end of the run, without long standstills.
fn stretches(cell: &CellPlan, task: &Task) -> Vec<(Minute, Minute)> {
    let mut stretches: Vec<(Minute, Minute)> = Vec::new();
    let inside = cell.open.iter().map(|(from, to)| ((*from).max(task.setup_start), (*to).min(task.end)));
    for (from, to) in inside.filter(|(from, to)| from < to) {
        match stretches.last_mut() {
            Some(last) if from - last.1 < STANDSTILL => last.1 = to,
            _ => stretches.push((from, to)),
        }
    }
    if stretches.is_empty() { vec![(task.setup_start, task.end)] } else { stretches }
}

/// A stretch of work.
struct Event<'a> {
    task: &'a Task,
    /// Which of the step's stretches on this cell, from 1.
    number: usize,
    goes_on: bool,
    stretch: (Minute, Minute),
}

impl Event<'_> {
    fn write(&self, out: &mut Lines, plan: &Plan, cell: &CellPlan, made: DateTime<Utc>) {
        let time = |minute| utc(plan.clock.local(minute).to_utc());
        out.line("BEGIN:VEVENT");
        out.line(&format!("UID:{}", self.uid(plan, cell)));
        out.line(&format!("DTSTAMP:{}", utc(made)));
        out.line(&format!("DTSTART:{}", time(self.stretch.0)));
        out.line(&format!("DTEND:{}", time(self.stretch.1)));
        out.line(&format!("SUMMARY:{}", text(&self.summary())));
        out.line(&format!("LOCATION:{}", text(&cell.name)));
        out.line(&format!("DESCRIPTION:{}", text(&description(plan, self.task))));
        out.line("END:VEVENT");
    }

    fn summary(&self) -> String {
        let task = self.task;
        let goes_on = if self.goes_on { " (goes on)" } else { "" };
        format!("{} {}: {} x {}{goes_on}", task.order, task.step, task.quantity, task.part)
    }

    /// The same for the same stretch of the same step in every plan of the shop, and for nothing else.
    fn uid(&self, plan: &Plan, cell: &CellPlan) -> String {
        let parts = [&self.task.order, &self.task.step, &cell.id].map(|part| safe(part));
        format!("{}/{}@{}.elbowroom", parts.join("/"), self.number, safe(&plan.shop))
    }
}

fn description(plan: &Plan, task: &Task) -> String {
    let clock = &plan.clock;
    let mut lines = Vec::new();
    if task.changeover > Minutes::ZERO {
        let (from, to) = (moment(clock, task.setup_start), hour_minute(clock, task.run_start));
        lines.push(format!("Change over from {from} until {to} ({})", task.changeover));
    }
    lines.push(format!("Run from {} until {}", moment(clock, task.run_start), moment(clock, task.end)));
    if task.start_quantity > task.quantity {
        lines.push(format!("Start {} pieces for {} good ones", task.start_quantity, task.quantity));
    }
    for (what, ids) in [("Put on", &task.mount), ("Tools", &task.tools)] {
        if !ids.is_empty() {
            lines.push(format!("{what}: {}", ids.join(", ")));
        }
    }
    for (what, crew) in [("Changes over", &task.setup_crew), ("Runs", &task.run_crew)] {
        lines.extend(crew.as_ref().map(|crew| format!("{what}: {crew}")));
    }
    lines.join("\n")
}

/// Letters and digits as they are, everything else by its octets, so that different texts stay so.
fn safe(text: &str) -> String {
    let octet = |octet: u8| match octet {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' => char::from(octet).to_string(),
        _ => format!("_{octet:02x}"),
    };
    text.bytes().map(octet).collect()
}

fn utc(moment: DateTime<Utc>) -> String {
    moment.format("%Y%m%dT%H%M%SZ").to_string()
}

/// A value of type TEXT (RFC 5545, 3.3.11).
fn text(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    for line in value.split('\n') {
        if !out.is_empty() {
            out.push_str("\\n");
        }
        for c in plain(line).chars() {
            if matches!(c, '\\' | ';' | ',') {
                out.push('\\');
            }
            out.push(c);
        }
    }
    out
}

/// Content lines, folded.
struct Lines(String);

impl Lines {
    /// Adds a content line; a long one goes on behind a line break and a blank, never inside of a
    /// character.
    fn line(&mut self, line: &str) {
        let mut length = 0;
        for c in line.chars() {
            if length + c.len_utf8() > LONGEST_LINE {
                self.0.push_str("\r\n ");
                length = 1;
            }
            self.0.push(c);
            length += c.len_utf8();
        }
        self.0.push_str("\r\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 5545, 3.3.11 and 3.1.
    #[test]
    fn texts_are_escaped_and_lines_folded_between_characters() {
        assert_eq!(text("Bastille; Paris, a\\b\nnext"), "Bastille\\; Paris\\, a\\\\b\\nnext");
        let mut lines = Lines(String::new());
        lines.line(&format!("SUMMARY:{}", "ü".repeat(60)));
        assert!(lines.0.split("\r\n").all(|line| line.len() <= 75), "{}", lines.0);
        assert_eq!(lines.0.replace("\r\n ", ""), format!("SUMMARY:{}\r\n", "ü".repeat(60)));
    }

    #[test]
    fn different_names_stay_different() {
        assert_ne!(safe("a b"), safe("a_20b"));
        assert_eq!(safe("O-2041"), "O-2041");
    }
}
