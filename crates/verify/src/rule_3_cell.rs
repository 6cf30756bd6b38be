//! Rule 3: a cell does one operation at a time: the intervals `[setup_start, end)` on a cell do
//! not overlap.

use crate::layout::Layout;
use crate::verdict::{Rule, Violation};

/// One violation for each operation that begins while another still holds the cell.
pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    for (cell, operations) in layout.problem.cells.iter().zip(&layout.by_cell) {
        let mut latest: Option<usize> = None;
        for &index in operations {
            let placed = &layout.placed[index];
            if placed.end <= placed.setup_start {
                continue; // holds nothing
            }
            let until = latest.map(|other| layout.placed[other].end);
            if let (Some(other), Some(until)) = (latest, until.filter(|end| placed.setup_start < *end)) {
                let (from, to) = (placed.setup_start.get(), until.min(placed.end).get());
                let (name, other) = (layout.name(index), layout.name(other));
                let what =
                    format!("`{other}` and `{name}` both hold cell `{}` in minutes {from}..{to}", cell.id);
                found.push(Violation { rule: Rule::Cell, place: name, what });
            }
            if until.is_none_or(|end| end < placed.end) {
                latest = Some(index);
            }
        }
    }
}
