//! Dispatch sheets to print and pin to a cell: one page of HTML for each cell, which needs nothing
//! else.
//!
//! First the list of jobs to tick off and the cautions, then a card for every job. Everything is
//! black on white, prints on A4 and Letter, and no card is torn apart by the end of a page.

mod bending;
mod card;
mod cautions;
mod checks;
mod work;

use crate::clean::plain;
use crate::lists::dispatch::crew;
use crate::lists::{ids, tube};
use crate::table::Table;
use crate::when::{day, moment, moment_after};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::sheets::{CellSheet, JobSheet};
use elbowroom_shop::cell::WorkKind;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("sheets/sheets.css");

/// The sheet of a cell as a page of its own.
#[must_use]
pub fn page(plan: &Plan, sheet: &CellSheet<'_>) -> String {
    let title = format!("{} - {}", plain(&sheet.cell.id), plain(&plan.shop));
    let page = html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (heading(plan, sheet))
                (list(plan, sheet))
                @if sheet.cell.work == WorkKind::Cut { (cutting(plan, sheet)) }
                (cautions::list(sheet))
                @for (at, job) in sheet.jobs.iter().enumerate() {
                    @if let Some(bending) = &job.bending {
                        (bending::card(plan, sheet, at, job, bending))
                    } @else if card::wants_one(sheet.cell.work) {
                        (card::small(plan, sheet, at, job))
                    }
                }
            }
        }
    };
    page.into_string()
}

fn heading(plan: &Plan, sheet: &CellSheet<'_>) -> Markup {
    let cell = sheet.cell;
    let last = plan.clock.date(sheet.until).pred_opt().unwrap_or(plan.start);
    html! {
        header {
            h1 { (plain(&cell.id)) }
            p {
                strong { (plain(&cell.name)) } ", " (cell.work.name()) br;
                (plain(&plan.shop)) ": " (day(plan.start)) " to " (day(last)) ", "
                (sheet.jobs.len()) @if sheet.jobs.len() == 1 { " job" } @else { " jobs" }
            }
        }
    }
}

/// Every job on a line, to tick off.
fn list(plan: &Plan, sheet: &CellSheet<'_>) -> Markup {
    html! {
        table.list {
            thead { tr {
                th { "Done" } th.number { "No." } th { "Starts" } th { "Ends" } th { "Order" } th { "Part" }
                th.number { "Pieces" } th { (work::heading(sheet.cell.work)) } th { "Crew" } th { "Then" }
            } }
            tbody {
                @for (at, job) in sheet.jobs.iter().enumerate() { (line(plan, sheet, at, job)) }
            }
        }
        @if sheet.later > 0 {
            p.quiet { (sheet.later) " more from " (day(plan.clock.date(sheet.until))) " on." }
        }
    }
}

fn line(plan: &Plan, sheet: &CellSheet<'_>, at: usize, job: &JobSheet<'_>) -> Markup {
    let task = job.task;
    let what = work::what(sheet.cell.work, job);
    html! {
        tr {
            td { (tick()) }
            td.number { (at + 1) }
            td { (moment(&plan.clock, task.setup_start)) }
            td { (moment_after(&plan.clock, task.end, task.setup_start)) }
            th scope="row" { (plain(&task.order)) }
            td { (plain(&task.part)) }
            td.number { (task.start_quantity) }
            td.prose {
                @if task.under_way { strong { "Under way. " } }
                @if job.order.is_late() { strong { "LATE ORDER. " } }
                (plain(&what))
            }
            td { (plain(&crew(task))) }
            td { (next(job)) }
        }
    }
}

/// The bars for the orders that this saw cuts.
fn cutting(plan: &Plan, sheet: &CellSheet<'_>) -> Markup {
    let here = |order: &str| sheet.jobs.iter().any(|job| job.task.order == order && job.task.step == "cut");
    let table = tube::cutting_of(plan, &here);
    html! { @if !table.rows.is_empty() { (as_html(&table)) } }
}

fn as_html(table: &Table) -> Markup {
    html! {
        table.list {
            caption { (plain(&table.caption)) }
            thead { tr { th { "Done" } @for column in &table.columns { th { (column.title) } } } }
            tbody {
                @for row in &table.rows {
                    tr { td { (tick()) } @for cell in &row.cells { td.prose { (plain(cell)) } } }
                }
            }
        }
        @if let Some(note) = &table.note { p.quiet { (plain(note)) } }
    }
}

/// A square to tick.
fn tick() -> Markup {
    html! { span.tick {} }
}

/// A line to write on, so many letters long.
fn blank(letters: u32) -> Markup {
    html! { span.blank style=(format!("min-width:{letters}ch")) {} }
}

/// Where the order goes next.
fn next(job: &JobSheet<'_>) -> String {
    match job.next {
        Some(step) => format!("{} ({})", plain(&step.name), plain(&step.place)),
        None => "finished".to_owned(),
    }
}

/// What is put on, in a row.
fn put_on(job: &JobSheet<'_>) -> String {
    if job.task.mount.is_empty() { "nothing to put on".to_owned() } else { ids(&job.task.mount) }
}
