//! What is known of the variables, in the order in which it became known.
//!
//! Every variable is a whole number between two limits; yes or no is 1 or 0. Everything that is decided or
//! follows is an [`Atom`]: a variable is at least, or at most, so much.

/// No entry.
const NONE: u32 = u32::MAX;

/// A variable.
pub(super) type Var = u32;

/// A statement on a variable: it is at least so much, or at most.
///
/// Both are one kind of statement on one of the variable's two sides: side `2 v` is the variable itself,
/// side `2 v + 1` its negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Atom {
    pub(super) side: u32,
    pub(super) least: i64,
}

impl Atom {
    pub(super) const fn at_least(var: Var, value: i64) -> Self {
        Self { side: 2 * var, least: value }
    }

    pub(super) const fn at_most(var: Var, value: i64) -> Self {
        Self { side: 2 * var + 1, least: -value }
    }

    pub(super) const fn yes(var: Var) -> Self {
        Self::at_least(var, 1)
    }

    pub(super) const fn no(var: Var) -> Self {
        Self::at_most(var, 0)
    }

    /// What holds where this does not.
    pub(super) const fn not(self) -> Self {
        Self { side: self.side ^ 1, least: 1 - self.least }
    }

    pub(super) const fn var(self) -> Var {
        self.side >> 1
    }
}

/// Why something holds.
#[derive(Clone, Copy, Debug)]
pub(super) enum Why {
    /// It was tried.
    Tried,
    /// The other statements of a nogood hold.
    Nogood(u32),
    /// By an arc.
    Arc(u32),
    /// Anything else in a group would cost too much.
    Cost(u32),
    /// A later end of a job would cost too much.
    Late(u32),
}

/// Something that became known.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    pub(super) side: u32,
    pub(super) was: i64,
    pub(super) now: i64,
    /// The entry before on the same side.
    before: u32,
    pub(super) level: u32,
    pub(super) why: Why,
}

/// The limits of all variables, and how they came about.
#[derive(Debug, Default)]
pub(super) struct Trail {
    low: Vec<i64>,
    last: Vec<u32>,
    pub(super) entries: Vec<Entry>,
    /// How many entries there were when each level began.
    levels: Vec<usize>,
}

impl Trail {
    /// A new variable with its limits.
    pub(super) fn var(&mut self, least: i64, most: i64) -> Var {
        self.low.extend([least, -most]);
        self.last.extend([NONE; 2]);
        (self.low.len() / 2 - 1) as Var
    }

    pub(super) fn sides(&self) -> usize {
        self.low.len()
    }

    pub(super) fn least(&self, var: Var) -> i64 {
        self.low[2 * var as usize]
    }

    pub(super) fn most(&self, var: Var) -> i64 {
        -self.low[2 * var as usize + 1]
    }

    #[inline]
    pub(super) fn holds(&self, atom: Atom) -> bool {
        self.low[atom.side as usize] >= atom.least
    }

    /// Whether the opposite holds.
    #[inline]
    pub(super) fn fails(&self, atom: Atom) -> bool {
        self.holds(atom.not())
    }

    pub(super) fn level(&self) -> u32 {
        self.levels.len() as u32
    }

    pub(super) fn begin_level(&mut self) {
        self.levels.push(self.entries.len());
    }

    /// Notes that a statement holds; `false` if that leaves the variable no value.
    pub(super) fn set(&mut self, atom: Atom, why: Why) -> bool {
        let side = atom.side as usize;
        let was = self.low[side];
        if atom.least <= was {
            return true;
        }
        let level = self.level();
        self.entries.push(Entry {
            side: atom.side,
            was,
            now: atom.least,
            before: self.last[side],
            level,
            why,
        });
        self.last[side] = self.entries.len() as u32 - 1;
        self.low[side] = atom.least;
        self.low[side] + self.low[side ^ 1] <= 0
    }

    /// The strongest statement that holds on the other side of a variable.
    pub(super) fn opposite(&self, side: u32) -> Atom {
        Atom { side: side ^ 1, least: self.low[side as usize ^ 1] }
    }

    /// The entry with which a statement that holds began to hold; `None` if it holds from the beginning.
    pub(super) fn entry_of(&self, atom: Atom) -> Option<u32> {
        let mut at = self.last[atom.side as usize];
        while at != NONE {
            let entry = &self.entries[at as usize];
            if entry.was < atom.least {
                return Some(at);
            }
            at = entry.before;
        }
        None
    }

    /// What was known of a side before an entry.
    pub(super) fn low_before(&self, side: u32, entry: u32) -> i64 {
        let (mut at, mut low) = (self.last[side as usize], self.low[side as usize]);
        while at != NONE && at >= entry {
            low = self.entries[at as usize].was;
            at = self.entries[at as usize].before;
        }
        low
    }

    /// Whether a statement held before an entry.
    pub(super) fn held_before(&self, atom: Atom, entry: u32) -> bool {
        self.low_before(atom.side, entry) >= atom.least
    }

    /// Forgets everything above a level.
    pub(super) fn retreat(&mut self, level: u32) {
        let Some(&length) = self.levels.get(level as usize) else { return };
        while self.entries.len() > length {
            if let Some(entry) = self.entries.pop() {
                self.low[entry.side as usize] = entry.was;
                self.last[entry.side as usize] = entry.before;
            }
        }
        self.levels.truncate(level as usize);
    }
}
