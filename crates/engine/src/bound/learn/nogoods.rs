//! Statements that cannot all hold: given ones, and those that were learnt from dead ends.
//!
//! Each is watched by two of its statements: as long as one of them does not hold there is nothing to do
//! (Moskewicz et al., Design Automation Conference 2001).

use super::trail::{Atom, Entry, Trail, Why};

/// Statements that cannot all hold.
#[derive(Debug)]
struct Nogood {
    atoms: Vec<Atom>,
    /// Levels that its statements came from when it was learnt: few are good. 0 for given ones.
    spread: u32,
}

/// All nogoods.
#[derive(Debug, Default)]
pub(super) struct Nogoods {
    all: Vec<Nogood>,
    /// By side: what is watched, and for which nogood.
    watches: Vec<Vec<(i64, u32)>>,
    learnt: usize,
}

impl Nogoods {
    /// None yet, about variables with so many sides in all.
    pub(super) fn new(sides: usize) -> Self {
        Self { watches: vec![Vec::new(); sides], ..Self::default() }
    }

    pub(super) fn atoms(&self, number: u32) -> &[Atom] {
        &self.all[number as usize].atoms
    }

    pub(super) fn learnt(&self) -> usize {
        self.learnt
    }

    /// Adds a nogood that holds whatever is tried; `false` if that leaves nothing. Only at level 0.
    pub(super) fn give(&mut self, mut atoms: Vec<Atom>, trail: &mut Trail) -> bool {
        if atoms.iter().any(|atom| trail.fails(*atom)) {
            return true;
        }
        atoms.retain(|atom| !trail.holds(*atom));
        match atoms[..] {
            [] => false,
            [only] => trail.set(only.not(), Why::Tried),
            _ => {
                self.watch(atoms, 0);
                true
            }
        }
    }

    /// Adds what was learnt: the first statement is the one that is refuted by the others, the second of the
    /// others the one that came last.
    pub(super) fn learn(&mut self, atoms: Vec<Atom>, spread: u32) -> u32 {
        self.learnt += 1;
        self.watch(atoms, spread.max(1))
    }

    fn watch(&mut self, atoms: Vec<Atom>, spread: u32) -> u32 {
        let number = self.all.len() as u32;
        for atom in &atoms[..2] {
            self.watches[atom.side as usize].push((atom.least, number));
        }
        self.all.push(Nogood { atoms, spread });
        number
    }

    /// What follows from an entry; `false` if that leaves a variable no value.
    pub(super) fn follow(&mut self, entry: &Entry, trail: &mut Trail) -> bool {
        let side = entry.side as usize;
        let mut list = std::mem::take(&mut self.watches[side]);
        let (mut kept, mut fine) = (0, true);
        for at in 0..list.len() {
            let (least, number) = list[at];
            let stays = !fine
                || least <= entry.was
                || least > entry.now
                || self.keeps_watch(Atom { side: entry.side, least }, number, trail, &mut fine);
            if stays {
                list[kept] = list[at];
                kept += 1;
            }
        }
        list.truncate(kept);
        self.watches[side] = list;
        fine
    }

    /// Whether a nogood goes on watching a statement that holds now.
    fn keeps_watch(&mut self, watched: Atom, number: u32, trail: &mut Trail, fine: &mut bool) -> bool {
        let atoms = &mut self.all[number as usize].atoms;
        if atoms[0] == watched {
            atoms.swap(0, 1);
        }
        let other = atoms[0];
        if trail.fails(other) {
            return true;
        }
        if let Some(free) = (2..atoms.len()).find(|at| !trail.holds(atoms[*at])) {
            atoms.swap(1, free);
            let new = atoms[1];
            self.watches[new.side as usize].push((new.least, number));
            return false;
        }
        *fine = trail.set(other.not(), Why::Nogood(number));
        true
    }

    /// Forgets about half of what was learnt, the widest spread first. Only at level 0, where nothing that
    /// holds needs a reason any more.
    pub(super) fn forget(&mut self) {
        let mut spreads: Vec<u32> = self.all.iter().map(|nogood| nogood.spread).filter(|s| *s > 0).collect();
        spreads.sort_unstable();
        let bar = spreads.get(spreads.len() / 2).copied().unwrap_or(0).max(2);
        self.all.retain(|nogood| nogood.spread <= bar);
        self.learnt = self.all.iter().filter(|nogood| nogood.spread > 0).count();
        self.watches.iter_mut().for_each(Vec::clear);
        for (number, nogood) in self.all.iter().enumerate() {
            for atom in &nogood.atoms[..2] {
                self.watches[atom.side as usize].push((atom.least, number as u32));
            }
        }
    }
}
