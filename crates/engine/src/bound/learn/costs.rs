//! What is surely paid, and what would be too dear.

use super::trail::{Atom, Trail, Var, Why};

/// One of several is paid.
#[derive(Clone, Debug)]
pub(super) struct Group {
    /// With what each costs, the cheapest first.
    ways: Vec<(Atom, f64)>,
}

/// What a late end costs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lateness {
    pub(super) end: Var,
    pub(super) due: i64,
    /// For each minute.
    pub(super) rate: f64,
}

/// All costs.
#[derive(Clone, Debug)]
pub(super) struct Costs {
    /// What is paid in any case.
    pub(super) base: f64,
    pub(super) groups: Vec<Group>,
    pub(super) late: Vec<Lateness>,
}

/// Why nothing is left.
pub(super) enum Dear {
    /// All together is too dear: statements that cannot all hold.
    Whole(Vec<Atom>),
    /// The last entry has left its variable no value.
    Clash,
}

/// A part of the cost whose reason is wanted.
#[derive(Clone, Copy, PartialEq)]
enum Part {
    Group(usize),
    Late(usize),
}

impl Group {
    pub(super) fn new(mut ways: Vec<(Atom, f64)>) -> Self {
        ways.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        Self { ways }
    }

    /// The cheapest way that is not ruled out.
    fn cheapest(&self, ruled_out: impl Fn(Atom) -> bool) -> usize {
        let last = self.ways.len() - 1;
        self.ways.iter().position(|(atom, _)| !ruled_out(*atom)).unwrap_or(last)
    }
}

impl Lateness {
    fn cost(&self, end: i64) -> f64 {
        self.rate * (end - self.due).max(0) as f64
    }
}

impl Costs {
    /// What is surely paid.
    pub(super) fn least(&self, trail: &Trail) -> f64 {
        let groups = self.groups.iter().map(|group| group.ways[group.cheapest(|atom| trail.fails(atom))].1);
        let late = self.late.iter().map(|late| late.cost(trail.least(late.end)));
        self.base + groups.sum::<f64>() + late.sum::<f64>()
    }

    /// Rules out what would cost `target` or more in all.
    pub(super) fn follow(&self, target: f64, trail: &mut Trail) -> Result<(), Dear> {
        let total = self.least(trail);
        if total >= target {
            return Err(Dear::Whole(self.reason(None, total - target, trail, u32::MAX)));
        }
        let gap = target - total;
        for (number, group) in self.groups.iter().enumerate() {
            let cheapest = group.cheapest(|atom| trail.fails(atom));
            let bar = group.ways[cheapest].1 + gap;
            for (atom, _) in group.ways.iter().rev().take_while(|way| way.1 >= bar) {
                if !trail.fails(*atom) && !trail.set(atom.not(), Why::Cost(number as u32)) {
                    return Err(Dear::Clash);
                }
            }
        }
        for (number, late) in self.late.iter().enumerate() {
            let now = late.cost(trail.least(late.end));
            let minutes = ((now + gap) / late.rate).ceil();
            if minutes < 1e12 {
                // An end so late costs the whole gap.
                let latest = late.due + minutes as i64 - 1;
                if latest < trail.most(late.end)
                    && !trail.set(Atom::at_most(late.end, latest), Why::Late(number as u32))
                {
                    return Err(Dear::Clash);
                }
            }
        }
        Ok(())
    }

    /// Why a way of a group was ruled out with an entry.
    pub(super) fn explain_group(
        &self,
        group: u32,
        held: Atom,
        target: f64,
        entry: u32,
        trail: &Trail,
    ) -> Vec<Atom> {
        let own = self.groups[group as usize].ways.iter().find(|(atom, _)| atom.not() == held);
        let own = own.map_or(0.0, |way| way.1);
        self.without(Part::Group(group as usize), own, target, entry, trail)
    }

    /// Why a job must not end later.
    pub(super) fn explain_late(
        &self,
        late: u32,
        held: Atom,
        target: f64,
        entry: u32,
        trail: &Trail,
    ) -> Vec<Atom> {
        let own = self.late[late as usize].cost(1 - held.least);
        self.without(Part::Late(late as usize), own, target, entry, trail)
    }

    fn without(&self, part: Part, own: f64, target: f64, entry: u32, trail: &Trail) -> Vec<Atom> {
        let others = self.parts(entry, trail).filter(|(other, ..)| *other != part).map(|(_, cost, _)| cost);
        let total = self.base + others.sum::<f64>() + own;
        self.reason(Some(part), total - target, trail, entry)
    }

    /// What each part cost before an entry, and how much of that needs a reason.
    fn parts<'t>(&'t self, entry: u32, trail: &'t Trail) -> impl Iterator<Item = (Part, f64, f64)> + 't {
        let groups = self.groups.iter().enumerate().map(move |(number, group)| {
            let cost = group.ways[group.cheapest(|atom| trail.held_before(atom.not(), entry))].1;
            (Part::Group(number), cost, cost - group.ways[0].1)
        });
        let late = self.late.iter().enumerate().map(move |(number, late)| {
            let cost = late.cost(trail.low_before(2 * late.end, entry));
            (Part::Late(number), cost, cost)
        });
        groups.chain(late)
    }

    /// Statements by which the parts but `left_out` cost what they do, or up to `slack` less.
    fn reason(&self, left_out: Option<Part>, mut slack: f64, trail: &Trail, entry: u32) -> Vec<Atom> {
        let mut parts: Vec<(Part, f64, f64)> = self
            .parts(entry, trail)
            .filter(|(part, _, needs)| Some(*part) != left_out && *needs > 0.0)
            .collect();
        parts.sort_by(|a, b| a.2.total_cmp(&b.2));
        // Rounding must not make a reason too weak.
        slack -= 1e-7 * (1.0 + self.base.abs());
        let mut atoms = Vec::new();
        let mut ends = Vec::new();
        for (part, cost, needs) in parts {
            if needs <= slack {
                slack -= needs;
                continue;
            }
            match part {
                Part::Group(number) => {
                    let ways = &self.groups[number].ways;
                    atoms.extend(ways.iter().take_while(|way| way.1 < cost).map(|way| way.0.not()));
                }
                Part::Late(number) => ends.push(number),
            }
        }
        for number in ends {
            let late = &self.late[number];
            let end = trail.low_before(2 * late.end, entry);
            let spare = (slack.max(0.0) / late.rate).floor().min(1e12) as i64;
            let spare = spare.min(end - late.due - 1).max(0);
            slack -= spare as f64 * late.rate;
            atoms.push(Atom::at_least(late.end, end - spare));
        }
        atoms
    }
}
