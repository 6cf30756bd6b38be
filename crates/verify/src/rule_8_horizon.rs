//! Rule 8: nothing ends after the horizon.

use crate::layout::Layout;
use crate::verdict::{Rule, Violation};

pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    let horizon = layout.problem.horizon;
    for (index, placed) in layout.placed.iter().enumerate().filter(|(_, placed)| placed.end > horizon) {
        let name = layout.name(index);
        let what = format!("`{name}` ends at {}, after the horizon at {}", placed.end.get(), horizon.get());
        found.push(Violation { rule: Rule::Horizon, place: name, what });
    }
}
