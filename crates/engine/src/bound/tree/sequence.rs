//! What follows for starts from the fact that a cell does one thing at a time.
//!
//! Two operations that are done on one cell do not overlap, and between them lies what changing over
//! takes at least ([`Keys::apart`]). Where one of the two orders is ruled out by the starts that are
//! left or by a case, the other one holds; where both are, the two are not done on one cell. The
//! relaxation prices the minutes of a cell bucket by bucket and does not see this.

use super::super::changeover::Keys;
use super::super::tasks::{Choice, Shop, Step, Task};
use super::case::{Question, StepAt};

/// The rounds of one call, at most.
const MOST_ROUNDS: usize = 50;

/// The changeovers of all cells.
pub(super) struct Sequence {
    /// By cell as [`Keys::apart`]; empty where nothing is known.
    apart: Vec<Vec<i64>>,
    keys: Vec<usize>,
}

/// A choice that may be taken on the cell looked at.
#[derive(Clone, Copy)]
pub(super) struct Entry {
    pub(super) at: StepAt,
    pub(super) choice: usize,
    /// Whether every schedule of the case takes it.
    pub(super) certain: bool,
}

/// A case in which nothing can be done.
pub(super) struct Contradiction;

impl Sequence {
    pub(super) fn new(shop: &Shop) -> Self {
        let apart = (0..shop.cells.len()).map(|cell| shop.apart(cell).unwrap_or_default()).collect();
        Self { apart, keys: shop.keys.iter().map(Keys::count).collect() }
    }

    /// Narrows the starts of `shop` by what the cells can do one after the other, with the orders that
    /// are decided; says whether anything changed.
    pub(super) fn narrow(&self, shop: &mut Shop, orders: &[(StepAt, StepAt)]) -> Result<bool, Contradiction> {
        let mut changed = false;
        for _ in 0..MOST_ROUNDS {
            let mut now = false;
            for cell in 0..shop.cells.len() {
                now |= self.narrow_cell(shop, cell, orders)?;
            }
            if !now {
                break;
            }
            changed = true;
        }
        Ok(changed)
    }

    fn narrow_cell(
        &self,
        shop: &mut Shop,
        cell: usize,
        orders: &[(StepAt, StepAt)],
    ) -> Result<bool, Contradiction> {
        let entries = entries(shop, cell);
        let mut changed = false;
        for (at, y) in entries.iter().enumerate().filter(|(_, y)| y.certain) {
            for (other, x) in entries.iter().enumerate() {
                if other == at || x.at == y.at || x.certain && other < at {
                    continue;
                }
                changed |= self.narrow_pair(shop, cell, (*x, *y), orders)?;
            }
        }
        Ok(changed)
    }

    /// `y` is certain.
    fn narrow_pair(
        &self,
        shop: &mut Shop,
        cell: usize,
        (x, y): (Entry, Entry),
        orders: &[(StepAt, StepAt)],
    ) -> Result<bool, Contradiction> {
        let (a, b) = (span_of(shop, x), span_of(shop, y));
        if b.first > b.last {
            return Err(Contradiction);
        }
        if a.first > a.last {
            return Ok(false);
        }
        let (ab, ba) = (a.run + self.between(cell, a, b), b.run + self.between(cell, b, a));
        let a_before_b = a.first + ab <= b.last && !orders.contains(&(y.at, x.at));
        let b_before_a = b.first + ba <= a.last && !orders.contains(&(x.at, y.at));
        let (mut new_a, mut new_b) = ((a.first, a.last), (b.first, b.last));
        match (a_before_b, b_before_a) {
            (true, true) => return Ok(false),
            (false, false) if x.certain => return Err(Contradiction),
            (false, false) => new_a.1 = a.first - 1,
            (true, false) => {
                new_a.1 = a.last.min(b.last - ab);
                new_b.0 = b.first.max(a.first + ab);
            }
            (false, true) => {
                new_a.0 = a.first.max(b.first + ba);
                new_b.1 = b.last.min(a.last - ba);
            }
        }
        let mut changed = set(shop, x, new_a);
        if x.certain {
            changed |= set(shop, y, new_b);
            if new_a.0 > new_a.1 || new_b.0 > new_b.1 {
                return Err(Contradiction);
            }
        }
        Ok(changed)
    }

    /// Whether `x` may come before `y` on the cell, in the starts and orders that are left.
    pub(super) fn may_precede(
        &self,
        shop: &Shop,
        cell: usize,
        (x, y): (Entry, Entry),
        orders: &[(StepAt, StepAt)],
    ) -> bool {
        let (a, b) = (span_of(shop, x), span_of(shop, y));
        a.first + a.run + self.between(cell, a, b) <= b.last && !orders.contains(&(y.at, x.at))
    }

    /// Least time between the runs of two choices on a cell.
    fn between(&self, cell: usize, from: Span, to: Span) -> i64 {
        self.apart[cell].get(from.key * self.keys[cell] + to.key).copied().unwrap_or(0)
    }

    /// Pairs of operations whose order on a cell is open, those first that narrow starts most, either way.
    pub(super) fn questions(&self, shop: &Shop, orders: &[(StepAt, StepAt)], most: usize) -> Vec<Question> {
        let mut found = Vec::new();
        for cell in 0..shop.cells.len() {
            let certain: Vec<Entry> = entries(shop, cell).into_iter().filter(|entry| entry.certain).collect();
            for (at, x) in certain.iter().enumerate() {
                let open = |y: &&Entry| !orders.contains(&(x.at, y.at)) && !orders.contains(&(y.at, x.at));
                let pairs = certain[..at]
                    .iter()
                    .filter(open)
                    .map(|y| (self.least_gain(shop, cell, *x, *y), x.at, y.at));
                found.extend(pairs.filter_map(|(gain, x, y)| Some((gain?, x, y))));
            }
        }
        found.sort_unstable_by(|a, b| b.cmp(a));
        found.into_iter().take(most).map(|(_, x, y)| Question::Before(x, y)).collect()
    }

    /// Minutes by which either order narrows the starts of the two at least; `None` if one is ruled out or
    /// the order makes no difference.
    fn least_gain(&self, shop: &Shop, cell: usize, x: Entry, y: Entry) -> Option<i64> {
        let (a, b) = (span_of(shop, x), span_of(shop, y));
        let (ab, ba) = (a.run + self.between(cell, a, b), b.run + self.between(cell, b, a));
        if a.first + ab > b.last || b.first + ba > a.last {
            return None;
        }
        let gain =
            |p: Span, q: Span, pq: i64| (p.last - (q.last - pq)).max(0) + (p.first + pq - q.first).max(0);
        let gain = gain(a, b, ab).min(gain(b, a, ba));
        let changes_over = ab > a.run || ba > b.run;
        (gain > 0 || changes_over).then_some(gain)
    }
}

/// The starts that are left to a choice, its run and key.
#[derive(Clone, Copy)]
struct Span {
    first: i64,
    last: i64,
    run: i64,
    key: usize,
}

fn span_of(shop: &Shop, entry: Entry) -> Span {
    let choice = &shop.tasks[entry.at.0].steps[entry.at.1].choices[entry.choice];
    Span { first: choice.first, last: choice.last, run: choice.run, key: choice.key }
}

/// Leaves the starts `(first, last)` to a choice; says whether that is fewer.
fn set(shop: &mut Shop, entry: Entry, (first, last): (i64, i64)) -> bool {
    let choice = &mut shop.tasks[entry.at.0].steps[entry.at.1].choices[entry.choice];
    let changed = (choice.first, choice.last) != (first, last);
    (choice.first, choice.last) = (first, last);
    changed
}

/// The choices that can be taken on a cell, pinned ones left out.
pub(super) fn entries(shop: &Shop, cell: usize) -> Vec<Entry> {
    let mut out = Vec::new();
    for (job, task) in shop.tasks.iter().enumerate() {
        for (number, step) in task.steps.iter().enumerate().filter(|(_, step)| step.pinned.is_none()) {
            let open = || step.choices.iter().enumerate().filter(|(_, choice)| choice.is_open());
            let here = open().filter(|(_, choice)| choice.cell == Some(cell));
            let mut certain = None;
            for (choice, _) in here {
                let certain = *certain.get_or_insert_with(|| open().count() == 1 && is_sure(task, number));
                out.push(Entry { at: (job, number), choice, certain });
            }
        }
    }
    out
}

/// Whether every plan that can still be followed has the step.
fn is_sure(task: &Task, step: usize) -> bool {
    let can = |step: &Step| step.pinned.is_some() || step.choices.iter().any(Choice::is_open);
    let mut followed = task.routes.iter().filter(|plan| plan.steps.iter().all(|at| can(&task.steps[*at])));
    followed.all(|plan| plan.steps.contains(&step))
}
