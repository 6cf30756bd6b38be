//! Who holds something at the same time.

use elbowroom_problem::Window;
use elbowroom_units::Minute;
use std::collections::BTreeSet;

/// So many holders are named in a message.
const NAMED: usize = 5;

/// Something held over a window.
pub(crate) struct Hold {
    pub window: Window,
    /// The operation that holds it.
    pub holder: usize,
    /// Whether the operation is pinned.
    pub pinned: bool,
}

/// A window over which the same holds last, at least one of them not pinned.
pub(crate) struct Shared {
    pub window: Window,
    /// How many holds.
    pub held: usize,
    /// The first few operations that hold, in their order; one is there twice if it holds twice.
    pub holders: Vec<usize>,
}

/// Every window in which more than `enough` are held, an operation that is not pinned among the
/// holders, in order of time. A new one begins wherever a holder comes or goes.
pub(crate) fn more_than(enough: usize, holds: &[Hold]) -> Vec<Shared> {
    let mut found = Vec::new();
    let mut active: BTreeSet<(usize, usize)> = BTreeSet::new(); // (holder, hold)
    let mut free = 0_usize;
    let changes = changes(holds);
    for (i, change) in changes.iter().enumerate() {
        let hold = &holds[change.hold];
        if change.begins {
            active.insert((hold.holder, change.hold));
            free += usize::from(!hold.pinned);
        } else {
            active.remove(&(hold.holder, change.hold));
            free -= usize::from(!hold.pinned);
        }
        let Some(next) = changes.get(i + 1).filter(|next| next.at > change.at) else { continue };
        if active.len() > enough && free > 0 {
            let holders = active.iter().map(|(holder, _)| *holder).take(NAMED).collect();
            found.push(Shared {
                window: Window { start: change.at, end: next.at },
                held: active.len(),
                holders,
            });
        }
    }
    found
}

struct Change {
    at: Minute,
    begins: bool,
    hold: usize,
}

/// Begins and ends in order of time; what is empty holds nothing.
fn changes(holds: &[Hold]) -> Vec<Change> {
    let lasting = holds.iter().enumerate().filter(|(_, hold)| hold.window.start < hold.window.end);
    let mut changes: Vec<Change> = lasting
        .flat_map(|(i, hold)| {
            let begin = Change { at: hold.window.start, begins: true, hold: i };
            [begin, Change { at: hold.window.end, begins: false, hold: i }]
        })
        .collect();
    changes.sort_by_key(|change| (change.at, change.hold));
    changes
}
