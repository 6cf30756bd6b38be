use super::{Filling, Item};

/// The best filling by depth-first search; `Err` with the best found so far if it takes more than
/// `steps`.
///
/// Items are tried by value per size, each as often as it fits and then less often. A branch ends
/// where filling the rest of the bar with the next item, fractions allowed, would not beat the best
/// (Dantzig's bound).
pub(super) fn fill(items: &[Item], room: u32, steps: u64) -> Result<Filling, Filling> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|a, b| {
        let (a, b) = (&items[*a], &items[*b]);
        (i128::from(b.value) * i128::from(a.size)).cmp(&(i128::from(a.value) * i128::from(b.size)))
    });
    let sorted: Vec<Item> = order.iter().map(|at| items[*at]).collect();
    let mut search = Search {
        smallest: smallest_from(&sorted),
        counts: vec![0; items.len()],
        best: vec![0; items.len()],
        best_value: 0,
        steps,
        items: sorted,
    };
    let whole = search.descend(0, room, 0);
    let mut counts = vec![0; items.len()];
    order.iter().zip(&search.best).for_each(|(at, count)| counts[*at] = *count);
    let found = Filling { counts, value: search.best_value };
    if whole.is_some() { Ok(found) } else { Err(found) }
}

/// The smallest size of each item and those after it.
fn smallest_from(items: &[Item]) -> Vec<u32> {
    let mut smallest = vec![u32::MAX; items.len() + 1];
    for at in (0..items.len()).rev() {
        smallest[at] = smallest[at + 1].min(items[at].size);
    }
    smallest
}

struct Search {
    items: Vec<Item>,
    smallest: Vec<u32>,
    counts: Vec<u32>,
    best: Vec<u32>,
    best_value: i64,
    steps: u64,
}

impl Search {
    /// Tries all pieces from item `at` on; `None` when the steps are used up.
    fn descend(&mut self, mut at: usize, room: u32, value: i64) -> Option<()> {
        self.steps = self.steps.checked_sub(1)?;
        if value > self.best_value {
            self.best_value = value;
            self.best.clone_from(&self.counts);
        }
        while at < self.items.len() && self.items[at].size > room {
            at += 1;
        }
        if at == self.items.len() || room < self.smallest[at] || !self.can_win(at, room, value) {
            return Some(());
        }
        let Item { size, value: worth, most } = self.items[at];
        for count in (0..=most.min(room / size)).rev() {
            let (left, sum) = (room - count * size, value + i64::from(count) * worth);
            // Fewer pieces of this item leave more to worse ones: no better once it cannot win.
            if !self.can_win(at + 1, left, sum) && sum <= self.best_value {
                break;
            }
            self.counts[at] = count;
            self.descend(at + 1, left, sum)?;
        }
        self.counts[at] = 0;
        Some(())
    }

    /// Whether the rest of the bar could make more than the best.
    fn can_win(&self, at: usize, room: u32, value: i64) -> bool {
        let Some(item) = self.items.get(at) else { return value > self.best_value };
        let most = i128::from(room) * i128::from(item.value) / i128::from(item.size);
        i128::from(value) + most > i128::from(self.best_value)
    }
}
