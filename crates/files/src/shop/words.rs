//! The words that files use for kinds of things.

use chrono::Weekday;
use elbowroom_bending::piece::Marks;
use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_shop::cell::{Hand, WorkKind};

pub(crate) const WEEKDAYS: [(&str, Weekday); 7] = [
    ("Mon", Weekday::Mon),
    ("Tue", Weekday::Tue),
    ("Wed", Weekday::Wed),
    ("Thu", Weekday::Thu),
    ("Fri", Weekday::Fri),
    ("Sat", Weekday::Sat),
    ("Sun", Weekday::Sun),
];

pub(crate) const HANDS: [(&str, Hand); 3] =
    [("left", Hand::Left), ("right", Hand::Right), ("both", Hand::Both)];

pub(crate) const MARKS: [(&str, Marks); 3] =
    [("none", Marks::None), ("light", Marks::Light), ("some", Marks::Some)];

pub(crate) fn processes() -> Vec<(&'static str, Process)> {
    Process::ALL.into_iter().map(|process| (process.name(), process)).collect()
}

pub(crate) fn tool_kinds() -> Vec<(&'static str, ToolKind)> {
    ToolKind::ALL.into_iter().map(|kind| (kind.name(), kind)).collect()
}

/// Everything that a cell can do.
pub(crate) fn works() -> Vec<(&'static str, WorkKind)> {
    let bending = Process::ALL.into_iter().map(WorkKind::Bend);
    let others = [
        WorkKind::Cut,
        WorkKind::Deburr,
        WorkKind::Wash,
        WorkKind::EndForm,
        WorkKind::Weld,
        WorkKind::Inspect,
    ];
    bending.chain(others).map(|work| (work.name(), work)).collect()
}
