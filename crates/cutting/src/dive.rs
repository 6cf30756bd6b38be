//! From the relaxation to whole bars.
//!
//! Whole parts of the relaxation are cut as they are; for what is left the relaxation is solved
//! again, and where it has no whole part its largest fraction is rounded up. After every step the
//! rest is also completed greedily, and by a small integer program at first; the cheapest plan wins.

use crate::bound::{ALMOST, by_length, raised, step};
use crate::columns::{self, Solved};
use crate::greedy::{Cut, complete, cost, repeats, until_few};
use crate::program;
use crate::whole::{Pattern, Whole};

/// Rests with more patterns than this are not given to the integer program: it takes seconds, and on the way
/// down as good a plan was found in all of `bench cutting`.
const MOST_COLUMNS: usize = 250;
/// More lengths than this are not put into one relaxation.
const MOST_ITEMS: usize = 250;
/// Then bars are filled until there are no more than these.
const FEW_ITEMS: usize = 60;
/// Rounds of column generation for the bound; some hundred lengths need some hundred.
const BOUND_ROUNDS: usize = 2_000;
/// Rounds of column generation on the way down.
const DIVE_ROUNDS: usize = 15;
/// Fractions from this on are rounded up together.
const ROUNDED_UP: f64 = 0.75;

/// A whole plan, and what no plan can beat.
pub(crate) struct Rounded {
    pub cuts: Vec<Cut>,
    pub bound: f64,
}

/// The cheapest plan found.
///
/// Where there are more lengths than the relaxation can hold, bars are filled as full as can be until
/// there are not; with so many lengths hardly anything is wasted, and lengths alone give the bound.
pub(crate) fn solve(whole: &Whole) -> Rounded {
    if whole.sizes.len() <= MOST_ITEMS {
        return few(whole, 0.0);
    }
    let (first, rest) = until_few(whole, FEW_ITEMS);
    let bound = by_length(whole);
    // A rest that costs no more than this makes the whole plan the best there is.
    let mut rounded = few(&rest, raised(bound, step(whole)) - cost(whole, &first));
    rounded.cuts.extend(first);
    Rounded { cuts: rounded.cuts, bound }
}

/// The cheapest plan found for few lengths; nobody needs one that costs less than `enough`.
fn few(whole: &Whole, enough: f64) -> Rounded {
    let start = complete(whole);
    if cost(whole, &start) <= enough * (1.0 + 1e-9) {
        return Rounded { cuts: start, bound: by_length(whole) };
    }
    let Some(relaxed) = columns::solve(whole, patterns(&start).chain(single_items(whole)), BOUND_ROUNDS)
    else {
        return Rounded { cuts: start, bound: by_length(whole) };
    };
    let bound = relaxed.bound.max(by_length(whole)).max(enough);
    let mut best = Best { whole, bound, step: step(whole), cuts: start };
    if !best.is_proved() {
        Dive { left: whole.clone(), fixed: Vec::new(), best: &mut best }.down(relaxed);
    }
    Rounded { cuts: best.cuts, bound: best.bound }
}

/// On the way from the relaxation to whole bars.
struct Dive<'a, 'w> {
    /// What is still wanted.
    left: Whole,
    /// Bars that stay as they are.
    fixed: Vec<Cut>,
    best: &'a mut Best<'w>,
}

impl Dive<'_, '_> {
    /// Step by step, until nothing is wanted or no plan can be cheaper than the best.
    fn down(&mut self, relaxed: Solved) {
        if !self.fix(&relaxed) {
            return;
        }
        let Some(mut relaxed) = self.again(&relaxed) else { return };
        if relaxed.patterns.len() <= MOST_COLUMNS
            && let Some(cuts) = program::choose(&self.left, &relaxed.patterns)
        {
            self.best.offer(&self.fixed, cuts);
        }
        while !self.best.is_proved() && self.fix(&relaxed) {
            match self.again(&relaxed) {
                Some(next) => relaxed = next,
                None => return,
            }
        }
    }

    /// Fixes whole parts, else the largest fractions; `false` if that ends the dive.
    fn fix(&mut self, relaxed: &Solved) -> bool {
        let mut rounded = whole_parts(&self.left, relaxed);
        if rounded.is_empty() {
            rounded = largest_fractions(&self.left, relaxed);
        }
        rounded.iter().for_each(|(pattern, times)| self.left.take(pattern, *times));
        let goes_on = !rounded.is_empty() && !self.left.is_done();
        self.fixed.extend(rounded);
        self.best.offer(&self.fixed, complete(&self.left));
        goes_on && !self.best.is_proved()
    }

    /// The relaxation of what is still wanted, roughly: it proves nothing, only shows the way.
    fn again(&self, before: &Solved) -> Option<Solved> {
        let known = before.patterns.iter().filter_map(|pattern| clipped(&self.left, pattern));
        let greedy = complete(&self.left);
        columns::solve(
            &self.left,
            known.chain(single_items(&self.left)).chain(patterns(&greedy)),
            DIVE_ROUNDS,
        )
    }
}

/// The cheapest plan so far.
struct Best<'a> {
    whole: &'a Whole,
    bound: f64,
    /// Costs of plans differ by multiples of this, where that is known.
    step: Option<f64>,
    cuts: Vec<Cut>,
}

impl Best<'_> {
    /// Takes a plan in two parts if it is cheaper.
    fn offer(&mut self, fixed: &[Cut], rest: Vec<Cut>) {
        let price = cost(self.whole, fixed) + cost(self.whole, &rest);
        if price < cost(self.whole, &self.cuts) * (1.0 - 1e-9) {
            self.cuts = fixed.iter().cloned().chain(rest).collect();
        }
    }

    /// Whether no cheaper plan exists.
    fn is_proved(&self) -> bool {
        let found = cost(self.whole, &self.cuts);
        found <= raised(self.bound, self.step) * (1.0 + 1e-9)
    }
}

fn patterns(cuts: &[Cut]) -> impl Iterator<Item = Pattern> {
    cuts.iter().map(|(pattern, _)| pattern.clone())
}

/// For each wanted item and each bar that can be bought, the pattern with only this item.
fn single_items(whole: &Whole) -> impl Iterator<Item = Pattern> {
    let items = (0..whole.sizes.len()).flat_map(|item| whole.bought().map(move |bar| (item, bar)));
    items.filter_map(|(item, bar)| {
        let count = whole.most(item, whole.bars[bar].room);
        (count > 0).then(|| Pattern { bar, pieces: vec![(item, count)] })
    })
}

/// A pattern without the pieces that are no longer wanted; `None` if none is left.
fn clipped(left: &Whole, pattern: &Pattern) -> Option<Pattern> {
    let wanted = |(item, count): &(usize, u32)| (*item, left.demand[*item].min(*count));
    let pieces: Vec<(usize, u32)> =
        pattern.pieces.iter().map(wanted).filter(|(_, count)| *count > 0).collect();
    (!pieces.is_empty()).then_some(Pattern { bar: pattern.bar, pieces })
}

/// Whole parts, as far as they make nothing that is not wanted.
fn whole_parts(whole: &Whole, relaxed: &Solved) -> Vec<Cut> {
    let mut left = whole.clone();
    let mut cuts = Vec::new();
    for (pattern, times) in relaxed.patterns.iter().zip(&relaxed.times) {
        let times = (times + ALMOST).floor() as u32;
        let fits = pattern.pieces.iter().all(|(item, count)| left.demand[*item] >= *count);
        if times > 0 && fits && left.bars[pattern.bar].available != Some(0) {
            let times = times.min(repeats(&left, pattern));
            left.take(pattern, times);
            cuts.push((pattern.clone(), times));
        }
    }
    cuts
}

/// The patterns nearest to a whole bar, once each; always at least one, if there is one.
fn largest_fractions(whole: &Whole, relaxed: &Solved) -> Vec<Cut> {
    let mut order: Vec<usize> =
        (0..relaxed.patterns.len()).filter(|at| relaxed.times[*at] > ALMOST).collect();
    order.sort_by(|a, b| relaxed.times[*b].total_cmp(&relaxed.times[*a]));
    let mut left = whole.clone();
    let mut cuts = Vec::new();
    for at in order {
        if !cuts.is_empty() && relaxed.times[at] < ROUNDED_UP {
            break;
        }
        let there = left.bars[relaxed.patterns[at].bar].available != Some(0);
        if let Some(pattern) = clipped(&left, &relaxed.patterns[at]).filter(|_| there) {
            left.take(&pattern, 1);
            cuts.push((pattern, 1));
        }
    }
    cuts
}
