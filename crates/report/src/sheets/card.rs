//! What all cards have in common, and the small card of cells that do not bend.

use super::{blank, next, tick, work};
use crate::clean::plain;
use crate::drawing::thumbnail;
use crate::lists::dispatch::crew;
use crate::picture::{Picture, svg};
use crate::when::{day, moment, moment_after};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::sheets::{CellSheet, JobSheet};
use elbowroom_shop::cell::WorkKind;
use maud::{Markup, PreEscaped, html};

/// Whether the jobs of a cell that does not bend get a card: where the bent part is handled one by one.
pub(super) fn wants_one(work: WorkKind) -> bool {
    matches!(work, WorkKind::EndForm | WorkKind::Weld | WorkKind::Inspect)
}

/// Number, order, part, pieces; when, by whom, what comes then.
pub(super) fn head(plan: &Plan, sheet: &CellSheet<'_>, at: usize, job: &JobSheet<'_>) -> Markup {
    let (task, order, clock) = (job.task, job.order, &plan.clock);
    let name = if order.part_name == task.part { "" } else { order.part_name.as_str() };
    html! {
        div.bar {
            span.no { (at + 1) }
            span.what {
                strong { (plain(&task.order)) } "  " strong { (plain(&task.part)) } " " (plain(name))
            }
            span.pieces {
                strong { (task.quantity) } " pieces"
                @if task.start_quantity > task.quantity { ", start " strong { (task.start_quantity) } }
            }
        }
        p.when {
            @if task.under_way { strong { "Under way. " } }
            @if order.is_late() { strong { "LATE ORDER. " } }
            @if task.setup_start < task.run_start {
                "Change over " b { (moment(clock, task.setup_start)) } ", run "
                b { (moment_after(clock, task.run_start, task.setup_start)) }
            } @else {
                "Run " b { (moment(clock, task.run_start)) }
            }
            ", end " b { (moment_after(clock, task.end, task.setup_start)) }
            @if !crew(task).is_empty() { "; crew: " (plain(&crew(task))) }
            "; then " b { (next(job)) }
            "; promised " (day(order.promised))
            @if let Some(customer) = &order.customer { " to " (plain(customer)) }
            span.where { (plain(&sheet.cell.id)) ", " (at + 1) " of " (sheet.jobs.len()) }
        }
    }
}

/// A picture inside a card.
pub(super) fn figure(picture: &Picture, id: &str) -> Markup {
    html! { figure { (PreEscaped(svg::element(picture, id))) } }
}

/// The card of a job whose part is formed at its ends, welded or inspected.
pub(super) fn small(plan: &Plan, sheet: &CellSheet<'_>, at: usize, job: &JobSheet<'_>) -> Markup {
    html! {
        article.small id=(format!("job-{}", at + 1)) {
            (head(plan, sheet, at, job))
            div.thumb {
                @if let Some(part) = &job.part { (figure(&thumbnail(part), &format!("part-{at}"))) }
                div {
                    p { (plain(&work::what(sheet.cell.work, job))) "." }
                    p.quiet { (plain(&work::tube(job))) }
                    (counts())
                }
            }
        }
    }
}

/// What is written down when the job is done.
fn counts() -> Markup {
    html! {
        p.write {
            (tick()) " first piece good, by " (blank(10)) "  Good " (blank(6)) " Scrap " (blank(6))
            " Ended " (blank(7)) " By " (blank(8))
        }
    }
}
