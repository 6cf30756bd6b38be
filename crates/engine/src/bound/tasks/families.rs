//! Which operations can share a setup: links from choices to the setup families of their cells.

use super::super::changeover::{Keys, Level};
use super::build::{Builder, option_of};
use super::{FamilyLevel, Link};
use std::collections::{BTreeMap, BTreeSet};

impl Builder<'_> {
    /// Links each operation to the setup families that it shares with others.
    pub(super) fn link_families(&mut self) {
        let levels: Vec<Vec<Level>> = self.keys.iter().map(Keys::levels).collect();
        for (cell, levels) in levels.iter().enumerate() {
            for level in levels {
                self.link_level(cell, level, levels);
            }
        }
    }

    fn link_level(&mut self, cell: usize, level: &Level, all: &[Level]) {
        let uses = self.uses(cell, level);
        // What the least entries charge already must not be charged again.
        let mut charged: BTreeMap<usize, (i64, BTreeSet<(usize, usize)>)> = BTreeMap::new();
        for used in &uses {
            let entry = charged.entry(used.family).or_insert((level.below, BTreeSet::new()));
            entry.0 = entry.0.max(used.setup);
            entry.1.insert((used.job, used.turn));
        }
        charged.retain(|_, (below, members)| *below < level.minutes && members.len() > 1);
        if charged.is_empty() {
            return;
        }
        let number: BTreeMap<usize, usize> = charged.keys().enumerate().map(|(i, f)| (*f, i)).collect();
        let longest = all.iter().map(|level| level.minutes).chain(uses.iter().map(|used| used.setup)).max();
        let family = FamilyLevel {
            minutes: level.minutes,
            below: level.below,
            extra: charged.values().map(|(below, _)| level.minutes - below).collect(),
            reach: longest.unwrap_or(0),
            initial: level.family.last().and_then(|family| number.get(family)).copied(),
            pinned: self.pinned_families(cell, level, &number),
        };
        let at = self.shop.cells[cell].levels.len();
        self.shop.cells[cell].levels.push(family);
        let mut known: BTreeMap<(usize, usize, usize), usize> = BTreeMap::new();
        for used in uses {
            let Some(family) = number.get(&used.family).copied() else { continue };
            let links = &mut self.shop.links;
            let link = *known.entry((used.job, used.turn, family)).or_insert_with(|| {
                links.push(Link { cell, level: at, family });
                links.len() - 1
            });
            self.shop.tasks[used.job].steps[used.step].choices[used.choice].links.push(link);
        }
    }

    /// Every choice on `cell` that is not pinned, with its family at `level`.
    fn uses(&self, cell: usize, level: &Level) -> Vec<Use> {
        let mut out = Vec::new();
        for (j, task) in self.shop.tasks.iter().enumerate() {
            let mut seen = BTreeSet::new();
            for plan in &task.routes {
                let mut turns: BTreeMap<usize, usize> = BTreeMap::new();
                for (k, step) in plan.steps.iter().enumerate() {
                    let families = self.families_of(j, plan.index, k, *step, cell, level);
                    let distinct: BTreeSet<usize> = families.iter().map(|(_, family)| *family).collect();
                    for (choice, family) in families {
                        let turn = turns.get(&family).copied().unwrap_or(0);
                        let setup = task.steps[*step].choices[choice].setup;
                        if seen.insert((*step, choice)) {
                            out.push(Use { job: j, turn, step: *step, choice, family, setup });
                        }
                    }
                    for family in distinct {
                        *turns.entry(family).or_insert(0) += 1;
                    }
                }
            }
        }
        out
    }

    fn families_of(
        &self,
        j: usize,
        route: usize,
        k: usize,
        step: usize,
        cell: usize,
        level: &Level,
    ) -> Vec<(usize, usize)> {
        let step = &self.shop.tasks[j].steps[step];
        if step.pinned.is_some() {
            return Vec::new();
        }
        let options = &self.problem.jobs[j].routes[route].operations[k].options;
        let here = step.choices.iter().enumerate().filter(|(_, choice)| choice.cell == Some(cell));
        here.filter_map(|(at, choice)| {
            let key = &options[choice.index].on_cell()?.setup_key;
            Some((at, level.family[self.keys[cell].number(key)?]))
        })
        .collect()
    }

    fn pinned_families(
        &self,
        cell: usize,
        level: &Level,
        number: &BTreeMap<usize, usize>,
    ) -> Vec<(usize, i64, i64)> {
        let time = &self.shop.cells[cell].time;
        let pins = self.problem.pinned.iter().filter_map(|pin| {
            let work = option_of(self.problem, pin).on_cell().filter(|work| work.cell.get() == cell)?;
            let family = number.get(&level.family[self.keys[cell].number(&work.setup_key)?])?;
            Some((*family, time.before(pin.setup_start.get()), time.before(pin.end.get())))
        });
        pins.collect()
    }
}

/// One choice and the family that its key belongs to. Choices of one `job` with the same `turn`
/// are never in one schedule together, so that they may share a link.
struct Use {
    job: usize,
    turn: usize,
    step: usize,
    choice: usize,
    family: usize,
    setup: i64,
}
