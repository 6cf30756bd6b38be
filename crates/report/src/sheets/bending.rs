//! The card of a job on a bending cell.

use super::{card, checks, work};
use crate::clean::plain as clean;
use crate::drawing::views;
use crate::when::day;
use elbowroom_bending::fit::{Direction, Way};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::sheets::{BendRow, Bending, CellSheet, JobSheet, SheetTool, ToolFrom};
use elbowroom_units::Mm;
use elbowroom_units::quantity::plain;
use maud::{Markup, html};

/// The card.
pub(super) fn card(
    plan: &Plan,
    sheet: &CellSheet<'_>,
    at: usize,
    job: &JobSheet<'_>,
    bending: &Bending,
) -> Markup {
    html! {
        article.bent id=(format!("job-{}", at + 1)) {
            (card::head(plan, sheet, at, job))
            @if let Some(part) = &job.part { (card::figure(&views(part), &format!("part-{at}"))) }
            div.halves {
                div { (bend_table(bending)) (watch(bending)) }
                div { (facts(job, bending)) (tools(job)) }
            }
            (checks::first_article(job, bending))
        }
    }
}

/// Beside the tools, where the table of bends leaves room: below everything else it would need a page of its
/// own on many a card.
fn watch(bending: &Bending) -> Markup {
    html! {
        @if !bending.watch.is_empty() {
            ul.watch {
                @for (what, remedy) in &bending.watch {
                    li { strong { "Watch: " } (clean(what)) "; " (clean(remedy)) "." }
                }
            }
        }
    }
}

fn facts(job: &JobSheet<'_>, bending: &Bending) -> Markup {
    let more =
        job.part.as_ref().map(|part| bending.blank - part.developed).filter(|more| *more > Mm::new(0.05));
    let changeover = job.task.changeover.count();
    html! {
        dl {
            div { dt { "Tube" } dd { (clean(&work::tube(job))) } }
            div {
                dt { "Blank" }
                dd {
                    strong { (work::millimetres(bending.blank)) }
                    @if let Some(more) = more { ", " (work::millimetres(more)) " longer than the part" }
                    @if job.asked.trim > Mm::ZERO { "; trim " (work::millimetres(job.asked.trim)) " at each end" }
                }
            }
            div {
                dt { "Way" }
                dd {
                    (bending.way.name())
                    @if bending.direction == Direction::FromEnd {
                        ", " strong { "begin at the other end" } " (last bend as drawn first)"
                    }
                }
            }
            div {
                dt { "Changeover" }
                dd {
                    @if changeover > 0 { (changeover) " min" } @else { "none" }
                    @if bending.setup_pieces > 0 { "; " (bending.setup_pieces) " pieces for setting up" }
                }
            }
            div {
                dt { "Washing" }
                dd {
                    @if bending.lubricated_inside { "lubricant in the bore: wash before the next step" }
                    @else if job.asked.quality.clean_inside { "bent dry, but the bore must be clean: wash" }
                    @else { "none: bent dry" }
                }
            }
        }
    }
}

fn tools(job: &JobSheet<'_>) -> Markup {
    html! {
        table.tools {
            thead { tr { th { "On" } th { "Tool" } th { "From" } } }
            tbody {
                @for tool in &job.tools {
                    tr {
                        td { (super::tick()) }
                        td {
                            strong { (clean(&tool.id)) }
                            @if let Some(spec) = &tool.spec { br; span.quiet { (spec) } }
                        }
                        td { (from(tool)) }
                    }
                }
            }
        }
    }
}

fn from(tool: &SheetTool) -> String {
    match &tool.from {
        ToolFrom::OnTheCell => "on the cell already".to_owned(),
        ToolFrom::OtherCell { cell, order: Some(order) } => {
            format!("{}, after {}", clean(cell), clean(order))
        }
        ToolFrom::OtherCell { cell, order: None } => format!("stands on {}", clean(cell)),
        ToolFrom::Kept { place: Some(place) } => clean(place),
        ToolFrom::Kept { place: None } => "the tool rack".to_owned(),
        ToolFrom::Coming(date) => format!("comes {}", day(*date)),
        ToolFrom::ToBuy => "to be bought".to_owned(),
    }
}

fn bend_table(bending: &Bending) -> Markup {
    let loaded = matches!(bending.way, Way::Rolls | Way::FreeForm);
    html! {
        table.bends {
            thead { tr {
                th { "Bend" } th { "Straight" br; "before" } th { "Rotation" } th { "Plane" } th { "CLR" }
                th { "Angle" }
                th { @if loaded { "CLR under" br; "load" } @else { "Bend" br; "to" } }
                th.measured { "Measured" }
            } }
            tbody {
                @for (at, row) in bending.rows.iter().enumerate() { (bend_row(at, row, loaded)) }
                tr {
                    td { "end" } td { (plain(bending.last_straight.mm(), 2)) } td {} td {} td {} td {} td {}
                    td.measured {}
                }
            }
        }
        p.quiet {
            "mm and degrees; straights between tangent points, rotations right-handed along the tube, plane "
            "counted from the first bend. "
            @if loaded { "CLR under load" } @else { "Bend to" }
            " has the springback estimated; the first article decides."
        }
    }
}

fn bend_row(at: usize, row: &BendRow, loaded: bool) -> Markup {
    let loaded =
        if loaded { row.loaded_radius.map(Mm::mm) } else { row.bend_to.map(|angle| angle.degrees()) };
    html! {
        tr {
            th scope="row" {
                (at + 1) @if row.drawn != at + 1 { span.quiet { " (drawn " (row.drawn) ")" } }
            }
            td { (plain(row.straight.mm(), 2)) }
            td { (plain(row.rotation.degrees(), 2)) }
            td { (plain(row.plane.degrees(), 2)) }
            td { (plain(row.clr.mm(), 2)) }
            td { (plain(row.angle.degrees(), 2)) }
            td { strong { (loaded.map_or_else(|| "-".to_owned(), |value| plain(value, 1))) } }
            td.measured {}
        }
    }
}
