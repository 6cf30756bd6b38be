//! The box of the first article: what to check, boxes to tick, lines to sign.
//!
//! What to check is common practice in bending, no source; the limits are those of the part.

use super::work::{millimetres, tube};
use super::{blank, tick};
use crate::clean::plain as clean;
use elbowroom_bending::piece::Marks;
use elbowroom_planner::sheets::{Bending, JobSheet};
use elbowroom_units::Mm;
use elbowroom_units::quantity::plain;
use maud::{Markup, html};

/// The box.
pub(super) fn first_article(job: &JobSheet<'_>, bending: &Bending) -> Markup {
    html! {
        section.check {
            h3 { "First article" }
            ul {
                li { (tick()) " Tube " (clean(&tube(job))) "; lot no. " (blank(10)) }
                li { (tick()) " Blank " (millimetres(bending.blank)) ", measured " (blank(9)) }
                li { (tick()) " Angles and rotations: column above, or gauge no. " (blank(9)) }
                @if let Some(part) = &job.part {
                    li { (tick()) " Over all " (size(part.size)) " mm, measured " (blank(16)) }
                }
                li { (tick()) " " (ovality(job, bending)) "; Dmax " (blank(7)) " Dmin " (blank(7)) }
                li { (tick()) " No cracks outside, no wrinkles inside; marks: " (marks(job.asked.quality.marks)) }
                @if job.asked.quality.clean_inside { li { (tick()) " Bore clean" } }
            }
            p.write {
                (tick()) " Changed over at " (blank(8)) (tick()) " First article good at " (blank(8))
                " Setter " (blank(12)) " Inspector " (blank(12))
            }
            p.write {
                "Good " (blank(8)) " Scrap " (blank(7)) " Ended " (blank(8)) " By " (blank(8))
                " Stood still, why " (blank(24))
            }
        }
    }
}

fn size(size: [Mm; 3]) -> String {
    size.map(|side| plain(side.mm(), 1)).join(" x ")
}

/// The limit of the part, else what is expected, and where it is worst.
fn ovality(job: &JobSheet<'_>, bending: &Bending) -> String {
    let limit = job.asked.quality.max_ovality_percent;
    let limit = limit.map_or_else(String::new, |limit| format!(" at most {} %", plain(limit, 1)));
    match bending.ovality {
        Some((percent, bend)) => format!(
            "Ovality{limit}, worst where drawn as bend {bend} (about {} % to expect)",
            plain(percent, 1)
        ),
        None => format!("Ovality{limit}"),
    }
}

fn marks(marks: Marks) -> &'static str {
    match marks {
        Marks::None => "none that show",
        Marks::Light => "light ones only",
        Marks::Some => "those usual in the trade",
    }
}
