//! Rule 5: an operation holds one piece of each of its tools over `[setup_start, end)`, nights
//! included. No more pieces are held than there are, none before it can be had, and a tool with
//! an offer only if the offer is taken. Pinned work is exempt, but it does hold its tools.

use crate::layout::Layout;
use crate::overlap::{Hold, more_than};
use crate::verdict::{Rule, Violation};
use elbowroom_problem::{Availability, Tool, ToolIdx, Window};
use elbowroom_units::Minute;
use std::collections::BTreeSet;

pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    let committed: BTreeSet<ToolIdx> = layout.problem.committed_purchases.iter().copied().collect();
    check_purchases(layout, &committed, found);
    let taken: BTreeSet<ToolIdx> = layout.schedule.purchases.iter().chain(&committed).copied().collect();
    for (i, tool) in layout.problem.tools.iter().enumerate() {
        let users = &layout.by_tool[i];
        let usable = usable_from(tool, taken.contains(&ToolIdx::new(i)));
        for &index in users.iter().filter(|index| layout.placed[**index].pin.is_none()) {
            check_usable(layout, tool, usable, index, found);
        }
        check_pieces(layout, tool, users, found);
    }
}

/// The first usable minute; `None` where the tool is neither owned nor bought.
fn usable_from(tool: &Tool, taken: bool) -> Option<Minute> {
    match tool.availability {
        Availability::From(minute) => Some(minute),
        Availability::Offer { lead, .. } => taken.then_some(lead),
    }
}

fn check_usable(
    layout: &Layout,
    tool: &Tool,
    usable: Option<Minute>,
    index: usize,
    found: &mut Vec<Violation>,
) {
    let (name, id) = (layout.name(index), &tool.id);
    let start = layout.placed[index].setup_start;
    let what = match usable {
        None => format!("`{name}` holds tool `{id}`, which is neither owned nor bought"),
        Some(minute) if start < minute => {
            format!(
                "`{name}` holds tool `{id}` from {}, before it can be used from {}",
                start.get(),
                minute.get()
            )
        }
        Some(_) => return,
    };
    found.push(Violation { rule: Rule::Tools, place: name, what });
}

fn check_pieces(layout: &Layout, tool: &Tool, users: &[usize], found: &mut Vec<Violation>) {
    let hold = |&index: &usize| {
        let placed = &layout.placed[index];
        let window = Window { start: placed.setup_start, end: placed.end };
        Hold { window, holder: index, pinned: placed.pin.is_some() }
    };
    let holds: Vec<Hold> = users.iter().map(hold).collect();
    for shared in more_than(tool.count as usize, &holds) {
        let (from, to) = (shared.window.start.get(), shared.window.end.get());
        let what = format!(
            "{} hold {} pieces of tool `{}` in minutes {from}..{to}, and there are {}",
            layout.names(&shared),
            shared.held,
            tool.id,
            tool.count
        );
        found.push(Violation { rule: Rule::Tools, place: format!("tool {}", tool.id), what });
    }
}

/// Purchases name tools with an offer, not the committed ones, each once.
fn check_purchases(layout: &Layout, committed: &BTreeSet<ToolIdx>, found: &mut Vec<Violation>) {
    let mut seen = BTreeSet::new();
    for purchase in &layout.schedule.purchases {
        let Some(tool) = layout.problem.tools.get(purchase.get()) else {
            let what = format!("purchase of tool number {}, which the problem does not have", purchase.get());
            found.push(Violation { rule: Rule::Tools, place: "purchases".to_owned(), what });
            continue;
        };
        let wrong = if matches!(tool.availability, Availability::From(_)) {
            "has no offer to take"
        } else if committed.contains(purchase) {
            "is a committed purchase already"
        } else if !seen.insert(*purchase) {
            "is bought twice"
        } else {
            continue;
        };
        let what = format!("tool `{}` {wrong}", tool.id);
        found.push(Violation { rule: Rule::Tools, place: format!("tool {}", tool.id), what });
    }
}
