//! What is to be done, in a line.

use super::put_on;
use elbowroom_planner::sheets::JobSheet;
use elbowroom_shop::cell::WorkKind;
use elbowroom_units::quantity::plain;
use elbowroom_units::{Mm, Seconds};

/// The heading of the column.
pub(super) fn heading(work: WorkKind) -> &'static str {
    match work {
        WorkKind::Bend(_) => "Put on",
        _ => "What to do",
    }
}

/// What a cell does to a job.
pub(super) fn what(work: WorkKind, job: &JobSheet<'_>) -> String {
    let pieces = job.task.start_quantity;
    match work {
        WorkKind::Bend(_) => put_on(job),
        WorkKind::Cut if job.task.step == "trim" => {
            format!("cut off what was added for bending; {}", finished_length(job))
        }
        WorkKind::Cut => {
            let blank = job.order.blank.map_or_else(|| "blank as on the order".to_owned(), millimetres);
            format!("{pieces} x {blank} from {}", tube(job))
        }
        WorkKind::Deburr => format!("both ends, inside and outside; {}", tube(job)),
        WorkKind::Wash => format!("lubricant out of the bore, dry before the next step; {}", tube(job)),
        WorkKind::EndForm => format!("{} of each piece; {}", ends(job.asked.end_forms), tube(job)),
        WorkKind::Weld => format!("jig of {}; {} a piece", job.task.part, seconds(job.asked.weld)),
        WorkKind::Inspect => format!("check {} of {} pieces", job.asked.inspected, job.task.quantity),
    }
}

fn ends(count: u32) -> String {
    if count == 1 { "1 end".to_owned() } else { format!("{count} ends") }
}

fn seconds(time: Option<Seconds>) -> String {
    time.map_or_else(|| "as on the order".to_owned(), |time| format!("{} s", plain(time.seconds(), 0)))
}

/// A length on a saw's stop.
pub(super) fn millimetres(length: Mm) -> String {
    format!("{} mm", plain(length.mm(), 1))
}

fn finished_length(job: &JobSheet<'_>) -> String {
    let length = |part: &elbowroom_planner::fit::PartFacts| {
        format!("{} along the centreline is left", millimetres(part.developed))
    };
    job.part.as_ref().map_or_else(String::new, length)
}

/// Id, size and material of the tube.
pub(super) fn tube(job: &JobSheet<'_>) -> String {
    job.part.as_ref().map_or_else(String::new, |part| {
        let tube = &part.tube;
        format!(
            "{} ({} x {} mm, {})",
            tube.id,
            plain(tube.tube.outer().mm(), 3),
            plain(tube.tube.wall().mm(), 3),
            part.material
        )
    })
}
