//! Whole plans made quickly: a start for the relaxation, and an end for what rounding leaves.

use crate::columns::pattern_by;
use crate::knapsack::fill_well;
use crate::whole::{Pattern, Whole};

/// Bars cut by a pattern, and how many of them.
pub(crate) type Cut = (Pattern, u32);

/// What bars cost together.
pub(crate) fn cost(whole: &Whole, cuts: &[Cut]) -> f64 {
    cuts.iter().map(|(pattern, times)| whole.bars[pattern.bar].cost * f64::from(*times)).sum()
}

/// The cheaper of two ways to fill bars until nothing is wanted.
pub(crate) fn complete(whole: &Whole) -> Vec<Cut> {
    let ways = [largest_first(whole), fullest_first(whole)];
    let cheaper = ways.into_iter().min_by(|a, b| cost(whole, a).total_cmp(&cost(whole, b)));
    cheaper.unwrap_or_default()
}

/// Bars filled as full as can be until no more than `few` items are still wanted, and what is wanted
/// then.
pub(crate) fn until_few(whole: &Whole, few: usize) -> (Vec<Cut>, Whole) {
    let mut left = whole.clone();
    let values = values(whole);
    let is_few = |left: &Whole| left.demand.iter().filter(|count| **count > 0).count() <= few;
    let cuts = bar_by_bar(&mut left, is_few, |left, bar| pattern_by(left, &values, bar, fill_well).0);
    (cuts, left)
}

/// Each bar takes the largest item that still fits, and again.
fn largest_first(whole: &Whole) -> Vec<Cut> {
    bar_by_bar(&mut whole.clone(), Whole::is_done, |left, bar| {
        let mut room = left.bars[bar].room;
        let mut pieces = Vec::new();
        for item in 0..left.sizes.len() {
            let count = left.most(item, room);
            if count > 0 {
                pieces.push((item, count));
                room -= count * left.sizes[item];
            }
        }
        Pattern { bar, pieces }
    })
}

/// Each bar is filled as full as can be.
fn fullest_first(whole: &Whole) -> Vec<Cut> {
    let values = values(whole);
    bar_by_bar(&mut whole.clone(), Whole::is_done, |left, bar| pattern_by(left, &values, bar, fill_well).0)
}

/// What pieces are worth when bars are to be full: their length.
fn values(whole: &Whole) -> Vec<i64> {
    whole.sizes.iter().map(|size| i64::from(*size)).collect()
}

/// Fills one bar after another, each of the length that costs least for what its pieces take. Alike
/// bars are cut together.
fn bar_by_bar(
    left: &mut Whole,
    is_done: impl Fn(&Whole) -> bool,
    fill: impl Fn(&Whole, usize) -> Pattern,
) -> Vec<Cut> {
    let mut cuts = Vec::new();
    while !is_done(left) {
        let bars = (0..left.bars.len()).filter(|bar| left.bars[*bar].available != Some(0));
        let filled = bars.map(|bar| fill(left, bar)).filter(|pattern| !pattern.pieces.is_empty());
        let waste = |pattern: &Pattern| left.bars[pattern.bar].cost / f64::from(pattern.size(left));
        let Some(best) = filled.min_by(|a, b| waste(a).total_cmp(&waste(b))) else { break };
        let times = repeats(left, &best);
        left.take(&best, times);
        cuts.push((best, times));
    }
    cuts
}

/// How often a pattern can be cut before it makes more than is wanted or bars run out.
pub(crate) fn repeats(left: &Whole, pattern: &Pattern) -> u32 {
    let wanted = pattern.pieces.iter().map(|(item, count)| left.demand[*item] / count).min().unwrap_or(1);
    wanted.min(left.bars[pattern.bar].available.unwrap_or(u32::MAX)).max(1)
}
