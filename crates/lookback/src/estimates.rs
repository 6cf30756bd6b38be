//! What recorded times say about the standard times: how many times as long things really took.
//!
//! Only lots whose time is known count: finished, with pieces, on the cell for which they were
//! planned. Where a lot was to be changed over, changing over and running can be told apart if
//! somebody counted the first piece (or none yet) when changing over was done; else the lot is left
//! out and counted as such.

use crate::learning::{Learning, Timed, rate};
use crate::lot::{Actual, PlannedLot};
use crate::review::Facts;
use crate::robust::Robust;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// What a lot was, for comparing it with others like it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sort {
    /// Kind of work, as files name it.
    pub work: String,
    /// Size of the tube, outside diameter and wall, such as `25.4x1.65`.
    pub tube: String,
}

/// How long the lots of one kind took against the standard.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Kind of work.
    pub work: String,
    /// Size of the tube; `None`: all of them together.
    pub tube: Option<String>,
    /// Actual over standard time of running; `None`: nothing is known.
    pub run: Option<Robust>,
    /// Actual over standard time of changing over, for all tubes together.
    pub setup: Option<Robust>,
    /// Standard deviation over mean of running times once the estimates offered for the sizes of
    /// tube are taken for their standard; for all tubes together.
    pub run_variation: Option<f64>,
}

/// All estimates, and what could not be used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Estimates {
    /// By kind of work, all tubes together first.
    pub estimates: Vec<Estimate>,
    /// Parts with repeats enough, by part and kind of work: whether they become faster with practice.
    pub learning: Vec<Learning>,
    /// Finished lots that were looked at.
    pub lots: usize,
    /// Lots left out because nobody said when changing over was done.
    pub undivided: usize,
    /// Lots left out because start, pieces or plan are not known, or on another cell than planned.
    pub unknown: usize,
}

/// With fewer lots than this no interval holds the median with 95 % certainty, so fewer are never offered.
pub const LEAST_LOTS: usize = 6;

/// Estimates from all lots finished in the period. `sort` says what a lot was; `None`: not known any more.
#[must_use]
pub fn estimates(facts: &Facts, least: usize, sort: &dyn Fn(&PlannedLot) -> Option<Sort>) -> Estimates {
    let mut found = Estimates::default();
    let mut groups: BTreeMap<String, Group> = BTreeMap::new();
    let mut repeats: BTreeMap<(String, String), Vec<Repeat>> = BTreeMap::new();
    for actual in &facts.actual {
        let Some(end) = actual.finished.filter(|end| facts.period.0 <= *end && *end < facts.period.1) else {
            continue;
        };
        found.lots += 1;
        let planned = facts.planned.iter().find(|lot| lot.order == actual.order && lot.step == actual.step);
        let known = planned.filter(|lot| lot.cell == actual.cell && end > actual.started);
        let Some((planned, sort)) = known.and_then(|lot| Some((lot, sort(lot)?))) else {
            found.unknown += 1;
            continue;
        };
        match times(facts, planned, actual, end) {
            Times::Undivided => found.undivided += 1,
            Times::Nothing => found.unknown += 1,
            Times::Known { setup, run } => {
                let timed = Timed { pieces: actual.good + actual.scrap, ratio: run };
                let key = (planned.part.clone(), sort.work.clone());
                repeats.entry(key).or_default().push((actual.started, timed));
                let group = groups.entry(sort.work).or_default();
                group.setups.extend(setup);
                group.runs.entry(sort.tube).or_default().push(run);
            }
        }
    }
    found.estimates = groups.into_iter().flat_map(|(work, group)| group.estimates(&work, least)).collect();
    found.learning = repeats.into_iter().filter_map(|(key, lots)| learning(key, lots, least)).collect();
    found
}

/// A lot of a part with the moment at which it was begun.
type Repeat = (DateTime<Utc>, Timed);

/// How a part's lots become faster, if there are enough of them.
fn learning((part, work): (String, String), mut lots: Vec<Repeat>, least: usize) -> Option<Learning> {
    if lots.len() < least {
        return None;
    }
    lots.sort_by_key(|(started, _)| *started);
    let lots: Vec<Timed> = lots.into_iter().map(|(_, lot)| lot).collect();
    let pieces = lots.iter().map(|lot| u64::from(lot.pieces)).sum();
    let (rate, sure) = rate(&lots)?;
    Some(Learning { part, work, lots: lots.len(), pieces, rate, sure })
}

enum Times {
    /// Actual over standard.
    Known { setup: Option<f64>, run: f64 },
    /// Changing over and running cannot be told apart.
    Undivided,
    /// No time or no pieces.
    Nothing,
}

fn times(facts: &Facts, planned: &PlannedLot, actual: &Actual, end: DateTime<Utc>) -> Times {
    let changes_over = planned.setup_min > 0.0;
    if changes_over && actual.changed_over.is_none() {
        return Times::Undivided;
    }
    let begin = actual.changed_over.filter(|_| changes_over).unwrap_or(actual.started);
    let open = crate::review::open(facts, &actual.cell);
    let worked = |span| actual.worked_within(span, open, facts.now);
    let produced = f64::from(actual.good + actual.scrap) / f64::from(planned.pieces.max(1));
    let standard = planned.run_min / planned.run_factor * produced;
    let run = worked((begin, end));
    if standard <= 0.0 || run <= 0.0 {
        return Times::Nothing;
    }
    let setup = worked((actual.started, begin)) / (planned.setup_min / planned.setup_factor);
    Times::Known { setup: (changes_over && setup > 0.0).then_some(setup), run: run / standard }
}

/// What is known of one kind of work.
#[derive(Default)]
struct Group {
    setups: Vec<f64>,
    /// By size of tube.
    runs: BTreeMap<String, Vec<f64>>,
}

impl Group {
    fn estimates(&self, work: &str, least: usize) -> Vec<Estimate> {
        let every: Vec<f64> = self.runs.values().flatten().copied().collect();
        let run = Robust::of(&every);
        let whole = Estimate {
            work: work.to_owned(),
            tube: None,
            run,
            setup: Robust::of(&self.setups),
            run_variation: run.and_then(|run| self.variation(run.median, least)),
        };
        let one = |(tube, runs): (&String, &Vec<f64>)| Estimate {
            work: work.to_owned(),
            tube: Some(tube.clone()),
            run: Robust::of(runs),
            setup: None,
            run_variation: None,
        };
        std::iter::once(whole).chain(self.runs.iter().map(one)).collect()
    }

    /// What is left of the spread where sizes of tube have estimates of their own.
    fn variation(&self, of_all: f64, least: usize) -> Option<f64> {
        let rest = self.runs.values().flat_map(|runs| {
            let own = Robust::of(runs).filter(|own| own.count >= least).map_or(of_all, |own| own.median);
            runs.iter().map(move |run| run / own)
        });
        Robust::of(&rest.collect::<Vec<f64>>())?.variation()
    }
}
