//! What everybody at a cell should bear in mind. Common practice in the trade, no source; the
//! machine's manual and local rules come first, and the sheet says so.

use elbowroom_bending::cautions::ADVICE;
use elbowroom_bending::process::Process;
use elbowroom_planner::sheets::CellSheet;
use elbowroom_shop::cell::WorkKind;
use maud::{Markup, html};

/// Holds for every cell.
const ALWAYS: [&str; 2] = [
    "The machine's manual, the shop's risk assessment and the law of the place come first. Where this sheet \
     differs from them, they hold; where it differs from the drawing, ask.",
    "No time on this sheet is a reason to hurry, to work without a guard, or to skip locking out.",
];

/// The cautions of a cell.
pub(super) fn list(sheet: &CellSheet<'_>) -> Markup {
    html! {
        section.cautions {
            h2 { "Take care" }
            ul {
                @for text in of(sheet.cell.work) { li { (text) } }
                @for text in ALWAYS { li { (text) } }
                li { (ADVICE) }
            }
        }
    }
}

fn of(work: WorkKind) -> &'static [&'static str] {
    match work {
        WorkKind::Bend(Process::RotaryDraw) => &[
            "Clamp, pressure die and bend arm crush and shear, and the tube sweeps as it turns: people out of the \
             swing area, guards closed.",
            "Changing dies: lock out the drive, release pressure and springs, verify, then hands in. Heavy dies with \
             a lifting aid.",
            "The mandrel rod pulls back with force: hands away from the tube's open end.",
        ],
        WorkKind::Bend(Process::TwinHeadCompression) => &[
            "Both heads move at once and both ends of the tube sweep: nobody on either side during a stroke.",
            "Changing dies: lock out the drive, release pressure, verify, then hands in.",
        ],
        WorkKind::Bend(Process::ThreeRoll) => &[
            "Rolls draw in whatever touches them: no gloves, sleeves or cloths near turning rolls.",
            "Long hoops and coils wander and spring: support them, and keep the way out of the rolls clear.",
        ],
        WorkKind::Bend(Process::FreeForm) => &[
            "The bent end comes out fast and in any direction: nobody within the guarded space while it feeds.",
            "The moving ring crushes: lock out before hands go between guide and ring.",
        ],
        WorkKind::Cut => &[
            "Blade, chips and sharp ends: eye protection, no gloves at a turning blade, vice closed before the cut.",
            "Bundles and bars roll and spring when a band is opened: stand beside, not in front.",
        ],
        WorkKind::Deburr => {
            &["Turning brushes and tools catch gloves and sleeves; burrs cut: eye protection."]
        }
        WorkKind::Wash => &[
            "Hot liquor and vapour: lid closed, drain before opening, follow the safety data sheet of the cleaner.",
        ],
        WorkKind::EndForm => {
            &["The tool closes with force: two-hand control or guard as installed, never bridged."]
        }
        WorkKind::Weld => &[
            "Fume, light, heat: extraction on, screens closed, hot parts marked. Never weld tube that is wet with \
             lubricant or cleaner, or closed at both ends.",
        ],
        WorkKind::Inspect => &["Cut ends and springy parts: gloves, and put long parts down at both ends."],
    }
}
