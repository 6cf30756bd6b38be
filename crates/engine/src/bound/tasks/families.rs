//! Which operations can share a setup: links from choices to the setup families of their cells.

use super::super::changeover::{Keys, Level};
use super::build::{Builder, option_of};
use super::{FamilyLevel, Link};
use std::collections::{BTreeMap, BTreeSet};

impl Builder<'_> {
    /// Links each operation to the setup families that it shares with others.
    pub(super) fn link_families(&mut self) {
        let levels: Vec<Vec<Level>> = self.keys.iter().map(Keys::levels).collect();
        let visits = self.visits();
        for (cell, levels) in levels.iter().enumerate() {
            for level in levels {
                self.link_level(cell, level, levels, &visits[cell]);
            }
        }
    }

    fn link_level(&mut self, cell: usize, level: &Level, all: &[Level], visits: &[Visit]) {
        let uses = self.uses(level, visits);
        // What the least entries charge already must not be charged again.
        let mut charged: BTreeMap<usize, Charged> = BTreeMap::new();
        for used in &uses {
            let first = (used.job, used.turn);
            let entry = charged.entry(used.family);
            let entry = entry.or_insert(Charged { minutes: level.below, first, is_shared: false });
            entry.minutes = entry.minutes.max(used.setup);
            entry.is_shared |= entry.first != first;
        }
        charged.retain(|_, family| family.minutes < level.minutes && family.is_shared);
        if charged.is_empty() {
            return;
        }
        let number: BTreeMap<usize, usize> = charged.keys().enumerate().map(|(i, f)| (*f, i)).collect();
        let longest = all.iter().map(|level| level.minutes).chain(uses.iter().map(|used| used.setup)).max();
        let family = FamilyLevel {
            minutes: level.minutes,
            below: level.below,
            extra: charged.values().map(|family| level.minutes - family.minutes).collect(),
            reach: longest.unwrap_or(0),
            initial: level.family.last().and_then(|family| number.get(family)).copied(),
            pinned: self.pinned_families(cell, level, &number),
        };
        let at = self.shop.cells[cell].levels.len();
        self.shop.cells[cell].levels.push(family);
        // The links of one job, by turn and family.
        let mut known: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        let mut job = None;
        for used in uses {
            let Some(family) = number.get(&used.family).copied() else { continue };
            if job.replace(used.job) != Some(used.job) {
                known.clear();
            }
            let links = &mut self.shop.links;
            let link = *known.entry((used.turn, family)).or_insert_with(|| {
                links.push(Link { cell, level: at, family });
                links.len() - 1
            });
            self.shop.tasks[used.job].steps[used.step].choices[used.choice].links.push(link);
        }
    }

    /// The steps of all routes with some choice on each cell that is not pinned, job by job and route by route.
    fn visits(&self) -> Vec<Vec<Visit>> {
        let mut visits: Vec<Vec<Visit>> = vec![Vec::new(); self.shop.cells.len()];
        for (job, task) in self.shop.tasks.iter().enumerate() {
            for (route, plan) in task.routes.iter().enumerate() {
                for (k, &step) in plan.steps.iter().enumerate() {
                    if task.steps[step].pinned.is_some() {
                        continue;
                    }
                    for (at, choice) in task.steps[step].choices.iter().enumerate() {
                        let Some(cell) = choice.cell else { continue };
                        let before = visits[cell].last_mut();
                        match before
                            .filter(|visit| (visit.job, visit.route, visit.step) == (job, route, step))
                        {
                            Some(visit) => visit.choices.push(at),
                            None => visits[cell].push(Visit {
                                job,
                                route,
                                step,
                                is_known: k < plan.shared,
                                choices: vec![at],
                            }),
                        }
                    }
                }
            }
        }
        visits
    }

    /// The choices of `visits`, each once, with their families at `level`.
    fn uses(&self, level: &Level, visits: &[Visit]) -> Vec<Use> {
        let mut out = Vec::new();
        let mut turns: BTreeMap<usize, usize> = BTreeMap::new();
        let mut route = None;
        for visit in visits {
            let Visit { job, step, .. } = *visit;
            if route.replace((job, visit.route)) != Some((job, visit.route)) {
                turns.clear();
            }
            let choices = &self.shop.tasks[job].steps[step].choices;
            let family = |choice: usize| level.family[choices[choice].key];
            for &choice in visit.choices.iter().filter(|_| !visit.is_known) {
                let turn = turns.get(&family(choice)).copied().unwrap_or(0);
                let setup = choices[choice].setup;
                out.push(Use { job, turn, step, choice, family: family(choice), setup });
            }
            let distinct: BTreeSet<usize> = visit.choices.iter().map(|choice| family(*choice)).collect();
            for family in distinct {
                *turns.entry(family).or_insert(0) += 1;
            }
        }
        out
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

/// What a family is charged for already.
struct Charged {
    minutes: i64,
    /// The job and turn of its first member.
    first: (usize, usize),
    /// Whether it has members of another job or turn.
    is_shared: bool,
}

/// A step of a route with its choices on one cell.
#[derive(Clone)]
struct Visit {
    job: usize,
    route: usize,
    step: usize,
    /// Whether a route before goes through the same step.
    is_known: bool,
    choices: Vec<usize>,
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
